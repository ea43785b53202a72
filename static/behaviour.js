// The axle moved by hand: poses, slider, play, and the place on every curve. Every page works without this file.
(function () {
  "use strict";

  var TURN_MS = 6000, GO_MS = 450, JUMP = 600;
  var kept = {}; // where the axle was left on each page, for when the room is sent anew

  function still() {
    return window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  }

  function list(text) {
    return (text || "").split(",").map(function (part) { return part === "" ? null : Number(part); });
  }

  function curveOf(drawing) {
    return {
      drawing: drawing,
      path: drawing.dataset.path,
      x: list(drawing.dataset.x),
      y: list(drawing.dataset.y),
      said: drawing.dataset.said.split("|"),
      line: drawing.querySelector("[data-cursor]"),
      dot: drawing.querySelector("[data-dot]"),
      output: drawing.parentNode.querySelector("output"),
    };
  }

  function say(place, words) {
    if (place.dataset.said === words) return;
    place.dataset.said = words;
    place.replaceChildren.apply(place, window.plumbtack.fractions(words));
  }

  function start() {
    var source = document.getElementById("ways");
    if (!source) return;
    var ways = JSON.parse(source.textContent);
    var room = document.getElementById("room");
    var drawing = room.querySelector("svg.moving");
    var followers = drawing ? Array.prototype.slice.call(drawing.querySelectorAll("[data-a],[data-b]")) : [];
    var curves = Array.prototype.map.call(room.querySelectorAll("svg[data-path]"), curveOf);
    var buttons = Array.prototype.slice.call(room.querySelectorAll("[data-to]"));
    var slider = room.querySelector("[data-slider]"), play = room.querySelector("[data-play]");
    var said = room.querySelector("[data-where]");
    var now = kept[location.pathname] || { path: source.dataset.path, at: Number(source.dataset.at) };
    var run = 0; // the number of the motion under way; another number ends it
    if (!ways[now.path] || now.at > ways[now.path].said.length - 1) return;

    function place(follower, data) {
      var a = follower.dataset.a, b = follower.dataset.b, drop = Number(follower.dataset.drop || 0);
      if (follower.tagName === "g") {
        var turn = data.turns[follower.dataset.turn] * Number(follower.dataset.larger || 1);
        var to = point(data, a);
        follower.setAttribute("transform", "translate(" + to[0] + " " + to[1] + ") rotate(" + turn.toFixed(2) + ")");
      } else if (follower.tagName === "circle") {
        set(follower, "cx", "cy", point(data, a), 0);
      } else {
        if (a !== undefined) set(follower, "x1", "y1", point(data, a), drop);
        if (b !== undefined) set(follower, "x2", "y2", point(data, b), 0);
      }
    }

    function point(data, number) {
      return [data.points[2 * number], data.points[2 * number + 1]];
    }

    function set(follower, across, down, to, drop) {
      follower.toggleAttribute("hidden", to[0] === null);
      if (to[0] === null) return;
      follower.setAttribute(across, to[0].toFixed(1));
      follower.setAttribute(down, (to[1] + drop).toFixed(1));
    }

    function between(rows, at) {
      var low = Math.floor(at), high = Math.min(low + 1, rows.length - 1), share = at - low;
      return rows[low].map(function (one, number) {
        var two = rows[high][number];
        if (one === null || two === null || Math.abs(two - one) > JUMP) return share < 0.5 ? one : two;
        return one + (two - one) * share;
      });
    }

    function show() {
      var way = ways[now.path], step = Math.round(now.at);
      kept[location.pathname] = now;
      if (drawing && way.points) {
        var data = { points: between(way.points, now.at), turns: between(way.turns, now.at) };
        followers.forEach(function (follower) { place(follower, data); });
      }
      curves.forEach(function (curve) {
        var i = curve.path === now.path ? step : ways[curve.path].ride;
        curve.line.setAttribute("transform", "translate(" + curve.x[i] + " 0)");
        curve.dot.toggleAttribute("hidden", curve.y[i] === null);
        if (curve.y[i] !== null) curve.dot.setAttribute("transform", "translate(" + curve.x[i] + " " + curve.y[i] + ")");
        if (curve.output) say(curve.output, ways[curve.path].said[i] + ": " + curve.said[i]);
      });
      buttons.forEach(function (button) {
        var here = button.dataset.way === now.path || Number(button.dataset.to) === way.ride;
        var target = button.dataset.way === now.path ? Number(button.dataset.to) : way.ride;
        if (here && target === step && (button.dataset.way === now.path || button.dataset.rest)) {
          button.setAttribute("aria-current", "true");
        } else {
          button.removeAttribute("aria-current");
        }
      });
      if (said) say(said, way.said[step]);
      if (slider) {
        slider.max = way.said.length - 1;
        slider.value = step;
        slider.defaultValue = slider.value; // so that the page still follows the phone
        slider.setAttribute("aria-valuetext", way.said[step]);
      }
    }

    function frames(each) {
      var mine = run += 1, from = null;
      function frame(time) {
        if (mine !== run || !document.contains(source)) return;
        from = from === null ? time : from;
        if (each(time - from) !== false) window.requestAnimationFrame(frame);
      }
      window.requestAnimationFrame(frame);
    }

    function go(path, at) {
      stop();
      if (path !== now.path) now = { path: path, at: ways[path].ride };
      if (still()) { now.at = at; show(); return; }
      var first = now.at;
      frames(function (passed) {
        var share = Math.min(passed / GO_MS, 1);
        now.at = first + (at - first) * share * share * (3 - 2 * share);
        show();
        return share < 1;
      });
    }

    function stop() {
      run += 1;
      if (play) { play.textContent = "Play"; play.setAttribute("aria-pressed", "false"); }
    }

    function swing() {
      var last = ways[now.path].said.length - 1, phase = Math.acos(1 - 2 * now.at / last);
      play.textContent = "Pause";
      play.setAttribute("aria-pressed", "true");
      frames(function (passed) {
        now.at = (1 - Math.cos(phase + 2 * Math.PI * passed / TURN_MS)) / 2 * last;
        show();
      });
    }

    function touch(curve, event) {
      var box = curve.drawing.getBoundingClientRect();
      var x = (event.clientX - box.left) / box.width * curve.drawing.viewBox.baseVal.width;
      var nearest = 0;
      curve.x.forEach(function (there, i) { if (Math.abs(there - x) < Math.abs(curve.x[nearest] - x)) nearest = i; });
      stop();
      now = { path: curve.path, at: nearest };
      show();
    }

    buttons.forEach(function (button) {
      button.addEventListener("click", function (event) {
        event.preventDefault();
        go(button.dataset.way, Number(button.dataset.to));
      });
    });
    curves.forEach(function (curve) {
      curve.drawing.addEventListener("pointerdown", function (event) { touch(curve, event); });
      curve.drawing.addEventListener("pointermove", function (event) { if (event.buttons) touch(curve, event); });
    });
    if (slider) {
      slider.addEventListener("input", function () { stop(); now.at = Number(slider.value); show(); });
      slider.closest("[hidden]").hidden = false;
    }
    if (play) {
      play.hidden = still();
      play.addEventListener("click", function () {
        if (play.getAttribute("aria-pressed") === "true") stop(); else swing();
      });
    }
    show();
  }

  document.addEventListener("htmx:afterSwap", start);
  start();
})();
