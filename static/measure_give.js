// How finely one reading is taken when not as usual: its ± is chosen or typed under "more", and holds for this reading
// and its further takes, until it is changed. People say ± of two sds; the entry carries one, in the file's unit.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var FINEST = 0.1, COARSEST = 100;
  var SDS = 2;
  var INCH = 25.4;

  // The unit a small length is said in.
  function unitOf(step) {
    var unit = M.unitOf(step);
    return unit === "ft" ? "in" : unit === "cm" ? "mm" : unit;
  }

  // The spread of its own that the next take of this reading has, one sd, or null: as chosen here, else as last taken.
  function stated(step) {
    var name = M.same(step.reading), takes = M.takesOf(step.reading), last = takes[takes.length - 1];
    if (name in M.state.gives) return M.state.gives[name];
    return (last && last.sd) || null;
  }

  function ownSd(step) { return stated(step) || step.own_sd; }

  // How far it may be from what is expected without a remark: less when it is read finer.
  function limit(step) {
    if (step.limit === null) return null;
    return step.limit * Math.hypot(step.sd, ownSd(step)) / Math.hypot(step.sd, step.own_sd);
  }

  function oneOf(step) { return P.parse("1", unitOf(step), step.unit).value; }

  // As people say it: to a part of an inch, or two digits.
  function rounded(step, value, bottom) {
    var one = oneOf(step);
    if (unitOf(step) === "in") return Math.max(1, Math.round(value / INCH * bottom)) / bottom * INCH;
    return Number((value / one).toPrecision(2)) * one;
  }

  function ending(step) { return step.unit === "deg" ? "°" : " " + unitOf(step); }

  // Nodes that stay on one line: "± 1/16 in", "± 0.2°".
  function said(step, sd) { return together(step, sd, ending(step)); }

  function together(step, sd, unit) {
    var box = document.createElement("span");
    box.className = "nw";
    box.append("± ", P.lettered(number(step, SDS * sd)), unit);
    return [box];
  }

  // Beside a value typed in the same unit, which says it already.
  function inShort(step, sd, unit) {
    return together(step, sd, unit === unitOf(step) && unit !== "deg" ? "" : ending(step));
  }

  function number(step, value) {
    var parts = value / INCH * 64;
    if (unitOf(step) !== "in") return String(Number((value / oneOf(step)).toFixed(2)));
    return Math.abs(parts - Math.round(parts)) < 0.02 && parts >= 0.98 ? P.say(value, "in", 64)
      : String(Number((value / INCH).toFixed(3)));
  }

  function share(step, part) { return rounded(step, SDS * step.own_sd * part, 32) / SDS; }

  // The one field stands in whichever "more" is opened.
  function opened(event) {
    var more = event.target, step = M.state.step;
    if (M.data.guest || !step || !more.matches || !more.matches(".more") || !more.open) return;
    M.dom.give = M.dom.give || document.querySelector(".give-pattern").content.firstElementChild.cloneNode(true);
    more.querySelector(".why").before(M.dom.give);
    lay(step);
    refuse("");
  }

  function lay(step) {
    var now = stated(step), found = false, input = M.dom.give.querySelector("input");
    M.dom.give.querySelectorAll("[data-share]").forEach(function (key) {
      var part = Number(key.dataset.share), sd = share(step, part);
      var chosen = part === 1 ? now === null : now !== null && Math.abs(now - sd) < 1e-9;
      var place = key.querySelector("span");
      place.replaceChildren.apply(place, said(step, sd));
      key.setAttribute("aria-pressed", String(chosen));
      found = found || chosen;
    });
    M.dom.give.querySelector("label").textContent = M.SAY.typeGive(M.data.unit_words[unitOf(step)]);
    input.value = found ? "" : number(step, SDS * now);
  }

  function refuse(sentence) {
    var place = M.dom.give.querySelector(".refused"), input = M.dom.give.querySelector("input");
    place.hidden = !sentence;
    place.querySelector("span").textContent = sentence;
    input.setAttribute("aria-invalid", String(!!sentence));
    if (sentence) place.scrollIntoView({ block: "nearest" });
  }

  function choose(sd) {
    var step = M.state.step;
    M.state.gives[M.same(step.reading)] = sd;
    M.dom.give.querySelector("input").blur(); // what is typed next is the reading
    step.node.querySelector(".more").open = false;
    M.state.last = null;
    M.draw();
    M.prefetch();
    M.announce(sd === null ? M.SAY.usualGive : M.SAY.give + "± " + number(step, SDS * sd) + ending(step));
  }

  function typed() {
    var step = M.state.step, words = M.dom.give.querySelector("input").value.replace(/^[\s±]+/, "");
    var low = rounded(step, SDS * step.own_sd * FINEST, 64), high = rounded(step, SDS * step.own_sd * COARSEST, 64);
    try {
      var value = P.parse(words, unitOf(step), step.unit).value;
    } catch (trouble) {
      if (!(trouble instanceof P.NotAReading)) throw trouble;
      return refuse(trouble.message);
    }
    if (value < low - 1e-9 || value > high + 1e-9) {
      return refuse(M.SAY.giveBetween(number(step, low) + ending(step), number(step, high) + ending(step)));
    }
    choose(value / SDS);
  }

  function onGive(event) {
    var key = event.target.closest("[data-share], [data-do=give]");
    if (!key) return;
    var part = Number(key.dataset.share);
    if (!part) typed();
    else choose(part === 1 ? null : share(M.state.step, part));
  }

  function onEnter(event) {
    if (event.key === "Enter" && event.target.matches("#give-text")) typed();
  }

  function listen() {
    M.page.addEventListener("toggle", opened, true);
    M.page.addEventListener("click", onGive);
    M.page.addEventListener("keydown", onEnter);
  }

  M.stated = stated;
  M.ownSd = ownSd;
  M.limit = limit;
  M.plusMinus = said;
  M.inShort = inShort;
  M.listenToGive = listen;
})();
