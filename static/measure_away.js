// While the laptop is away: the page keeps itself so that a new tab opens, and says beforehand what does not work.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var MISSES = 2; // answers in a row that did not come, before it counts as away
  var misses = 0;
  var compared = false; // with what the laptop has now, since this page was opened

  // Whether the laptop has just answered; the outbox finds out by itself when it has something to send.
  function reached(answered) {
    var before = M.outbox.away;
    misses = answered ? 0 : misses + 1;
    if (answered && !M.outbox.waiting().length) M.outbox.away = false;
    if (!answered) M.outbox.trouble = "";
    if (misses >= MISSES) M.outbox.away = true;
    if (M.outbox.away !== before) M.connection();
  }

  // Whether the laptop lets this phone look; what it says to an entry of a guest is another matter.
  function letIn(open) {
    if (open && M.data.guest) return;
    var before = M.outbox.shut;
    if (open) M.state.seen.shut = false;
    M.outbox.shut = !open;
    if (before !== M.outbox.shut) M.connection();
  }

  // Whether the laptop has this vehicle: an older copy may have been put back that lacks it. Nothing new (204) says that
  // it has all this page was made of.
  function there(answer) {
    if (answer.status === 404) {
      M.outbox.trouble = P.words.outbox.noVehicle;
      M.connection();
    } else if (answer.ok && !M.outbox.waiting().length && M.outbox.trouble) {
      M.outbox.trouble = "";
      M.connection();
    }
    if (answer.status !== 204 || compared) return;
    compared = true;
    M.outbox.compare(M.data.entries);
    M.outbox.flush();
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

  // A page kept or left open while the program was replaced, or one that lacks a reading which others have since named,
  // is made anew: while the laptop answers and nothing would be lost or interrupted by it, and once only.
  function outdated(fresh) {
    var lacking = Object.keys(fresh.takes).filter(function (name) {
      return fresh.takes[name].length && !M.data.steps.some(function (step) {
        return M.same(step.reading) === M.same(name);
      });
    });
    if ((fresh.program === M.data.program && !lacking.length) || busy()) return false;
    var why = [fresh.program].concat(lacking).join(" ");
    try {
      if (sessionStorage.getItem("plumbtack.made") === why) return false;
      sessionStorage.setItem("plumbtack.made", why);
    } catch (trouble) {
      return false;
    }
    var query = new URLSearchParams(location.search);
    if (M.state.step) query.set("at", M.state.step.key);
    history.replaceState(history.state, "", location.pathname + "?" + query);
    location.reload();
    return true;
  }

  function busy() {
    return M.state.text || M.state.saving || M.state.sideChosen || Object.keys(M.state.gives).length || M.data.blind ||
      held() || M.outbox.waiting().length || M.page.matches(".remarking, .taking, .listing, .comparing");
  }

  // Whether another page would not come, or something would be gone with this one.
  function held() { return !!M.outbox && (M.outbox.away || M.outbox.fleeting()); }

  function leaving(event) {
    if (held()) event.preventDefault();
  }

  M.reached = reached;
  M.letIn = letIn;
  M.there = there;
  M.held = held;
  M.outdated = outdated;
  M.keepPage = keepPage;
  M.leaving = leaving;
})();
