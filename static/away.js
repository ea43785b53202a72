// Whether the laptop answers, in every room: a strip says when it does not and how much waits on this phone. Photos and
// what waits of other vehicles go over from here too, and after an older copy was put back what the laptop lacks is
// offered again. A link does not leave a page that works for one that would not come.
//
// [data-away]                  the strip
// plumbtack.away.is()          the laptop does not answer now
// plumbtack.away.unsure()      nor was it heard of a moment ago: ask before a page is left for another
// plumbtack.away.reach()       -> promise: whether it answers
// plumbtack.away.missed()      it has just not answered what a person wanted of it
(function () {
  "use strict";

  var P = window.plumbtack;
  var strip = document.querySelector("[data-away]");
  if (!strip) return;
  var SAY = P.words.away;
  var icon = document.querySelector("link[rel=icon]").href; // answers whoever asks, from memory
  var EVERY = 4000, AGAIN = 1500, TIMEOUT = 8000, SOON = 2500; // ms
  var MISSES = 2; // answers in a row that did not come, before it counts as away; one is enough where a person asked
  var NEWS = 1500; // ms: so long an answer tells that the laptop is there
  var misses = 0, away = false, wanted = false, timer = null, heard = Date.now();
  var own = P.held ? P.held.outbox : null;
  var others = [];

  function isAway() { return away || !!(own && own.away); }
  function unsure() { return isAway() || navigator.onLine === false || Date.now() - heard > NEWS; }

  function waiting() {
    var photos = 0;
    try { photos = Number(localStorage.getItem("plumbtack.photos")) || 0; } catch (trouble) { /* not told, then */ }
    return others.concat(own || []).reduce(function (sum, outbox) { return sum + outbox.waiting().length; }, photos);
  }

  function draw() {
    var words = !isAway() ? "" : SAY.strip(waiting()) + " " + (wanted ? SAY.stays : own ? SAY.carryOn : "");
    if (!words) wanted = false;
    if (strip.textContent !== words) strip.textContent = words;
  }

  // ---- asking ----

  function ask(patience) {
    return fetch(icon, { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout && AbortSignal.timeout(patience) })
      .then(function () { return true; }, function () { return false; });
  }

  function reach() {
    return ask(SOON).then(function (there) {
      if (there) answered();
      else missed(MISSES);
      return there;
    });
  }

  function probe() {
    clearTimeout(timer);
    var asked = document.hidden ? Promise.resolve() : ask(TIMEOUT).then(function (there) {
      if (there) answered();
      else missed();
    });
    asked.then(function () {
      clearTimeout(timer);
      timer = setTimeout(probe, misses ? AGAIN : EVERY);
    });
  }

  function answered() {
    var back = isAway();
    heard = Date.now();
    misses = 0;
    away = false;
    if (own) own.away = false;
    draw();
    if (!back) return;
    if (P.photosHeld) P.photosHeld.flush();
    others.concat(own || []).forEach(function (outbox) {
      outbox.hurry();
      outbox.offerAgain();
    });
  }

  function missed(counts) {
    misses += counts || 1;
    if (misses >= MISSES) away = true;
    draw();
  }

  // ---- what waits of other vehicles, and what an older copy lacks ----

  function bringOver(rows) {
    var vehicles = new Set(rows.filter(function (row) {
      return row.entry && !holds(row.vehicle) && !row.refused && (!row.landed || !own);
    }).map(function (row) { return row.vehicle; }));
    vehicles.forEach(function (vehicle) {
      var outbox = new P.Outbox(vehicle, null);
      outbox.onchange = draw;
      others.push(outbox);
      outbox.open().then(function () { outbox.offerAgain(); });
    });
  }

  function holds(vehicle) {
    return others.concat(own || []).some(function (outbox) { return outbox.vehicle === vehicle; });
  }

  // Of this vehicle something was stored in another tab, and this page did not know of it.
  function listen() {
    if (!window.BroadcastChannel) return;
    new BroadcastChannel("plumbtack.outbox").onmessage = function (event) {
      if (!holds(event.data)) P.store.everything().then(bringOver, function () {});
    };
  }

  // ---- links ----

  document.addEventListener("click", function (event) {
    var link = event.target.closest && event.target.closest("a[href]");
    if (!link || event.defaultPrevented || !unsure() || event.ctrlKey || event.metaKey || event.shiftKey) return;
    var to = new URL(link.getAttribute("href"), location.href); // a bolt of a drawing has no plain link.href
    var here = to.pathname + to.search === location.pathname + location.search;
    if (to.origin !== location.origin || (here && to.hash)) return;
    event.preventDefault();
    opens(to).then(function (does) {
      if (does) return location.assign(to.href);
      wanted = true;
      draw();
    });
  });

  // The walk keeps its page in the browser; every other page is made by the laptop.
  function opens(to) {
    var kept = !/\/measure$/.test(to.pathname) ? Promise.resolve(false)
      : fetch(to.href, { cache: "only-if-cached", mode: "same-origin" })
        .then(function (answer) { return answer.ok; }, function () { return false; });
    return kept.then(function (is) { return is || reach(); });
  }

  P.away = { is: isAway, unsure: unsure, reach: reach, missed: function () { missed(MISSES); probe(); } };
  if (own) {
    P.held.onchange = draw;
    P.held.ready.then(function () { return own.offerAgain(); });
  }
  if (P.store) {
    listen();
    P.store.everything().then(bringOver, function () {}).then(function () {
      document.querySelector("[data-onphone]").dataset.ready = "yes";
    });
  }
  // A room that follows the phone asks every second.
  document.addEventListener("htmx:afterRequest", function (event) { if (event.detail.successful) heard = Date.now(); });
  document.addEventListener("htmx:sendError", function () { missed(MISSES); probe(); });
  document.addEventListener("photos", draw);
  window.addEventListener("offline", probe);
  window.addEventListener("online", probe);
  window.addEventListener("pageshow", function (event) { if (event.persisted) probe(); });
  document.addEventListener("visibilitychange", function () { if (!document.hidden) probe(); });
  probe();
})();
