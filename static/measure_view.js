// Shows one step: its question and drawing, its station's list, the tape along the top, the value and its words.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var SURE_OF_SIDE = 3;

  function show(step, quietly) {
    M.closePanels();
    if (M.state.step && M.state.step.node) M.state.step.node.hidden = true;
    M.state.step = step;
    M.state.text = "";
    M.state.remark = null;
    M.state.elsewhere = "";
    M.page.classList.toggle("at-end", !step);
    M.dom.done.hidden = !!step;
    if (!step) {
      refreshStation();
      M.announce(M.left().length ? M.SAY.skipped(M.left().length) + "." : M.SAY.all);
      return;
    }
    step.node.hidden = false;
    M.state.side = sideOf(step);
    M.state.sideChosen = false;
    M.state.sideAsked = null;
    var more = step.node.querySelector(".more");
    if (more) more.open = false;
    var key = step.node.querySelector("template");
    M.dom.key.replaceChildren(key ? key.content.cloneNode(true) : "");
    if (!quietly) {
      history.pushState({ key: step.key }, "", location.pathname + stageQuery());
      M.announce(M.SAY.next + step.title);
    } else {
      history.replaceState({ key: step.key }, "", location.href);
    }
    M.tellTabs();
    M.layKeypad();
    refreshStation();
    draw();
  }

  function stageQuery() {
    var stage = new URLSearchParams(location.search).get("stage");
    return stage ? "?stage=" + encodeURIComponent(stage) : "";
  }

  // The side goes by the reading's name, or by the model where readings make it sure of it; else it is asked. The usual
  // place of a point is no ground: the cross line may be anywhere. Nor is the model where he reads again what is in
  // doubt: the side is what may be wrong.
  function sideOf(step) {
    if (!step.sides) return null;
    if (step.side) return step.side < 0 ? "-" : "+";
    if (M.hides(step)) return null;
    if (step.limit === null || Math.abs(step.expected) <= SURE_OF_SIDE * step.sd) return null;
    return step.expected < 0 ? "-" : "+";
  }

  // The two sides without the words they share at their ends: "ahead" and "behind" of one cross line.
  function sidesApart(step) {
    var pair = (step.unit === "deg" ? step.side_keys : step.sides).map(function (side) { return side.split(" "); });
    while (pair.every(function (side) { return side.length > 1; })
      && pair[0][pair[0].length - 1] === pair[1][pair[1].length - 1]) pair.forEach(function (side) { side.pop(); });
    return pair.map(function (side) { return side.join(" ").replace(/ of$/, ""); });
  }

  // Once asked it stays asked while the reading is in view: an answer that makes the side sure takes no key away from
  // under a thumb.
  function sideAsked(step) {
    if (!!step.sides && sideOf(step) === null) M.state.sideAsked = step;
    return M.state.sideAsked === step;
  }

  function refreshStation() {
    var step = M.state.step;
    var station = step && M.data.stations.find(function (one) { return one.key === step.station; });
    M.page.querySelectorAll(".side").forEach(function (side) {
      var here = !!station && side.dataset.station === station.key;
      side.hidden = !here;
      if (here) side.querySelectorAll("[data-row]").forEach(refreshRow);
    });
    if (station) {
      M.dom.name.textContent = station.name;
      var steps = M.data.steps.filter(function (one) { return one.station === station.key && M.counted(one); });
      var checks = M.data.steps.filter(function (one) { return one.priority === "check" && M.waits(one); }).length;
      if (step.priority === "check" && M.waits(step)) M.dom.count.replaceChildren(strong(String(checks)), M.SAY.checks(checks));
      else M.dom.count.replaceChildren(strong(String(steps.indexOf(step) + 1)), " of " + steps.length);
      var node = step.node, asked = sideAsked(step) && step.unit !== "deg";
      node.querySelector(".sides").hidden = !asked;
      node.querySelector(".hint").hidden = asked;
    }
    if (!step) M.atEnd(M.left().length);
    tape();
    M.connection();
  }

  function refreshRow(row) {
    var step = M.find(row.dataset.row);
    var takes = M.takesOf(step.reading);
    var last = takes[takes.length - 1];
    var doubted = M.taken(step) && M.data.doubts.indexOf(step.reading) >= 0;
    row.dataset.state = step === M.state.step ? "now" : doubted ? "doubt" : M.taken(step) ? "done"
      : M.outOfReach(step) ? "away" : "open";
    var cell = row.querySelector(".n");
    if (step === M.state.step) cell.textContent = "now";
    else if (M.hides(step)) cell.textContent = "";
    else if (M.taken(step) && last) cell.replaceChildren.apply(cell, signed(step, last.value));
    else cell.textContent = M.outOfReach(step) ? "not reached" : "";
  }

  function signed(step, value, fine) {
    var said = P.lettered(P.say(value, M.unitOf(step), fine));
    return [value < 0 ? "−" : "", said, step.unit === "deg" ? "°" : ""];
  }

  function strong(text) {
    var node = document.createElement("b");
    node.textContent = text;
    return node;
  }

  // One tick a reading along the top, longer where a station begins; what is read is ink, the present one lit.
  function tape() {
    var shown = M.data.steps.filter(M.counted);
    var done = shown.filter(function (step) { return !M.waits(step); }).length;
    M.page.querySelectorAll(".walktape").forEach(function (svg) {
      var width = svg.viewBox.baseVal.width, margin = width * 0.024;
      var gap = (width - 2 * margin) / Math.max(1, shown.length - 1);
      var paths = { ink: "", hairl: "", lit: "", litf: "", doubtf: "" }, station = null;
      shown.forEach(function (step, place) {
        var x = (margin + place * gap).toFixed(1), long = step.station !== station;
        station = step.station;
        if (step === M.state.step) {
          paths.lit += "M" + x + " 0V14";
          paths.litf += "M" + (x - 4) + " 0h8l-4 6Z";
        } else if (M.taken(step) && M.data.doubts.indexOf(step.reading) >= 0) {
          paths.doubtf += "M" + x + " 1l4 5-4 5-4-5Z";
        } else {
          paths[M.waits(step) ? "hairl" : "ink"] += "M" + x + " 0v" + (long ? 13 : 8);
        }
      });
      svg.replaceChildren.apply(svg, Object.keys(paths).map(function (name) {
        var path = document.createElementNS("http://www.w3.org/2000/svg", "path");
        path.setAttribute("class", name);
        path.setAttribute("d", paths[name]);
        return path;
      }));
      svg.setAttribute("aria-label", done + " of " + shown.length + " readings taken");
    });
  }

  function draw() {
    var step = M.state.step;
    if (!step) return;
    var now = M.read(step), unit = now.entry ? now.entry.unit : M.unitOf(step);
    var caret = document.createElement("span");
    caret.className = "caret";
    var number = M.state.text ? P.lettered(M.state.text) : placeholder();
    M.dom.output.replaceChildren(number, caret);
    M.dom.val.classList.toggle("long", M.state.text.length > 9);
    M.dom.val.classList.toggle("off", !M.dom.remark.hidden);
    M.page.querySelectorAll("[data-side]").forEach(function (key) {
      key.setAttribute("aria-pressed", String(M.state.side === key.dataset.side));
    });
    sayValue(step, now, unit);
    onDrawing(step, now, unit);
    M.whileTyping();
  }

  function placeholder() {
    var node = document.createElement("span");
    node.className = "ph";
    node.textContent = "0";
    return node;
  }

  function sayValue(step, now, unit) {
    var parts = [], give = M.stated(step);
    M.dom.undo.hidden = true;
    if (M.state.refusal) parts.push(M.state.refusal);
    else if (M.state.elsewhere && !M.state.text) return sayElsewhere(step);
    else if (!M.state.text && M.state.last) return saySaved();
    else if (!M.state.text && M.hides(step)) parts.push(M.SAY.blind);
    else if (!M.state.text && M.takesOf(step.reading).length) return sayTaken(step);
    else if (!M.state.text && M.state.raised.length) parts.push(lookAt(M.SAY.newDoubt));
    else if (now.value !== undefined) {
      if (M.OTHER_UNIT[unit]) {
        var other = M.OTHER_UNIT[unit];
        parts.push(P.lettered(P.say(now.value, other)), " " + other);
      }
      if (now.entry.ask) parts = [now.entry.ask];
    }
    if (give && !M.state.refusal && !(now.entry && now.entry.ask)) {
      parts = (parts.length && !step.sides ? parts.concat(", ") : []).concat(M.plusMinus(step, give));
    }
    if (!M.state.refusal && step.sides && !sideAsked(step) && M.state.side && M.state.text) {
      var sides = step.unit === "deg" ? step.sides : sidesApart(step);
      parts.push(parts.length ? ", " : "", sides[M.state.side === "-" ? 1 : 0]);
      M.dom.undo.textContent = "other side";
      M.dom.undo.dataset.deed = "side";
      M.dom.undo.hidden = step.unit === "deg";
    } else if (!M.state.refusal && step.sides && M.state.side && M.state.text && step.unit === "deg") {
      parts.push(parts.length ? ", " : "", step.sides[M.state.side === "-" ? 1 : 0]);
    }
    M.dom.say.className = "say";
    M.dom.say.replaceChildren.apply(M.dom.say, parts);
  }

  function saySaved() {
    var last = M.state.last;
    var line = document.createElement("span");
    line.className = last.landed ? "saved" : "unsaved";
    if (last.landed) line.append(tick());
    var words = document.createElement("span");
    words.append(P.lettered(last.text));
    if (last.give) words.append.apply(words, [" "].concat(last.give));
    words.append(last.words);
    line.append(words);
    M.dom.say.replaceChildren(line);
    if (last.line && !last.look && !last.give) {
      var gained = document.createElement("span");
      gained.className = "gained";
      gained.textContent = last.line;
      M.dom.say.append(gained);
    }
    if (last.look) M.dom.say.append(lookAt(last.look));
    M.dom.undo.textContent = "take back";
    M.dom.undo.dataset.deed = "back";
    M.dom.undo.hidden = !last.id;
  }

  // A doubt may come up while something is typed, or be about one of several readings that waited: it stays to be said.
  function lookAt(words) {
    M.state.raisedSaid = true;
    var look = document.createElement("a");
    look.className = "look2";
    look.href = "/vehicles/" + M.data.vehicle + "/second-look";
    look.textContent = words;
    return look;
  }

  function forgetSaid() {
    if (M.state.raisedSaid) M.state.raised = [];
    M.state.raisedSaid = false;
  }

  function sayElsewhere(step) {
    M.dom.say.replaceChildren(M.state.elsewhere);
    M.dom.undo.textContent = "withdraw";
    M.dom.undo.dataset.deed = "takes";
    M.dom.undo.hidden = !M.takesOf(step.reading).length;
  }

  function sayTaken(step) {
    var takes = M.takesOf(step.reading), last = takes[takes.length - 1];
    var more = takes.length > 1 ? ", " + takes.length + " takes" : "";
    var now = M.stated(step), give = last.sd ? [" "].concat(M.plusMinus(step, last.sd)) : [];
    if (now !== (last.sd || null)) more += M.SAY.now;
    var said = [M.SAY.taken].concat(signed(step, last.value, 32), give, [more]);
    if (now !== (last.sd || null)) said = said.concat(now ? M.plusMinus(step, now) : M.SAY.asUsual);
    M.dom.say.replaceChildren.apply(M.dom.say, said);
    M.dom.undo.textContent = "withdraw";
    M.dom.undo.dataset.deed = "takes";
    M.dom.undo.hidden = false;
  }

  function tick() {
    var svg = document.querySelector(".tick-pattern").content.firstElementChild.cloneNode(true);
    return svg;
  }

  // The typed value stands on the lit dimension, digit by digit.
  function onDrawing(step, now, unit) {
    step.node.querySelectorAll("[data-typed]").forEach(function (text) {
      lettersInto(text, M.state.text);
    });
  }

  function lettersInto(text, value) {
    var found = /^(.*?)(?: |^)([0-9]+)\/([0-9]+)$/.exec(value);
    text.textContent = found ? found[1] : value;
    if (!found) return;
    [["-.3em", "72%", found[2]], [".16em", "86%", "/"], [".16em", "72%", found[3]]].forEach(function (part, index) {
      var piece = document.createElementNS("http://www.w3.org/2000/svg", "tspan");
      if (index === 0) piece.setAttribute("dx", "1.5");
      piece.setAttribute("dy", part[0]);
      piece.setAttribute("font-size", part[1]);
      piece.textContent = part[2];
      text.append(piece);
    });
  }

  M.show = show;
  M.stageQuery = stageQuery;
  M.sideOf = sideOf;
  M.sidesApart = sidesApart;
  M.refreshStation = refreshStation;
  M.tape = tape;
  M.draw = draw;
  M.forgetSaid = forgetSaid;
  M.lettersInto = lettersInto;
})();
