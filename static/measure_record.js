// Recording, skipping, taking back: every deed is an entry in the outbox before the page goes on.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;

  function record() {
    var step = M.state.step;
    if (M.state.saving || !step) return;
    var now = M.read(step);
    var first = step.unit === "deg" ? M.SAY.typeAngle : M.SAY.typeFirst;
    if (now.value === undefined) return refuse(now.refusal || first);
    if (now.unsided && now.value !== 0) return refuse(M.SAY.side(M.sidesApart(step)));
    M.state.saving = true;
    if (navigator.vibrate) navigator.vibrate(10);
    var judged = M.judge(step, now.value);
    if (M.hides(step) && !(judged && judged.kind === "range")) return keep(step, now, { note: M.SAY.readBlind });
    var remark = M.consider(step, now, judged);
    if (!remark) return keep(step, now, {});
    M.state.saving = false;
    M.openRemark(step, now, remark);
  }

  function refuse(sentence) {
    M.state.refusal = sentence;
    M.draw();
    M.announce(sentence);
  }

  function keep(step, now, extra) {
    M.state.saving = true;
    var entry = Object.assign({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: M.data.stage, type: "reading",
      reading: step.reading, value: now.value, text: signedText(step, now), unit: now.entry.unit
    }, extra);
    var sd = M.stated(step);
    if (sd) entry.sd = sd;
    return M.outbox.add(entry, step.title).then(function () {
      M.skipped.delete(step.key);
      var words = M.outbox.away ? M.SAY.waiting : M.SAY.onItsWay;
      var give = sd ? M.inShort(step, sd, now.entry.unit) : null;
      M.forgetSaid();
      M.state.last = { id: entry.id, step: step, text: now.entry.text, give: give, words: words, landed: false };
      if (M.hides(step)) M.showBoth(step, entry, now);
      else advance(step);
    }).finally(function () { M.state.saving = false; });
  }

  function advance(step) { M.show(M.next(step)); }

  // The side chosen by a tap is part of what was said: it goes into the text, so that the text alone gives the value.
  function signedText(step, now) {
    return now.value < 0 && !now.entry.sign ? "-" + now.entry.text : now.entry.text;
  }

  function note(step, words) {
    return M.outbox.add({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: M.data.stage, type: "note",
      reading: step.reading, note: words
    }, step.title);
  }

  function withdraw(id, reason) {
    return M.outbox.add({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: M.data.stage, type: "withdraw",
      of: id, note: reason
    });
  }

  function skip() {
    if (M.state.saving) return;
    var step = M.state.step;
    M.skipped.add(step.key);
    M.remember("skipped." + M.data.vehicle + "." + M.data.stage, Array.from(M.skipped));
    M.state.last = null;
    M.show(M.next(step));
  }

  // With the walk at its end: what was skipped stands before what comes after the walk.
  function atEnd(left) {
    M.dom.done.querySelector("h1").textContent = left ? M.SAY.skipped(left) : M.SAY.allOfIt;
    M.dom.done.querySelector("[data-skipped]").hidden = !left;
    M.dom.done.querySelector("a.btn").classList.toggle("go", !left);
  }

  function takeSkipped() {
    M.skipped.clear();
    M.remember("skipped." + M.data.vehicle + "." + M.data.stage, []);
    M.show(M.next(null));
  }

  function cannotReach() {
    if (M.state.saving) return;
    var step = M.state.step;
    M.state.saving = true;
    note(step, M.data.cannot_reach).then(function () {
      M.state.last = null;
      M.show(M.next(step));
      M.announce(M.SAY.notReached);
    }).finally(function () { M.state.saving = false; });
  }

  function undo() {
    var deed = M.dom.undo.dataset.deed;
    if (deed === "side") return M.choose(M.state.side === "-" ? "+" : "-");
    if (deed === "takes") return M.openTakes();
    var last = M.state.last;
    if (!last || M.state.saving) return;
    M.state.saving = true;
    withdraw(last.id, M.SAY.tookBack).then(function () {
      M.state.last = null;
      M.show(last.step);
      M.announce(M.SAY.takenBack);
    }).finally(function () { M.state.saving = false; });
  }

  function forgetSaved() { M.state.last = null; }

  M.record = record;
  M.keep = keep;
  M.note = note;
  M.withdraw = withdraw;
  M.skip = skip;
  M.takeSkipped = takeSkipped;
  M.atEnd = atEnd;
  M.cannotReach = cannotReach;
  M.undo = undo;
  M.forgetSaved = forgetSaved;
})();
