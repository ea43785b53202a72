// What was read here already: every take, to be withdrawn with a reason.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;

  function openTakes() {
    var step = M.state.step, list = M.dom.takes.querySelector("ul");
    list.replaceChildren.apply(list, M.takesOf(step.reading).map(function (take) {
      var row = document.querySelector(".take-pattern").content.firstElementChild.cloneNode(true);
      var said = take.text || P.say(take.value, M.unitOf(step));
      row.querySelector(".what").append(P.lettered(said), " " + (take.unit || ""));
      var what = row.querySelector(".what");
      if (take.sd) what.append.apply(what, [" "].concat(M.plusMinus(step, take.sd)));
      row.querySelector(".when").textContent = clock(take.at) + (take.local ? ", waiting" : "");
      row.dataset.id = take.id;
      return row;
    }));
    M.dom.takes.hidden = false;
    M.page.classList.add("taking");
    M.dom.takes.querySelector("button").focus({ preventScroll: true });
  }

  function clock(at) {
    var date = new Date(at);
    return isNaN(date) ? "" : date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  }

  function onTakes(event) {
    var key = event.target.closest("button");
    if (!key || M.state.saving) return;
    var row = key.closest("li");
    if (key.dataset.do === "close") {
      M.closePanels();
      M.draw();
    } else if (key.dataset.do === "withdraw") {
      M.dom.takes.querySelectorAll(".reasons").forEach(function (reasons) { reasons.hidden = true; });
      row.querySelector(".reasons").hidden = false;
    } else if (key.dataset.reason) {
      M.state.saving = true;
      M.withdraw(row.dataset.id, key.dataset.reason).then(function () {
        M.show(M.state.step, true);
      }).finally(function () { M.state.saving = false; });
    }
  }

  M.openTakes = openTakes;
  M.onTakes = onTakes;
})();
