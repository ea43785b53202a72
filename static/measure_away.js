// While the laptop is away: the page keeps itself so that a new tab opens, and says beforehand what does not work.
(function () {
  "use strict";

  var M = window.plumbtack.measure;
  var MISSES = 2; // answers in a row that did not come, before it counts as away
  var misses = 0;

  // Whether the laptop has just answered; the outbox finds out by itself when it has something to send.
  function reached(answered) {
    var before = M.outbox.away;
    misses = answered ? 0 : misses + 1;
    if (answered && !M.outbox.waiting().length) M.outbox.away = false;
    if (misses >= MISSES) M.outbox.away = true;
    if (M.outbox.away !== before) M.connection();
  }

  // Whether the laptop lets this phone look; what it says to an entry of a guest is another matter.
  function letIn(open) {
    if (open && M.data.guest) return;
    if (open) M.state.seen.shut = false;
    M.outbox.shut = !open;
  }

  // The browser's own copy may then be shown without asking the laptop. A reload always asks, whatever is kept: that
  // no page on plain http can change, so it is said.
  function keepPage() {
    var here = location.pathname + location.search, bare = location.pathname + M.stageQuery();
    Promise.all(Array.from(new Set([here, bare]), function (address) {
      return fetch(address, { headers: { "X-Keep": "page" }, cache: "no-cache", credentials: "same-origin" })
        .then(function (answer) { return answer.text(); });
    })).then(function () { M.page.dataset.kept = "yes"; }, function () {});
  }

  function leaving(event) {
    if (M.outbox && M.outbox.away) event.preventDefault();
  }

  M.reached = reached;
  M.letIn = letIn;
  M.keepPage = keepPage;
  M.leaving = leaving;
})();
