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
      row.querySelector(".what").append(P.lettered(said.replace(/^-/, "−")), " " + (take.unit || ""));
      var what = row.querySelector(".what");
      if (take.sd) what.append.apply(what, [" "].concat(M.plusMinus(step, take.sd)));
      row.querySelector(".when").textContent = clock(take.at) + (take.local ? ", waiting" : "");
      row.dataset.id = take.id;
      return row;
    }));
    var rows = list.children, only = rows.length === 1 ? rows[0] : null;
    if (only) { // nothing to choose between: why is asked at once
      only.querySelector("[data-do=withdraw]").hidden = true;
      only.querySelector(".reasons").hidden = false;
    }
    M.dom.takes.hidden = false;
    M.page.classList.add("taking");
    M.dom.takes.querySelector("button:not([hidden])").focus({ preventScroll: true });
  }

  function clock(at) {
    var date = new Date(at);
    return isNaN(date) ? "" : date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
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
