// Forms that can wait: what they make are entries of the log, or facts. Each goes through the same outbox as the
// readings: it is on the phone's disk before it is sent, and arrives once.
//
// form[data-outbox]    what it is called where it waits; data-not-yet: why it cannot be sent as it stands
//   data-changed       of its fields only those are sent that were changed
//   data-refused       "page": a refusal is shown by the page itself, at the field it is about
// input[data-empty]    what is said where it is left empty; input[data-named]: its words belong to what it is called
// input[data-reads]    its text is read as a reading is, a bare number in this unit: what cannot be is refused here
// [data-onphone]       the vehicle; says what waits on this phone and what the laptop would not take
// plumbtack.held       { outbox, take(form, submitter), ready, onchange }
(function () {
  "use strict";

  var P = window.plumbtack;
  var place = document.querySelector("[data-onphone]");
  if (!place || !place.dataset.onphone) return;
  var PATIENCE = 3000; // ms: an answer later than that finds the person at something else
  var MOST_NAMED = 3;
  var SAY = P.words.held;

  var outbox = new P.Outbox(place.dataset.onphone, null);
  var sent = {}; // by id: the form, its key, when, and whether it was told that it waits
  var arrived = [];
  var held = P.held = { outbox: outbox, take: take, onchange: function () {} };

  outbox.onchange = draw;
  outbox.onothers = draw;
  held.ready = outbox.open();

  function take(form, submitter) {
    var refusal = emptyIn(form) || form.dataset.notYet;
    if (refusal) return P.forms.say(form, refusal, "refused");
    if (P.unread.anyIn(form)) return P.forms.free(form);
    var entry = entryOf(form, submitter);
    form.dataset.busy = "yes";
    P.forms.say(form, SAY.sending, "sending");
    held.ready.then(function () {
      if (waitsAlready(entry)) return again(form);
      sent[entry.id] = { form: form, submitter: submitter, at: Date.now() };
      return outbox.add(entry);
    });
  }

  // Pressed once more while it waits: it is the same one.
  function again(form) {
    delete form.dataset.busy;
    P.forms.say(form, SAY.kept, "kept");
    outbox.hurry();
  }

  function waitsAlready(entry) {
    var fields = JSON.stringify(entry.fields);
    return typed(outbox.waiting()).some(function (row) {
      return row.entry.address === entry.address && JSON.stringify(row.entry.fields) === fields;
    });
  }

  function emptyIn(form) {
    var empty = Array.prototype.find.call(form.querySelectorAll("[data-empty]"), function (field) {
      return !field.value.trim();
    });
    return empty && empty.dataset.empty;
  }

  function entryOf(form, submitter) {
    var some = "changed" in form.dataset && !form.querySelector("[aria-invalid]");
    var changed = "changed" in form.dataset
      ? Array.prototype.filter.call(form.querySelectorAll("input:not([type=hidden]), select"), P.isChanged) : [];
    var names = changed.map(function (field) { return field.name; });
    var fields = Array.from(new FormData(form)).filter(function (pair) {
      var hidden = form.querySelector('input[type=hidden][name="' + CSS.escape(pair[0]) + '"]');
      return pair[0] !== "id" && (!some || hidden || names.indexOf(pair[0]) >= 0);
    });
    if (submitter && submitter.name) fields.push([submitter.name, submitter.value]);
    return {
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), type: "typed",
      title: form.dataset.outbox + named(form, changed),
      address: new URL(form.getAttribute("action") || location.pathname, location.href).pathname, fields: fields
    };
  }

  // What was typed, so that it can be read where it waits or was refused.
  function named(form, changed) {
    var one = form.querySelector("[data-empty], [data-named]");
    if (one) return one.value.trim() ? " “" + one.value.trim() + "”" : "";
    var said = changed.slice(0, MOST_NAMED).map(function (field) {
      var shown = field.selectedOptions ? field.selectedOptions[0].textContent : field.value;
      return (field.labels[0] ? field.labels[0].textContent + " " : "") + "“" + shown.trim() + "”";
    });
    return said.length ? ": " + said.join(", ") + (changed.length > MOST_NAMED ? " …" : "") : "";
  }

  outbox.onlanded = function (ids, answer) {
    ids.forEach(function (id) {
      var mine = sent[id];
      var row = outbox.rows.find(function (one) { return one.id === id; });
      delete sent[id];
      if (!row || row.entry.type !== "typed") return;
      if (mine && !mine.told && Date.now() - mine.at < PATIENCE) return onward(answer.onward);
      if (mine) P.forms.free(mine.form);
      arrived.push(row.entry.title);
    });
  };

  // Also where that is a place in this very page, which is then made anew.
  function onward(address) {
    var to = new URL(address, location.href), here = to.pathname + to.search === location.pathname + location.search;
    location.assign(to.href);
    if (here && to.hash) location.reload();
  }

  // What was typed is still there to be put right; nothing of a form refused before the person's eyes is kept.
  outbox.onrefused = function (row) {
    var mine = sent[row.id];
    delete sent[row.id];
    if (!mine || !document.contains(mine.form)) return;
    P.forms.free(mine.form);
    if (mine.form.dataset.refused === "page") {
      if (mine.told) return; // it stands above with what was typed
      outbox.drop(row);
      P.forms.ask(mine.form, mine.submitter);
      return;
    }
    P.forms.say(mine.form, row.refused, "refused");
    outbox.drop(row);
  };

  function typed(rows) {
    return rows.filter(function (row) { return row.entry.type === "typed"; });
  }

  function draw() {
    var late = outbox.away || outbox.shut || outbox.trouble || outbox.failing;
    if (late) Object.keys(sent).forEach(tellLate);
    var rows = outbox.waiting().filter(function (row) { return late || (row.entry.type === "typed" && !sent[row.id]); });
    place.replaceChildren();
    if (rows.length) line(SAY.waits(rows.map(titleOf)));
    if (rows.length && outbox.shut) line(SAY.shut);
    else if (rows.length && outbox.trouble) line(SAY.trouble(outbox.trouble));
    if (arrived.length) {
      var again = document.createElement("a");
      again.href = location.href;
      again.textContent = SAY.look;
      line(SAY.arrived(arrived)).append(again);
    }
    outbox.setApart().forEach(function (row) {
      var key = document.createElement("button");
      key.type = "button";
      key.className = "btn";
      key.textContent = SAY.letGo;
      key.addEventListener("click", function () { outbox.drop(row); });
      line(SAY.refused(titleOf(row), row.refused)).after(key);
    });
    place.hidden = !place.childNodes.length;
    held.onchange();
  }

  function tellLate(id) {
    var form = sent[id].form, lost = outbox.failing === "full" || outbox.failing === "closed";
    delete form.dataset.busy;
    sent[id].told = true;
    P.forms.say(form, lost ? SAY.open : outbox.shut ? SAY.shut : outbox.trouble ? SAY.trouble(outbox.trouble) : SAY.kept,
      "kept");
  }

  // What a row is called, with the value of a reading, so that it can be written down or typed anew.
  function titleOf(row) {
    var entry = row.entry, title = row.title || entry.title || SAY.kinds[entry.type] || entry.type;
    return entry.type !== "reading" ? title
      : (row.title || entry.reading) + ", " + (entry.text || entry.value) + " " + (entry.unit || "");
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
})();
