// Forms of deciding: plans, rows of holes, aims. Each goes through the same outbox as the readings: it is on the
// phone's disk before it is sent, and arrives once. Without this file the browser sends them as plain forms.
//
// form[data-outbox]    what it is called where it waits; data-not-yet: why it cannot be sent as it stands
// input[data-empty]    what is said where it is left empty
// [data-onphone]       the vehicle; says what waits on this phone and what the laptop would not take
(function () {
  "use strict";

  var P = window.plumbtack;
  var place = document.querySelector("[data-onphone]");
  if (!place) return;
  var PATIENCE = 3000; // ms: an answer later than that finds the person at something else
  var SAY = P.words.decided;

  var outbox = new P.Outbox(place.dataset.onphone, null);
  var sent = {}; // by id: the form, when, and whether it was told that it waits
  var arrived = [];

  outbox.onchange = draw;
  outbox.onothers = draw;
  var ready = outbox.open();

  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (!form.dataset.outbox || form.method !== "post") return;
    event.preventDefault();
    if (form.dataset.busy) return;
    var refusal = emptyIn(form) || form.dataset.notYet;
    if (refusal) return say(form, refusal, "refused");
    form.dataset.busy = "yes";
    var entry = entryOf(form, event.submitter);
    say(form, SAY.sending, "sending");
    sent[entry.id] = { form: form, at: Date.now() };
    ready.then(function () { return outbox.add(entry); });
  });

  function emptyIn(form) {
    var empty = Array.prototype.find.call(form.querySelectorAll("[data-empty]"), function (field) {
      return !field.value.trim();
    });
    return empty && empty.dataset.empty;
  }

  function entryOf(form, submitter) {
    var fields = Array.from(new FormData(form)).filter(function (pair) { return pair[0] !== "id"; });
    if (submitter && submitter.name) fields.push([submitter.name, submitter.value]);
    var named = form.querySelector("[data-empty]");
    return {
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), type: "typed",
      title: form.dataset.outbox + (named ? " “" + named.value.trim() + "”" : ""),
      address: new URL(form.getAttribute("action") || location.pathname, location.href).pathname, fields: fields
    };
  }

  outbox.onlanded = function (ids, answer) {
    ids.forEach(function (id) {
      var mine = sent[id];
      var row = outbox.rows.find(function (one) { return one.id === id; });
      delete sent[id];
      if (!row || row.entry.type !== "typed") return;
      if (mine && !mine.told && Date.now() - mine.at < PATIENCE) return location.assign(answer.onward);
      if (mine) free(mine.form);
      arrived.push(row.entry.title);
    });
  };

  // What was typed is still there to be put right; nothing of a form refused before the person's eyes is kept.
  outbox.onrefused = function (row) {
    var mine = sent[row.id];
    delete sent[row.id];
    if (!mine || !document.contains(mine.form)) return;
    free(mine.form);
    say(mine.form, row.refused, "refused");
    outbox.drop(row);
  };

  function free(form) {
    delete form.dataset.busy;
    var line = form.querySelector("[data-said]");
    if (line) line.remove();
  }

  // One line over the form's button. kind: "sending", "kept" or "refused".
  function say(form, words, kind) {
    var line = form.querySelector("[data-said]") || document.createElement("p");
    if (line.dataset.said === kind && line.textContent === words) return;
    line.dataset.said = kind;
    line.className = kind === "refused" ? "refused plainly" : "small onits";
    line.setAttribute("role", kind === "refused" ? "alert" : "status");
    line.textContent = words;
    var keys = form.querySelectorAll("button[type=submit]");
    var key = keys.length === 1 ? keys[0] : null;
    if (key) key.before(line);
    else form.append(line);
  }

  function waiting() {
    return outbox.waiting().filter(function (row) { return row.entry.type === "typed"; });
  }

  function draw() {
    var late = outbox.away || outbox.shut || outbox.trouble || outbox.failing;
    if (late) {
      Object.keys(sent).forEach(function (id) {
        var form = sent[id].form, lost = outbox.failing === "full" || outbox.failing === "closed";
        delete form.dataset.busy;
        sent[id].told = true;
        say(form, lost ? SAY.open : outbox.shut ? SAY.shut : outbox.trouble ? SAY.trouble(outbox.trouble) : SAY.kept,
          "kept");
      });
    }
    var rows = waiting().filter(function (row) { return late || !sent[row.id]; });
    var apart = outbox.setApart().filter(function (row) { return row.entry.type === "typed"; });
    place.replaceChildren();
    if (rows.length) {
      line(SAY.waits(rows.map(function (row) { return row.entry.title; })));
    }
    if (arrived.length) {
      var again = document.createElement("a");
      again.href = location.href;
      again.textContent = SAY.look;
      line(SAY.arrived(arrived)).append(again);
    }
    apart.forEach(function (row) {
      var key = document.createElement("button");
      key.type = "button";
      key.className = "btn";
      key.textContent = SAY.letGo;
      key.addEventListener("click", function () { outbox.drop(row); });
      line(SAY.refused(row.entry.title, row.refused)).after(key);
    });
    place.hidden = !place.childNodes.length;
  }

  function line(words) {
    var said = document.createElement("p");
    said.textContent = words;
    place.append(said);
    return said;
  }

  window.addEventListener("beforeunload", function (event) {
    if (outbox.fleeting()) event.preventDefault();
  });
  ready.then(function () { place.dataset.ready = "yes"; });
})();
