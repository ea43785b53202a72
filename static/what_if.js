// A bolt moved by hand on paper: dragged, stepped with keys or arrows, typed. The server works it out and sends the
// parts of the page anew. Every deed works without this file, by forms and links.
(function () {
  "use strict";

  var page = document.getElementById("paper");
  if (!page) return;
  var asked = 0, shown = 0; // numbers of the requests sent and of the answer in view
  var held = null; // the drag under way
  var STEP = { "16th": 25.4 / 16, quarter: 25.4 / 4, mm: 1, cm: 10 };

  function here() {
    return new URL(page.dataset.address, location.href);
  }

  // One request; an answer older than what is in view is dropped.
  function show(address, after) {
    var mine = asked += 1, url = new URL(address, location.href);
    url.searchParams.set("part", "1");
    return fetch(url, { headers: { Accept: "text/html" }, credentials: "same-origin" }).then(function (answer) {
      return answer.text().then(function (text) {
        if (mine < shown || !answer.ok) return;
        shown = mine;
        put(text);
        if (after) after();
      });
    }).catch(function () {
      // The laptop is away: what stands on the page stays, and the next deed asks again.
      var line = document.createElement("p");
      line.className = "refused plainly";
      line.textContent = window.plumbtack.words.whatIf.noAnswer;
      page.querySelector('[data-part="refused"]').replaceChildren(line);
      if (window.plumbtack.away) window.plumbtack.away.missed();
    });
  }

  function put(text) {
    var fresh = new DOMParser().parseFromString(text, "text/html").getElementById("paper");
    if (!fresh) return;
    var focus = document.activeElement && document.activeElement.closest("[data-part]") ? nameOf(document.activeElement) : "";
    var open = Array.prototype.map.call(page.querySelectorAll("details[open]"), function (one) { return one.id; });
    page.querySelectorAll("[data-part]").forEach(function (part) {
      var next = fresh.querySelector('[data-part="' + part.dataset.part + '"]');
      if (next) part.replaceChildren.apply(part, Array.prototype.slice.call(document.adoptNode(next).childNodes));
    });
    page.dataset.address = fresh.dataset.address;
    open.forEach(function (id) { var one = document.getElementById(id); if (one) one.open = true; });
    if (focus) {
      var successor = page.querySelector(focus);
      if (successor) successor.focus({ preventScroll: true });
    }
    if (!held) history.replaceState(null, "", page.dataset.address);
  }

  // How the same thing is found again after its part was put in anew.
  function nameOf(element) {
    if (element.dataset.focus) return '[data-focus="' + element.dataset.focus + '"]';
    if (element.dataset.point) return '[data-point="' + CSS.escape(element.dataset.point) + '"]';
    return element.id ? "#" + CSS.escape(element.id) : "";
  }

  // One deed after the other: a key tapped while the one before is on its way begins from what that one makes, so that
  // four quick taps are four steps. One that stays unanswered holds up the next for so long only.
  var last = Promise.resolve(), PATIENCE = 2000; // ms

  function afterwards(deed) {
    var patience = new Promise(function (go) { setTimeout(go, PATIENCE); });
    last = Promise.race([last, patience]).then(deed);
  }

  page.addEventListener("submit", function (event) {
    var form = event.target, key = event.submitter;
    if (form.method !== "get") return;
    event.preventDefault();
    var typed = typedIn(form);
    afterwards(function () {
      var again = key && key.name && page.querySelector('[name="' + key.name + '"][value="' + CSS.escape(key.value) + '"]');
      if (again && again.disabled) return null;
      var data = new URLSearchParams(new FormData(again ? again.form : form));
      typed.forEach(function (one) { data.delete(one.name); });
      typed.forEach(function (one) { if (one.value !== null) data.append(one.name, one.value); });
      if (key && key.name) data.append(key.name, key.value);
      return show(location.pathname + "?" + data);
    });
  });

  // What the person himself has put into a form, as against what the page wrote there.
  function typedIn(form) {
    return Array.prototype.filter.call(form.elements, function (field) {
      return field.name && field.type !== "hidden" && field.type !== "submit";
    }).map(function (field) {
      var off = (field.type === "checkbox" || field.type === "radio") && !field.checked;
      return { name: field.name, value: off ? null : field.value };
    });
  }

  page.addEventListener("click", function (event) {
    // A click by the keyboard has no place.
    var tapped = event.detail && event.target.closest(".inhand") ? nearest(event) : null;
    var link = tapped || event.target.closest("a[href]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    var to = link.getAttribute("href"), name = nameOf(link);
    if (new URL(to, location.href).pathname !== location.pathname || !link.closest("[data-part]")) return;
    event.preventDefault();
    afterwards(function () {
      var again = name && page.querySelector(name);
      return show(again && again.getAttribute("href") || to);
    });
  });

  // ---- Dragging ----

  function drawing() {
    return page.querySelector(".inhand svg");
  }

  function vector(text) {
    return text.split(",").map(Number);
  }

  function step() {
    return STEP[page.querySelector(".stride[aria-current]").dataset.focus.slice(5)];
  }

  // Whole steps nearest to a way of so many px of the drawing to the right and down: mm along x, y, z.
  function moved(across, down) {
    var data = drawing().dataset, mm = 1 / Number(data.scale), far = step();
    var right = vector(data.right), up = vector(data.up);
    return [0, 1, 2].map(function (axis) {
      var size = (across * right[axis] - down * up[axis]) * mm;
      return Math.round(Math.round(size / far) * far * 1e4) / 1e4;
    });
  }

  function inView(event) {
    var box = drawing().getBoundingClientRect(), seen = drawing().viewBox.baseVal;
    var scale = Math.min(box.width / seen.width, box.height / seen.height);
    return [event.clientX / scale, event.clientY / scale];
  }

  var paper = page.querySelector(".inhand");
  var REACH = 24; // px of the drawing: a finger's half

  // The bolt nearest to the finger: where several crowd together, the topmost may be another.
  function nearest(event) {
    var box = drawing().getBoundingClientRect(), seen = drawing().viewBox.baseVal;
    var scale = Math.min(box.width / seen.width, box.height / seen.height);
    var x = (event.clientX - box.left - (box.width - seen.width * scale) / 2) / scale;
    var y = (event.clientY - box.top - (box.height - seen.height * scale) / 2) / scale;
    var found = null, least = REACH;
    drawing().querySelectorAll("[data-point]").forEach(function (point) {
      var middle = point.querySelector("circle");
      var off = Math.hypot(middle.cx.baseVal.value - x, middle.cy.baseVal.value - y);
      if (off < least) { found = point; least = off; }
    });
    return found;
  }

  paper.addEventListener("pointerdown", function (event) {
    var point = nearest(event);
    if (!point || event.button) return;
    held = { id: event.pointerId, point: point.dataset.point, from: inView(event), base: here(), by: "", busy: false };
    held.chosen = drawing().dataset.chosen === held.point;
    paper.setPointerCapture(event.pointerId);
    paper.classList.add("held");
  });

  paper.addEventListener("pointermove", function (event) {
    if (!held || event.pointerId !== held.id) return;
    var now = inView(event), by = moved(now[0] - held.from[0], now[1] - held.from[1]).join(",");
    if (by === held.by || (!held.by && by === "0,0,0")) return;
    held.by = by;
    ask();
  });

  // One question at a time; the newest place of the finger is asked next.
  function ask() {
    if (!held || held.busy || held.by === held.said) return;
    var mine = held;
    mine.busy = true;
    mine.said = mine.by;
    show(moveAddress(mine)).then(function () {
      mine.busy = false;
      if (held === mine) ask();
      else if (mine.said !== mine.by) show(moveAddress(mine));
    });
  }

  function moveAddress(drag) {
    var url = new URL(drag.base);
    url.searchParams.set("point", drag.point);
    if (drag.by && drag.by !== "0,0,0") {
      url.searchParams.set("act", "add");
      url.searchParams.set("add", (url.searchParams.get("both") ? "both," : "by,") + drag.point + "," + drag.by);
    }
    return url;
  }

  function letGo(event) {
    if (!held || event.pointerId !== held.id) return;
    var drag = held;
    held = null;
    paper.classList.remove("held");
    if (!drag.by) return; // a tap: the link takes it in hand
    dragged = true;
    if (!drag.busy) history.replaceState(null, "", page.dataset.address);
  }

  var dragged = false;
  paper.addEventListener("pointerup", letGo);
  paper.addEventListener("pointercancel", letGo);
  paper.addEventListener("click", function (event) {
    if (!dragged) return;
    dragged = false;
    event.preventDefault();
    event.stopPropagation();
  }, true);
  paper.addEventListener("dragstart", function (event) { event.preventDefault(); });

  // ---- Arrow keys: while a bolt or a step key has the keyboard ----

  page.addEventListener("keydown", function (event) {
    var way = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" }[event.key];
    if (!way || event.altKey || event.ctrlKey || event.metaKey) return;
    if (!event.target.closest(".inhand, .stepkeys")) return;
    var key = page.querySelector('[data-way="' + way + '"]');
    if (!key) return;
    event.preventDefault();
    key.click();
  });
})();
