// Reading once more without seeing what was read first: nothing of it shows until the second value is recorded, then
// both stand side by side and he says which one counts.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var ALIKE = 3.29;
  var WAIT_FOR_DISK = 4000;

  // Whether what was read at this step is to stay hidden now.
  function hides(step) {
    var blind = M.data.blind;
    return !!blind && !blind.done && !!step && M.same(step.reading) === M.same(blind.reading);
  }

  function earlier(step, entry) {
    var takes = M.takesOf(step.reading).filter(function (take) { return take.id !== entry.id; });
    var named = takes.filter(function (take) { return M.data.blind.takes.indexOf(take.id) >= 0; });
    return named.length ? named : takes;
  }

  function showBoth(step, entry, now) {
    var takes = earlier(step, entry), first = takes[takes.length - 1], unit = now.entry.unit;
    M.data.blind.done = true;
    if (!first) return M.show(M.next(step));
    var apart = Math.abs(entry.value - first.value);
    var spread = Math.hypot(first.sd || step.own_sd, entry.sd || step.own_sd);
    var alike = apart <= ALIKE * spread;
    var panel = M.dom.both;
    panel.querySelector("h2").textContent = alike ? M.SAY.alike : M.SAY.unlike;
    panel.querySelector("p").textContent = alike ? M.SAY.afterAlike : M.SAY.afterUnlike;
    say(panel, "first", first.value, step, unit);
    say(panel, "now", entry.value, step, unit);
    say(panel, "apart", apart, step, unit);
    var use = panel.querySelector("[data-do=use]"), both = panel.querySelector("[data-do=both]");
    use.replaceChildren.apply(use, [M.SAY.use].concat(said(entry.value, step, unit)));
    use.classList.toggle("go", !alike);
    both.classList.toggle("go", alike);
    M.state.both = { step: step, entry: entry, takes: takes };
    M.page.classList.add("comparing");
    panel.hidden = false;
    M.refreshStation();
    panel.focus({ preventScroll: true });
  }

  function said(value, step, unit) {
    return [value < 0 ? "−" : "", P.lettered(P.say(value, unit, 32)), step.unit === "deg" ? "°" : " " + unit];
  }

  function say(panel, name, value, step, unit) {
    var place = panel.querySelector('[data-said="' + name + '"]');
    place.replaceChildren.apply(place, said(value, step, unit));
  }

  function onBoth(event) {
    var key = event.target.closest("button"), both = M.state.both;
    if (!key || !both || M.state.saving) return;
    M.state.saving = true;
    var back = "/vehicles/" + M.data.vehicle + "/second-look?settled=" + encodeURIComponent(both.entry.id);
    var note = M.data.blind.note + ": " + both.entry.text + " " + both.entry.unit;
    var gone = key.dataset.do !== "use" ? [] : both.takes;
    Promise.all(gone.map(function (take) { return M.withdraw(take.id, note); })).then(function () {
      M.state.both = null;
      return onDisk();
    }).then(function (there) {
      M.state.saving = false;
      if (there) location.assign(back);
      else M.show(M.next(both.step));
    });
  }

  // Whether all of it is on the laptop's disk, asked for a moment only: without it the walk goes on.
  function onDisk() {
    return new Promise(function (resolve) {
      var until = Date.now() + WAIT_FOR_DISK;
      (function look() {
        if (!M.outbox.waiting().length) return resolve(true);
        if (M.outbox.away || Date.now() > until) return resolve(false);
        setTimeout(look, 50);
      })();
    });
  }

  M.hides = hides;
  M.showBoth = showBoth;
  M.onBoth = onBoth;
})();
