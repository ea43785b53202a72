// The laptop's answers: what landed, what the newest log expects, the drawings true to it.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;

  function connection() {
    var waiting = M.outbox.waiting(), apart = M.outbox.setApart();
    var late = waiting.length && (M.outbox.away || waiting.length > 1);
    M.dom.header.classList.toggle("away", !!(late || apart.length));
    M.dom.under.textContent = late ? M.SAY.carryOn(waiting.length)
      : apart.length ? M.SAY.setApart(apart.length) : M.data.name;
    banner(apart);
    if (M.outbox.away && M.state.last && !M.state.last.landed) {
      M.state.last.words = M.SAY.waiting;
      if (!M.state.text) M.draw();
    }
  }

  // What lasts until it is settled: a phone that cannot store, entries that the laptop would not take.
  function banner(apart) {
    var unseen = apart.filter(function (row) { return !row.seen; })[0];
    var words = M.outbox.failing ? M.SAY[M.outbox.failing] : "";
    if (!words && unseen) {
      var step = M.find(unseen.entry.reading || "");
      words = M.SAY.refused(step ? step.title : unseen.entry.type, unseen.refused);
    }
    M.dom.banner.hidden = !words;
    M.dom.banner.querySelector("span").textContent = words;
    M.dom.banner.querySelector("button").hidden = !!M.outbox.failing;
  }

  function seen() {
    M.outbox.setApart().forEach(function (row) { row.seen = true; });
    connection();
  }

  function landed(ids) {
    var last = M.state.last;
    if (last && ids.indexOf(last.id) >= 0) {
      last.landed = true;
      last.words = M.SAY.saved;
      if (!M.state.text) M.draw();
    }
    expectations(last && last.landed ? last.id : ids[ids.length - 1]);
  }

  function follow() {
    if (document.hidden || M.state.fetching) return;
    expectations(null);
  }

  // What the newest log predicts for every step. Refreshes counts, rows and drawings, never what is being typed.
  function expectations(id) {
    var query = { v: M.data.version, stage: M.data.stage };
    if (id) query.landed = id;
    M.state.fetching = true;
    return M.ask("expectations", query, 8000)
      .then(function (answer) {
        if (answer.status === 200) return answer.json();
        return null;
      })
      .then(function (fresh) {
        if (M.outbox.away) M.outbox.flush();
        if (fresh) takeIn(fresh, id);
      }, function () {})
      .finally(function () { M.state.fetching = false; });
  }

  function takeIn(fresh, id) {
    if (fresh.version < M.data.version) return;
    var moved = fresh.version !== M.data.version;
    M.data.version = fresh.version;
    ["takes", "withdrawn", "out_of_reach", "doubts", "entries"].forEach(function (name) {
      M.data[name] = fresh[name];
    });
    M.data.steps.forEach(function (step) {
      var now = fresh.expected[step.key];
      if (now) { step.expected = now[0]; step.sd = now[1]; step.own_sd = now[2]; step.limit = now[3]; }
    });
    M.outbox.compare(M.data.entries);
    M.outbox.flush();
    var last = M.state.last;
    if (fresh.landed && last && last.id === fresh.landed.id) {
      last.words = M.SAY.saved + (fresh.landed.fits && !fresh.landed.look ? M.SAY.fits : "");
      last.line = fresh.landed.line;
      last.look = !fresh.landed.look ? "" : fresh.landed.doubted ? M.SAY.inDoubt : M.SAY.newDoubt;
    }
    if (!M.state.text && !M.state.sideChosen && M.state.step) M.state.side = M.sideOf(M.state.step);
    M.refreshStation();
    if (!M.state.text) M.draw();
    if (moved) redraw();
  }

  // All drawings anew, true to the newest model; the value being typed is written into them again.
  function redraw() {
    var query = new URLSearchParams(location.search);
    query.set("stage", M.data.stage);
    M.ask("measure/drawings", query, 8000)
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        if (!html) return;
        var fresh = new DOMParser().parseFromString(html, "text/html");
        document.querySelector("body > .defs").replaceWith(fresh.querySelector(".defs"));
        fresh.querySelectorAll("[data-key]").forEach(function (drawn) {
          var step = M.find(drawn.dataset.key);
          if (!step) return;
          step.node.querySelector(".stage > svg:not(.lens)").replaceWith(drawn.querySelector("svg"));
          step.node.querySelector("template").replaceWith(drawn.querySelector("template"));
        });
        if (!M.state.step) return;
        M.dom.key.replaceChildren(M.state.step.node.querySelector("template").content.cloneNode(true));
        M.draw();
      }, function () {});
  }

  M.connection = connection;
  M.seen = seen;
  M.landed = landed;
  M.follow = follow;
})();
