// Every form that changes something, in every room: no button of it leads to the browser's own error page, and what was
// typed stays. A form with data-outbox waits on this phone (held.js). Any other is asked here: its answer is shown in
// this page or leads on, and where the laptop does not answer the page stays as it is and says so. Pressing again is
// safe: what is sent has an id, by which the laptop knows it. Without this file the browser sends them as plain forms.
//
// plumbtack.forms.say(form, words, kind)  one line over the form's button: "sending", "kept" or "refused"
// plumbtack.forms.free(form)              it can be pressed again, and nothing is said at it
// plumbtack.forms.ask(form, submitter)    sends it as it stands and shows what the laptop answers
// "shown"                                 event of the document: another part of a page has come in
(function () {
  "use strict";

  var P = window.plumbtack;
  var PATIENCE = 8000; // ms
  var SLOWEST = 50; // bytes a ms, of a file on a poor network
  var SAY = P.words.forms;

  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (event.defaultPrevented) return;
    if (form.method !== "post") return look(event, form);
    event.preventDefault();
    if (form.dataset.busy) return;
    if (P.held && form.dataset.outbox) P.held.take(form, event.submitter);
    else ask(form, event.submitter);
  });

  // A form that only looks something up: while the laptop is away it stays here, filled in.
  function look(event, form) {
    if (!P.away || !P.away.unsure()) return;
    event.preventDefault();
    P.away.reach().then(function (there) {
      if (there) form.requestSubmit(event.submitter);
      else say(form, SAY.noAnswer, "refused");
    });
  }

  function ask(form, submitter) {
    var fields = new FormData(form), bytes = 0;
    form.dataset.busy = "yes";
    say(form, SAY.sending, "sending");
    if (submitter && submitter.name) fields.append(submitter.name, submitter.value);
    if (!fields.get("id")) fields.append("id", form.dataset.id = form.dataset.id || P.newId());
    fields.forEach(function (value) { bytes += value.size || 0; });
    return fetch(form.getAttribute("action") || location.pathname, {
      method: "POST",
      headers: { Accept: "text/html" },
      body: form.enctype === "multipart/form-data" ? fields : new URLSearchParams(fields),
      credentials: "same-origin",
      signal: P.timeout(PATIENCE + bytes / SLOWEST)
    }).then(function (answer) {
      return answer.text().then(function (html) { answered(form, answer, html); });
    }).catch(function () {
      free(form);
      say(form, SAY.noAnswer, "refused");
      if (P.away) P.away.missed();
    });
  }

  // On to where the answer leads; or the page of the answer, where it has this form, or what a form was sent for.
  // Whatever else stands in the way is said at the form, so that nothing typed goes.
  function answered(form, answer, html) {
    if (answer.redirected) return location.assign(answer.url);
    var page = new DOMParser().parseFromString(html, "text/html"), action = form.getAttribute("action");
    var same = Array.prototype.some.call(page.querySelectorAll("main form"), function (one) {
      return one.getAttribute("action") === action;
    });
    if (answer.ok || (same && answer.status === 422)) return show(page);
    var told = page.querySelector("main h1 + p") || page.querySelector("main h1");
    free(form);
    say(form, (told && told.textContent.trim()) || SAY.notTaken, "refused");
  }

  function show(page) {
    var main = document.adoptNode(page.querySelector("main"));
    document.title = page.title;
    document.querySelector("main").replaceWith(main);
    if (window.htmx) window.htmx.process(main);
    document.dispatchEvent(new Event("shown"));
    var first = main.querySelector("[aria-invalid=true], [role=alert]") || main;
    if (!first.matches("input, select, textarea")) first.tabIndex = -1;
    first.focus({ preventScroll: true });
    first.scrollIntoView({ block: first === main ? "start" : "center" });
  }

  function free(form) {
    delete form.dataset.busy;
    var line = form.querySelector("[data-said]");
    if (line) line.remove();
  }

  function say(form, words, kind) {
    var line = form.querySelector("[data-said]") || document.createElement("p");
    if (line.dataset.said === kind && line.textContent === words) return;
    line.dataset.said = kind;
    line.className = kind === "refused" ? "refused plainly" : "small onits";
    line.setAttribute("role", kind === "refused" ? "alert" : "status");
    line.textContent = words;
    var keys = form.querySelectorAll("button[type=submit]");
    var key = keys.length === 1 ? keys[0] : null;
    if (key && key.parentNode.classList.contains("withkey")) key.parentNode.after(line);
    else if (key) key.before(line);
    else form.append(line);
  }

  // A page that the way back brings from memory.
  window.addEventListener("pageshow", function (event) {
    if (event.persisted) document.querySelectorAll("form[data-busy]").forEach(free);
  });

  P.forms = { say: say, free: free, ask: ask };
})();
