// A value that does not fit yet: what the phone can say by itself, what the laptop adds, and the panel for it.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var WAIT_FOR_REMARK = 400;
  var WHILE_TYPING = 250;
  var FAR = 3.29;
  var INCH = 25.4;

  // What the phone can say by itself: { kind, difference } or null.
  function judge(step, value) {
    if (value < step.low || value > step.high) return { kind: "range" };
    var difference = value - step.expected;
    if (step.limit === null || Math.abs(difference) <= step.limit) return null;
    return { kind: "far", difference: difference };
  }

  // A value that fits by what the phone knows goes through at once; otherwise the laptop has a moment to say more.
  function consider(step, now, judged) {
    var asked = M.state.asked;
    if (!asked || asked.step !== step || asked.value !== now.value) asked = null;
    if (asked && asked.answer !== undefined) {
      return Promise.resolve(judged || asked.answer ? { judged: judged, answer: asked.answer } : null);
    }
    if (!judged) return Promise.resolve(null);
    var waiting = (asked || ask(step, now)).promise;
    var enough = new Promise(function (resolve) { setTimeout(function () { resolve(null); }, WAIT_FOR_REMARK); });
    return Promise.race([waiting, enough]).then(function (answer) { return { judged: judged, answer: answer }; });
  }

  function prefetch() {
    clearTimeout(M.state.prefetch);
    M.state.prefetch = setTimeout(function () {
      var step = M.state.step, now = step ? M.read(step) : {};
      if (now.value !== undefined && !now.unsided && !M.outbox.away && !M.hides(step)) ask(step, now);
    }, WHILE_TYPING);
  }

  function ask(step, now) {
    var asked = { step: step, value: now.value, answer: undefined };
    asked.promise = M.ask("remark", {
      reading: step.reading, value: now.value, text: M.state.text, unit: now.entry.unit, stage: M.data.stage
    }, 4000)
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        asked.answer = html ? new DOMParser().parseFromString(html, "text/html").querySelector(".words") : null;
        return asked.answer;
      }, function () { return null; });
    M.state.asked = asked;
    return asked;
  }

  function openRemark(step, now, remark) {
    var words = remark.answer ? remark.answer.cloneNode(true) : ownWords(step, now, remark.judged);
    var use = words.dataset.use ? Number(words.dataset.use) : null;
    M.dom.remark.querySelector(".words").replaceWith(words);
    var keepKey = M.dom.remark.querySelector('[data-do="keep"]');
    var useKey = M.dom.remark.querySelector('[data-do="use"]');
    keepKey.replaceChildren("Keep ", P.lettered(now.entry.text));
    useKey.hidden = use === null;
    M.dom.remark.querySelector(".two").classList.toggle("one", use === null);
    var unit = now.entry.unit;
    if (use !== null) useKey.replaceChildren("Use ", P.lettered(P.say(use, unit, 32)));
    M.state.remark = { step: step, now: now, use: use };
    M.page.classList.add("remarking");
    M.dom.remark.hidden = false;
    M.draw();
    lens(step, now, words);
    M.dom.remark.focus({ preventScroll: true });
  }

  function ownWords(step, now, judged) {
    var box = document.querySelector(".words-pattern").content.firstElementChild.cloneNode(true);
    var first = box.querySelector("p"), likely = box.querySelector(".likely"), unit = now.entry.unit;
    function said(value) { return [P.lettered(P.say(value, unit)), unit === "deg" ? "°" : ""]; }
    if (judged.kind === "range") {
      first.append.apply(first, [M.SAY.range].concat(
        said(step.low), [" and "], said(step.high), [M.SAY.typed], said(now.value), ["."]));
      likely.remove();
      return box;
    }
    var off = judged.difference, spread = 2 * step.sd;
    first.append.apply(first, [M.SAY.rests].concat(
      said(step.expected), [M.SAY.giveOrTake], said(Math.max(spread, unit === "in" ? INCH / 16 : 0.5)), [M.SAY.typed],
      said(now.value), [", "], said(off), [unit === "deg" ? "" : " " + unit, off > 0 ? M.SAY.more : M.SAY.less]));
    box.dataset.expected = step.expected;
    box.dataset.sd = step.sd;
    var slip = ownSlip(step, now, off);
    if (slip) {
      likely.append(slip.words);
      box.dataset.use = slip.value;
    } else {
      likely.remove();
    }
    return box;
  }

  function ownSlip(step, now, off) {
    var near = FAR * Math.hypot(step.sd, step.own_sd);
    if (step.unit === "mm" && Math.abs(Math.abs(off) - INCH) < Math.min(near, 9)) {
      return { value: now.value - Math.sign(off) * INCH, words: off > 0 ? M.SAY.inchMore : M.SAY.inchLess };
    }
    if (step.sides && Math.abs(-now.value - step.expected) < near) return { value: -now.value, words: M.SAY.otherSide };
    return null;
  }

  function onRemark(event) {
    var key = event.target.closest("button");
    var remark = M.state.remark;
    if (!key || !remark || M.state.saving) return;
    var deed = key.dataset.do;
    closePanels();
    if (deed === "again") {
      M.state.text = "";
      M.typed();
      M.announce(remark.step.title);
    } else if (deed === "keep") {
      M.keep(remark.step, remark.now, { kept: true });
    } else {
      var unit = remark.now.entry.unit, text = (remark.use < 0 ? "-" : "") + P.say(remark.use, unit, 32);
      var entry = P.parse(text, unit, remark.step.unit);
      M.keep(remark.step, { value: entry.value, entry: entry }, { note: M.SAY.firstTyped + remark.now.entry.text });
    }
  }

  // A round glass over the drawing: what was typed against what would fit, with its spread.
  function lens(step, now, words) {
    var stage = step.node.querySelector(".stage");
    var expected = Number(words.dataset.expected), sd = Number(words.dataset.sd);
    var glass = document.querySelector(".lens-pattern").content.firstElementChild.cloneNode(true);
    if (!words.dataset.expected || !stage) return;
    var off = now.value - expected, way = off > 0 ? -1 : 1;
    var scale = Math.min(30 / Math.abs(off), 6);
    var middle = 52 - way * Math.abs(off) * scale / 2, typedAt = middle + way * Math.abs(off) * scale;
    var half = Math.max(3, Math.min(20, 2 * sd * scale));
    glass.querySelector(".band").setAttribute("y", (middle - half).toFixed(1));
    glass.querySelector(".band").setAttribute("height", (2 * half).toFixed(1));
    glass.querySelector(".bandl").setAttribute("d", "M4 " + middle.toFixed(1) + "H100");
    glass.querySelector(".doubt").setAttribute("d", "M8 " + typedAt.toFixed(1) + "H96");
    glass.querySelector(".doubtf").setAttribute("d", "M24 " + (typedAt - 7).toFixed(1) + "l7 7-7 7-7-7Z");
    var labels = glass.querySelectorAll("text"), unit = now.entry.unit;
    M.lettersInto(labels[0], now.entry.text);
    labels[0].setAttribute("y", (typedAt - 5).toFixed(1));
    labels[1].setAttribute("y", (typedAt + 14).toFixed(1));
    M.lettersInto(labels[2], P.say(expected, unit));
    labels[2].append(" fits");
    labels[2].setAttribute("y", (middle + 4).toFixed(1));
    stage.append(glass);
    var lit = stage.querySelector("circle.litf");
    var frame = stage.getBoundingClientRect(), spot = lit && lit.getBoundingClientRect();
    if (spot && spot.left - frame.left > frame.width * 0.72) glass.classList.add("at-left");
  }

  function closePanels() {
    M.dom.remark.hidden = true;
    M.dom.takes.hidden = true;
    M.dom.both.hidden = true;
    M.page.classList.remove("remarking", "taking", "listing", "comparing");
    M.page.querySelectorAll(".lens").forEach(function (glass) { glass.remove(); });
    M.state.remark = null;
  }

  M.judge = judge;
  M.consider = consider;
  M.prefetch = prefetch;
  M.openRemark = openRemark;
  M.onRemark = onRemark;
  M.closePanels = closePanels;
})();
