// Others at the same vehicle: another tab of this browser at the same reading, and what other phones read or withdraw.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var me = P.newId();
  var tabs = {}; // the other tabs of this browser: tab -> the vehicle and reading it shows
  var channel = window.BroadcastChannel ? new BroadcastChannel("plumbtack.tabs") : null;

  function place() {
    return M.data.vehicle + " " + (M.state.step ? M.state.step.reading : "");
  }

  function tell(gone) {
    if (channel && M.state) channel.postMessage({ tab: me, place: gone ? null : place() });
  }

  function listen() {
    if (!channel) return;
    channel.onmessage = function (event) {
      var other = event.data, known = other.tab in tabs;
      if (other.place === null) delete tabs[other.tab];
      else tabs[other.tab] = other.place;
      if (!known && other.place !== null) tell(); // it has just opened, and does not know of this one yet
      M.connection();
    };
    window.addEventListener("pagehide", function () { tell(true); });
    window.addEventListener("pageshow", function () { tell(); });
    tell();
  }

  // Whether another tab of this browser stands at the reading in view.
  function beside() {
    var here = place();
    return !!M.state.step && Object.keys(tabs).some(function (tab) { return tabs[tab] === here; });
  }

  // What has changed at the reading in view since `before` and was not done here: said, and shown beside the value.
  function noticed(before) {
    var step = M.state.step;
    if (!step || M.hides(step)) return;
    var now = M.takesOf(step.reading), mine = own();
    var gone = before.filter(function (take) { return !holds(now, take) && !mine.has(take.id); });
    var come = now.filter(function (take) { return !holds(before, take) && !mine.has(take.id); });
    if (!gone.length && !come.length) return;
    var said = gone.length ? M.SAY.goneElsewhere(text(gone[0], step)) : M.SAY.readElsewhere(text(come[0], step));
    M.state.elsewhere = said;
    M.announce(said);
    if (!M.dom.takes.hidden) M.openTakes();
  }

  function own() {
    var ids = new Set();
    M.outbox.rows.forEach(function (row) { ids.add(row.id).add(row.entry.of); });
    return ids;
  }

  function holds(takes, one) {
    return takes.some(function (take) { return take.id === one.id; });
  }

  function text(take, step) {
    return (take.text || P.say(take.value, M.unitOf(step))) + " " + (step.unit === "deg" ? "°" : take.unit || "");
  }

  M.tellTabs = tell;
  M.listenToTabs = listen;
  M.beside = beside;
  M.noticed = noticed;
})();
