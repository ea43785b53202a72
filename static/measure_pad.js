// The keypad and the keyboard: from taps to a typed text, and from that to a value.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;

  function unitOf(step) {
    if (step.unit === "deg") return "deg";
    return M.state.units[step.unit] || M.data.units[step.unit];
  }

  function setUnit(unit) {
    var step = M.state.step, before = unitOf(step);
    if (unit === before) return;
    var value = read(step).value;
    M.state.units[step.unit] = unit;
    M.remember("units", M.state.units);
    if (/[\/']/.test(M.state.text)) M.state.text = value === undefined ? "" : fresh(Math.abs(value), unit);
    layKeypad();
    M.draw();
  }

  function fresh(value, unit) { return unit === "mm" ? String(Math.round(value * 10) / 10) : P.say(value, unit, 32); }

  var OTHER_UNIT = { in: "mm", ft: "mm", mm: "in", cm: "in", kg: "lb", lb: "kg" };
  var ROUND = { in: "ft", ft: "mm", mm: "cm", cm: "in", kg: "lb", lb: "kg" };

  var KEYPADS = { in: "inch", ft: "inch", mm: "metric", cm: "metric", deg: "angle", kg: "plain", lb: "plain" };

  function layKeypad() {
    var unit = unitOf(M.state.step), set = KEYPADS[unit];
    M.dom.pad.dataset.set = set;
    M.dom.pad.querySelectorAll("[data-sets]").forEach(function (key) {
      key.hidden = key.dataset.sets.split(" ").indexOf(set) < 0;
    });
    M.dom.pad.querySelectorAll("[data-side]").forEach(function (key) {
      key.textContent = M.state.step.side_keys[key.dataset.side === "-" ? 1 : 0];
    });
    var point = M.dom.pad.querySelector('[data-put="."]');
    point.hidden = unit === "ft";
    M.dom.pad.querySelector('[data-put="\'"]').hidden = unit !== "ft";
    var cm = M.dom.pad.querySelector('[data-do="cm"]');
    cm.textContent = unit === "cm" ? "mm" : "cm";
    var units = M.dom.pad.querySelector(".unitkey");
    var pair = unit === "deg" ? ["deg", ""] : set === "plain" ? ["lb", "kg"]
      : [unit === "ft" ? "ft" : "in", unit === "cm" ? "cm" : "mm"];
    var spans = units.querySelectorAll("span");
    spans[0].textContent = pair[0];
    spans[1].textContent = pair[1];
    spans[0].className = unit === pair[0] || unit === "deg" ? "on" : "";
    spans[1].className = unit === pair[1] ? "on" : "";
    spans[1].hidden = unit === "deg";
    units.classList.toggle("one", unit === "deg");
    units.disabled = unit === "deg";
    units.setAttribute("aria-label", "Unit: " + M.data.unit_words[unit] + (unit === "deg" ? "" : ". Switch"));
    M.dom.unitName.textContent = unit === "deg" ? "°" : unit;
    M.dom.unitName.disabled = unit === "deg";
    M.dom.unitName.setAttribute("aria-label", "Unit: " + M.data.unit_words[unit]);
  }

  var FRACTION = /(?:^| )([0-9]+)\/([0-9]+)$/;

  function put(sign) {
    M.forgetSaved();
    var text = M.state.text, cut = FRACTION.exec(text);
    if (sign === ".") {
      if (cut || text.indexOf(".") >= 0) return;
      M.state.text = text + ".";
    } else if (sign === "'") {
      if (text.indexOf("'") < 0 && /^[0-9]+$/.test(text)) M.state.text = text + "' ";
    } else if (cut) {
      M.state.text = text.slice(0, cut.index) + sign + " " + cut[1] + "/" + cut[2];
    } else {
      M.state.text = text + sign;
    }
    typed();
  }

  function putFraction(top, bottom) {
    M.forgetSaved();
    var whole = M.state.text.replace(FRACTION, "").replace(/\.[0-9]*$/, "").replace(/ +$/, "");
    M.state.text = (whole ? whole + " " : "") + top + "/" + bottom;
    typed();
  }

  // +1/16: 7/8 becomes 15/16; alone it is 1/16; after 15/16 comes the next whole inch.
  function addSixteenth() {
    var found = FRACTION.exec(M.state.text);
    var sixteenths = found ? Math.round(found[1] * 16 / found[2]) + 1 : 1;
    if (sixteenths < 16) {
      var bottom = 16;
      while (sixteenths % 2 === 0) { sixteenths /= 2; bottom /= 2; }
      putFraction(sixteenths, bottom);
      return;
    }
    M.forgetSaved();
    M.state.text = M.state.text.replace(FRACTION, "").replace(/([0-9]*)$/, function (digits) {
      return String(Number(digits || 0) + 1);
    });
    typed();
  }

  function add(step) {
    M.forgetSaved();
    var number = Number(M.state.text || 0) + step;
    if (isNaN(number) || number < 0) return;
    M.state.text = String(Math.round(number * 1000) / 1000);
    typed();
  }

  function decimal(tail) {
    M.forgetSaved();
    if (!/^[0-9]*(\.[0-9]*)?$/.test(M.state.text)) return;
    M.state.text = (M.state.text.split(".")[0] || "0") + tail;
    typed();
  }

  function rubOut() {
    M.forgetSaved();
    var without = M.state.text.replace(FRACTION, "");
    M.state.text = without !== M.state.text ? without : M.state.text.replace(/' $/, "'").slice(0, -1);
    typed();
  }

  function press(event) {
    var key = event.target.closest("button");
    if (!key || key.disabled) return;
    var put1 = key.dataset.put, act = key.dataset.do;
    if (put1) put(put1);
    else if (key.dataset.fraction) putFraction.apply(null, key.dataset.fraction.split("/"));
    else if (key.dataset.add) add(Number(key.dataset.add));
    else if (key.dataset.tail) decimal(key.dataset.tail);
    else if (key.dataset.side) choose(key.dataset.side);
    else if (act === "sixteenth") addSixteenth();
    else if (act === "rub") rubOut();
    else if (act === "clear") { M.state.text = ""; typed(); }
    else if (act === "cm") setUnit(unitOf(M.state.step) === "cm" ? "mm" : "cm");
    else if (act === "unit") setUnit(OTHER_UNIT[unitOf(M.state.step)]);
    else if (act === "skip") M.skip();
    else if (act === "cannot") M.cannotReach();
    else if (act === "record") M.record();
  }

  function choose(side) {
    M.state.side = side;
    M.state.sideChosen = true;
    typed();
  }

  function typed() {
    M.state.refusal = null;
    M.draw();
    M.prefetch();
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !M.state.step || M.data.guest) return;
    if (event.target.matches("input, textarea, select") || !M.dom.both.hidden) return;
    var focused = event.target.matches("button:focus-visible, a:focus-visible, summary:focus-visible");
    var open = !M.dom.remark.hidden || !M.dom.takes.hidden;
    if (event.key === "Escape") {
      if (open) { M.closePanels(); M.draw(); } else { M.state.text = ""; typed(); }
      return;
    }
    if (open && event.key === "Enter" && !focused) {
      event.preventDefault();
      (M.dom.remark.hidden ? M.dom.takes : M.dom.remark).querySelector("[data-do=again], [data-do=close]").click();
      return;
    }
    if (open || (focused && (event.key === "Enter" || event.key === " "))) return;
    if (event.key === "Enter") {
      event.preventDefault();
      M.record();
    } else if (event.key === "Backspace") {
      event.preventDefault();
      rubOut();
    } else if (event.key.length === 1 && M.state.text.length < 41) {
      if (event.key === " " && !M.state.text) return;
      event.preventDefault();
      if (focused) event.target.blur(); // so that Enter after the number records it, not the side chosen once more
      M.forgetSaved();
      M.state.text += event.key;
      typed();
    }
  }

  // { value } in the file's unit with its side, { refusal }, or {} while nothing is typed
  function read(step) {
    if (!M.state.text.trim()) return {};
    try {
      var entry = P.parse(M.state.text, unitOf(step), step.unit);
      if (!step.sides || entry.sign) return { value: entry.value, entry: entry };
      return { value: M.state.side === "-" ? -entry.value : entry.value, entry: entry, unsided: !M.state.side };
    } catch (trouble) {
      if (!(trouble instanceof P.NotAReading)) throw trouble;
      return { refusal: trouble.message };
    }
  }

  M.unitOf = unitOf;
  M.setUnit = setUnit;
  M.fresh = fresh;
  M.layKeypad = layKeypad;
  M.press = press;
  M.choose = choose;
  M.typed = typed;
  M.onKey = onKey;
  M.read = read;
  M.OTHER_UNIT = OTHER_UNIT;
  M.ROUND = ROUND;
})();
