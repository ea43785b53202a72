// The page of one reading at a time. All steps of the walk are in it when it loads; nothing waits for the network.
// The parts: measure_log, _view, _pad, _give, _record, _remark, _blind, _takes, _away, _others, _laptop; what
// they share is `plumbtack.measure`.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var FOLLOW = 1000;
  var REST = 700;
  var later = null;

  document.addEventListener("DOMContentLoaded", begin);

  function begin() {
    M.page = document.querySelector("[data-measure]");
    M.page.classList.remove("unscripted");
    M.data = JSON.parse(document.getElementById("walk").textContent);
    M.dom = parts({
      header: ".tb", name: ".tb-name b", under: ".tb-name span", key: ".tb-key", count: ".tb-count", val: ".val",
      say: ".val .say", undo: ".val .undo", output: ".val output", unitName: ".unitname", pad: ".pad",
      remark: ".remark", both: ".twice", takes: ".readhere", done: ".walkdone", live: ".announce", banner: ".banner"
    });
    M.data.steps.forEach(function (step, index) {
      step.index = index;
      step.node = M.page.querySelector('.step[data-key="' + CSS.escape(step.key) + '"]');
    });
    M.skipped = new Set(remembered("skipped." + M.data.vehicle + "." + M.data.stage, []));
    M.state = {
      step: null, text: "", side: null, units: remembered("units", {}), saving: false, last: null, seen: {}, gives: {},
      raised: [] // doubts that came up since and were not said yet
    };
    if (remembered("lefty", false)) M.page.classList.add("lefty");
    M.outbox = new P.Outbox(M.data.vehicle, M.data.entries);
    M.outbox.onchange = M.connection;
    M.outbox.onlanded = M.landed;
    M.outbox.onothers = function () {
      M.refreshStation();
      if (!M.state.text) M.draw();
    };
    listen();
    M.lay();
    M.listenToTabs();
    M.listenToGive();
    M.page.querySelectorAll(".step").forEach(function (node) { node.hidden = true; });
    M.show(M.first(), true);
    M.outbox.open().then(function () {
      if (M.data.at) M.refreshStation();
      else M.show(M.first(), true);
      M.page.dataset.ready = "yes";
      M.follow();
      M.keepPage();
    });
    setInterval(M.follow, FOLLOW);
  }

  function parts(selectors) {
    var found = {};
    Object.keys(selectors).forEach(function (name) { found[name] = M.page.querySelector(selectors[name]); });
    return found;
  }

  // A question to the laptop about this vehicle; its answer, whatever it is.
  function ask(what, query, milliseconds) {
    return fetch("/vehicles/" + M.data.vehicle + "/" + what + "?" + new URLSearchParams(query),
      { credentials: "same-origin", signal: P.timeout(milliseconds) });
  }

  function listing(open) {
    M.page.classList.toggle("listing", open);
    M.dom.count.setAttribute("aria-expanded", String(open));
  }

  function listen() {
    M.dom.pad.addEventListener("click", M.press);
    M.dom.pad.addEventListener("submit", function (event) { event.preventDefault(); });
    // A tapped key does not take the keyboard's focus: Enter records, and space goes between 24 and 1/8.
    M.page.addEventListener("mousedown", function (event) {
      if (event.target.closest("button, summary")) event.preventDefault();
    });
    M.page.addEventListener("click", function (event) {
      var side = event.target.closest(".sides button");
      if (side) M.choose(side.dataset.side);
      var row = event.target.closest("[data-row] a");
      if (row) {
        event.preventDefault();
        M.state.last = null;
        M.show(M.find(row.closest("[data-row]").dataset.row));
      }
      if (event.target.closest("[data-do=skipped]")) M.takeSkipped();
      if (event.target.closest("[data-do=lefty]")) remember("lefty", M.page.classList.toggle("lefty"));
    });
    M.page.addEventListener("click", staying);
    M.dom.remark.addEventListener("click", M.onRemark);
    M.dom.takes.addEventListener("click", M.onTakes);
    M.dom.both.addEventListener("click", M.onBoth);
    M.dom.undo.addEventListener("click", M.undo);
    M.dom.banner.querySelector("button").addEventListener("click", M.seen);
    M.dom.unitName.addEventListener("click", function () { M.setUnit(M.ROUND[M.unitOf(M.state.step)]); });
    // The list lies over the keypad: the keyboard goes to its rows, and where it goes on past the last it gives way.
    M.dom.count.addEventListener("click", function (event) {
      listing(!M.page.classList.contains("listing"));
      var row = !event.detail && M.page.classList.contains("listing") && M.page.querySelector(".side:not([hidden]) a");
      if (row) row.focus();
    });
    M.page.addEventListener("focusin", function (event) {
      if (M.page.classList.contains("listing") && !event.target.closest(".side, .tb")) listing(false);
    });
    document.addEventListener("keydown", M.onKey);
    document.addEventListener("visibilitychange", M.follow);
    document.addEventListener("photos", M.connection);
    window.addEventListener("beforeunload", M.leaving);
    if (M.data.guest) {
      M.page.querySelector("[data-do=before]").addEventListener("click", function () { M.stepBy(-1); });
      M.page.querySelector("[data-do=after]").addEventListener("click", function () { M.stepBy(1); });
    }
    window.addEventListener("popstate", function (event) {
      var step = event.state && event.state.key && M.find(event.state.key);
      M.state.last = null;
      if (step) M.show(step, true);
    });
  }

  // While the laptop is away another page cannot come, and this one would be lost to it; so would what the phone's store
  // did not take. It stays, says so, and shows the readings of the station, which need no laptop.
  function staying(event) {
    var link = event.target.closest("a[href]");
    if (!link || link.closest("[data-row]") || !M.held()) return;
    event.preventDefault();
    M.state.seen.away = false;
    M.connection();
    if (!M.state.step) return;
    listing(true);
  }

  function announce(words) {
    clearTimeout(later);
    M.dom.live.textContent = words;
  }

  // Once the fingers rest, so that not every key is talked over.
  function announceLater(words) {
    clearTimeout(later);
    later = setTimeout(function () { announce(words); }, REST);
  }

  function remembered(name, otherwise) {
    try {
      var kept = localStorage.getItem("plumbtack." + name);
      return kept === null ? otherwise : JSON.parse(kept);
    } catch (trouble) {
      return otherwise;
    }
  }

  function remember(name, value) {
    try {
      localStorage.setItem("plumbtack." + name, JSON.stringify(value));
    } catch (trouble) { /* a convenience only: the page works without it */ }
  }

  M.ask = ask;
  M.announce = announce;
  M.announceLater = announceLater;
  M.remember = remember;
})();
