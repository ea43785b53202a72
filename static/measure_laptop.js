// The laptop's answers: what landed, what the newest log expects, the drawings true to it.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var bench = window.matchMedia("(min-width: 900px)");

  function connection() {
    var waiting = M.outbox.waiting(), apart = M.outbox.setApart(), unseen = apart.filter(notSeen);
    var late = waiting.length && (M.outbox.away || M.outbox.shut || M.outbox.trouble || waiting.length > 1);
    var strip = late ? M.SAY.carryOn(waiting.length) : M.outbox.away ? M.SAY.away : M.outbox.trouble ? M.SAY.notNow
      : unseen.length ? M.SAY.setApart(unseen.length) : M.beside() ? M.SAY.beside : P.photos ? M.SAY.photos(P.photos) : "";
    M.dom.header.classList.toggle("away", !!strip);
    M.dom.under.textContent = strip || M.data.name;
    banner(apart);
    if ((M.outbox.away || M.outbox.trouble) && M.state.last && !M.state.last.landed) {
      M.state.last.words = M.SAY.waiting;
      if (!M.state.text) M.draw();
    }
    goOn();
  }

  // What lasts until it is settled or seen: a phone that cannot store, one that is not let in, entries that the laptop
  // would not take, a laptop that does not answer.
  function banner(apart) {
    var unseen = unseenOf(apart);
    var words = "", lasting = M.outbox.failing === "full" || M.outbox.failing === "closed";
    if (lasting) words = M.SAY[M.outbox.failing];
    else if (M.outbox.shut && !M.state.seen.shut) words = M.data.guest ? M.SAY.onlyLooking : M.SAY.shut;
    else if (unseen.length) words = M.SAY.refused(unseen.map(named), unseen[0].refused);
    else if (M.outbox.trouble && M.state.seen.trouble !== M.outbox.trouble) words = M.SAY.trouble(M.outbox.trouble);
    else if (M.outbox.away && !M.state.seen.away) words = M.SAY.awayMore;
    else if (M.outbox.failing && !M.state.seen.failing) words = M.SAY[M.outbox.failing];
    M.dom.banner.hidden = !words;
    M.dom.banner.querySelector("span").textContent = words;
    M.dom.banner.querySelector("button").hidden = lasting;
  }

  // What was seen is read, and let go, in the other rooms.
  function notSeen(row) { return !row.seen; }

  // Those not taken for one and the same reason are shown together.
  function unseenOf(apart) {
    var rows = apart.filter(notSeen);
    return rows.filter(function (row) { return row.refused === rows[0].refused; });
  }

  // With what was typed, so that it can be written down or typed anew.
  function named(row) {
    var entry = row.entry, step = M.find(entry.reading || "");
    if (entry.type !== "reading") return step ? step.title : entry.title || entry.type;
    return (step ? step.title : entry.reading) + ", " + (entry.text || entry.value) + " " + (entry.unit || "");
  }

  function seen() {
    var unseen = unseenOf(M.outbox.setApart());
    if (M.outbox.shut && !M.state.seen.shut) M.state.seen.shut = true;
    else if (unseen.length) {
      M.outbox.seen(unseen).then(connection); // which goes on to another page: on the phone's disk first
      return banner(M.outbox.setApart());
    } else if (M.outbox.trouble && M.state.seen.trouble !== M.outbox.trouble) M.state.seen.trouble = M.outbox.trouble;
    else if (M.outbox.away && !M.state.seen.away) M.state.seen.away = true;
    else M.state.seen.failing = true;
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
    var query = { v: M.data.version, stage: M.data.stage, run: M.data.run, held: M.data.entries.length };
    if (id) query.landed = id;
    M.state.fetching = true;
    return M.ask("expectations", query, 8000)
      .then(function (answer) {
        M.reached(true);
        M.letIn(answer.status !== 401 && answer.status !== 403);
        M.there(answer);
        return answer.status === 200 ? answer.json() : null;
      })
      .then(function (fresh) {
        if (M.outbox.away) M.outbox.flush();
        if (fresh) takeIn(fresh, id);
      }, function () { M.reached(false); })
      .finally(function () { M.state.fetching = false; });
  }

  // A kept page may be of a stage that was closed or followed by another since. Who asked for its stage stays there,
  // unless it is closed.
  function goesElsewhere(fresh) {
    var asked = new URLSearchParams(location.search).has("stage");
    M.state.onward = fresh.closed || !asked ? fresh.elsewhere : "";
    return goOn();
  }

  // Not before all is sent, and what was not taken has been seen.
  function goOn() {
    if (!M.state.onward || M.state.text || M.outbox.waiting().length || M.outbox.fleeting()) return false;
    if (unseenOf(M.outbox.setApart()).length) return false;
    location.replace(M.state.onward);
    return true;
  }

  function takeIn(fresh, id) {
    if (fresh.version < M.data.version && fresh.run === M.data.run) return; // overtaken on its way by a newer one
    if (goesElsewhere(fresh) || M.outdated(fresh)) return;
    var moved = fresh.version !== M.data.version, before = M.state.step ? M.takesOf(M.state.step.reading) : [];
    M.state.raised = fresh.doubts.filter(function (name) {
      return M.data.doubts.indexOf(name) < 0 || M.state.raised.indexOf(name) >= 0;
    });
    M.data.version = fresh.version;
    M.data.run = fresh.run;
    ["withdrawn", "out_of_reach", "doubts"].forEach(function (name) { M.data[name] = fresh[name]; });
    // told of what came after the entries this page had, or of all
    M.data.entries = M.data.entries.slice(0, fresh.held).concat(fresh.entries);
    M.data.takes = Object.assign({}, fresh.held ? M.data.takes : {}, fresh.takes);
    M.data.steps.forEach(function (step) {
      var now = fresh.expected[step.key];
      if (now) { step.expected = now[0]; step.sd = now[1]; step.own_sd = now[2]; step.limit = now[3]; }
    });
    M.outbox.compare(M.data.entries);
    M.outbox.flush();
    M.noticed(before);
    var last = M.state.last;
    if (fresh.landed && last && last.id === fresh.landed.id) {
      last.words = M.SAY.saved + (fresh.landed.fits && !fresh.landed.look ? M.SAY.fits : "");
      last.line = fresh.landed.line;
      last.look = !fresh.landed.look ? "" : fresh.landed.doubted ? M.SAY.inDoubt : M.SAY.newDoubt;
    }
    if (last && last.landed && !last.look && M.state.raised.length) last.look = M.SAY.newDoubt;
    if (!M.state.text && !M.state.sideChosen && M.state.step) M.state.side = M.sideOf(M.state.step);
    M.refreshStation();
    if (!M.state.text) M.draw();
    if (moved) redraw();
  }

  // The drawings that have changed, true to the newest model; the value being typed is written into them again. On the
  // bench's wide screen each reading has its board, three views in line, which a phone need not carry.
  function redraw() {
    var query = new URLSearchParams(location.search), there = M.page.querySelectorAll("template[data-drawn]");
    var drawn = Array.prototype.map.call(there, function (template) { return template.dataset.drawn; });
    query.set("stage", M.data.stage);
    query.set("has", drawn.concat(M.data.defs).join());
    if (bench.matches) query.set("boards", "1");
    M.ask("measure/drawings", query, 8000)
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        if (!html) return;
        var fresh = new DOMParser().parseFromString(html, "text/html");
        var shared = fresh.querySelector("[data-defs]");
        if (shared) {
          document.querySelectorAll("body > .defs").forEach(function (defs) { defs.remove(); });
          document.body.prepend.apply(document.body, shared.querySelectorAll(".defs"));
          M.data.defs = shared.dataset.defs;
        }
        fresh.querySelectorAll("[data-key]").forEach(function (drawn) {
          var step = M.find(drawn.dataset.key);
          if (!step) return;
          step.node.querySelectorAll(".stage > svg:not(.lens)").forEach(function (svg) { svg.remove(); });
          step.node.querySelector(".stage").prepend.apply(step.node.querySelector(".stage"),
            drawn.querySelectorAll(":scope > svg"));
          step.node.querySelector("template").replaceWith(drawn.querySelector("template"));
        });
        if (!M.state.step) return;
        M.dom.key.replaceChildren(M.state.step.node.querySelector("template").content.cloneNode(true));
        M.draw();
      }, function () {});
  }

  // The boards of all readings, once the screen is wide enough for them.
  function lay() {
    if (bench.matches) redraw();
    bench.addEventListener("change", function () { if (bench.matches) redraw(); });
  }

  M.lay = lay;
  M.connection = connection;
  M.seen = seen;
  M.landed = landed;
  M.follow = follow;
})();
