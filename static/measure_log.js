// What is taken and what comes next: the laptop's list together with what is still on the phone.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure = { SAY: P.words.measure, sentence: P.words.sentence };

  function takesOf(reading) {
    var withdrawn = new Set(M.data.withdrawn);
    var rows = M.outbox ? M.outbox.rows : [];
    rows.forEach(function (row) { if (row.entry.type === "withdraw") withdrawn.add(row.entry.of); });
    var takes = (M.data.takes[reading] || []).filter(function (take) { return !withdrawn.has(take.id); });
    var there = new Set(takes.map(function (take) { return take.id; }));
    rows.forEach(function (row) {
      var entry = row.entry;
      if (entry.type !== "reading" || same(entry.reading) !== same(reading) || row.refused) return;
      if (entry.stage !== M.data.stage || there.has(entry.id) || withdrawn.has(entry.id)) return;
      takes.push({
        id: entry.id, value: entry.value, text: entry.text, unit: entry.unit, at: entry.at, sd: entry.sd,
        local: !row.landed
      });
    });
    return takes;
  }

  function taken(step) { return takesOf(step.reading).length >= step.take; }

  function outOfReach(step) {
    if (taken(step)) return false;
    if (M.data.out_of_reach.indexOf(step.reading) >= 0) return true;
    return M.outbox.rows.some(function (row) {
      return row.entry.type === "note" && row.entry.reading === step.reading && row.entry.note === M.data.cannot_reach;
    });
  }

  function waits(step) { return !taken(step) && !outOfReach(step); }

  function counted(step) { return step.priority === "core" || step === M.state.step || taken(step); }

  function same(name) {
    var parts = /^(span|across|floor_span):(.+)~(.+)$/.exec(name);
    return parts && parts[3] < parts[2] ? parts[1] + ":" + parts[3] + "~" + parts[2] : name;
  }

  function find(key) {
    return M.data.steps.find(function (step) { return step.key === key || same(step.key) === same(key); });
  }

  // The step asked for in the address, once; else what comes next by what is stored.
  function first() { return (M.data.at && find(M.data.at)) || next(null); }

  // The first core step after this one that waits, then from the start; when none does, the checks.
  function next(after) {
    var steps = M.data.steps, from = after ? after.index + 1 : 0;
    var order = steps.slice(from).concat(steps.slice(0, from));
    function open(priority) {
      return order.find(function (step) {
        return step.priority === priority && waits(step) && !M.skipped.has(step.key);
      });
    }
    return open("core") || open("check") || null;
  }

  // What this phone was told to leave for later and nobody has taken since.
  function left() {
    return M.data.steps.filter(function (step) {
      return (step.priority === "core" || step.priority === "check") && waits(step) && M.skipped.has(step.key);
    });
  }

  // On or back by so many, for who only looks.
  function stepBy(number) {
    var steps = M.data.steps, at = M.state.step ? M.state.step.index : -1;
    M.show(steps[(at + number + steps.length) % steps.length]);
  }

  M.stepBy = stepBy;
  M.takesOf = takesOf;
  M.taken = taken;
  M.outOfReach = outOfReach;
  M.waits = waits;
  M.counted = counted;
  M.same = same;
  M.find = find;
  M.first = first;
  M.next = next;
  M.left = left;
})();
