// The page of one reading at a time. All steps of the walk are in it when it loads; nothing here waits for the network.
// What was recorded is in the outbox (outbox.js); what was typed is read by the grammar in keypad.js.
(function () {
  "use strict";

  var P = window.plumbtack;
  var WAIT_FOR_REMARK = 400;
  var WHILE_TYPING = 250;
  var FOLLOW = 2000;
  var SURE_OF_SIDE = 3;
  var FAR = 3.29;
  var INCH = 25.4;

  var SAY = {
    next: "Next: ",
    typeFirst: "Type what the tape shows first.",
    typeAngle: "Type what the gauge shows first.",
    side: function (step) {
      var words = step.unit === "deg" ? step.side_keys : step.sides;
      return sentence(words[0]) + " or " + words[1] + "? Tap one.";
    },
    onItsWay: " on its way",
    waiting: " kept on the phone",
    saved: " saved",
    fits: ", fits",
    doubt: ", in doubt",
    takenBack: "Taken back",
    taken: "taken: ",
    notReached: "Noted: cannot be reached.",
    carryOn: function (number) { return number + " waiting, carry on"; },
    setApart: function (number) { return number + " not taken by the laptop: tap to see"; },
    full: "The phone’s own store takes nothing more. What you record now is held only while this page stays open: make room on the phone, or write it down.",
    closed: "This browser keeps no store of its own here. What you record waits only while this page stays open.",
    changed: "The laptop has readings this page does not show: load it again when you can.",
    rests: "By the other readings this is ",
    giveOrTake: ", give or take ",
    typed: ". You typed ",
    more: " more.",
    less: " less.",
    range: "Readings of this kind lie between ",
    inchMore: "the tape began at its 1 in mark.",
    inchLess: "a whole inch was missed.",
    otherSide: "the other side was meant.",
    firstTyped: "first typed ",
    tookBack: "taken back at once",
    all: "Everything on this walk is taken."
  };

  var page, data, outbox, state, dom;
  var skipped = new Set();

  document.addEventListener("DOMContentLoaded", begin);

  function begin() {
    page = document.querySelector("[data-measure]");
    page.classList.remove("unscripted");
    data = JSON.parse(document.getElementById("walk").textContent);
    dom = {
      header: page.querySelector(".tb"), name: page.querySelector(".tb-name b"), under: page.querySelector(".tb-name span"),
      key: page.querySelector(".tb-key"), count: page.querySelector(".tb-count"), val: page.querySelector(".val"),
      say: page.querySelector(".val .say"), undo: page.querySelector(".val .undo"), output: page.querySelector(".val output"),
      pad: page.querySelector(".pad"), remark: page.querySelector(".remark"), takes: page.querySelector(".readhere"),
      done: page.querySelector(".walkdone"), live: page.querySelector(".announce"), banner: page.querySelector(".banner"),
      unitName: page.querySelector(".unitname")
    };
    data.steps.forEach(function (step, index) {
      step.index = index;
      step.node = page.querySelector('.step[data-key="' + CSS.escape(step.key) + '"]');
    });
    skipped = new Set(remembered("skipped." + data.vehicle + "." + data.stage, []));
    state = { step: null, text: "", side: null, units: remembered("units", {}), saving: false, last: null };
    if (remembered("lefty", false)) page.classList.add("lefty");
    outbox = new P.Outbox(data.vehicle, data.entries);
    outbox.onchange = connection;
    outbox.onlanded = landed;
    P.measure = { data: data, state: state, outbox: outbox };
    listen();
    page.querySelectorAll(".step").forEach(function (node) { node.hidden = true; });
    show(first(), true);
    outbox.open().then(function () {
      if (data.at) refreshStation();
      else show(first(), true);
      page.dataset.ready = "yes";
    });
    setInterval(follow, FOLLOW);
  }

  // ---- what the log says: the laptop's list, and what is still on the phone ------------------------------------

  function takesOf(reading) {
    var withdrawn = new Set(data.withdrawn);
    var rows = outbox ? outbox.rows : [];
    rows.forEach(function (row) { if (row.entry.type === "withdraw") withdrawn.add(row.entry.of); });
    var takes = (data.takes[reading] || []).filter(function (take) { return !withdrawn.has(take.id); });
    var there = new Set(takes.map(function (take) { return take.id; }));
    rows.forEach(function (row) {
      var entry = row.entry;
      if (entry.type !== "reading" || same(entry.reading) !== same(reading) || row.refused) return;
      if (entry.stage !== data.stage || there.has(entry.id) || withdrawn.has(entry.id)) return;
      takes.push({ id: entry.id, value: entry.value, text: entry.text, unit: entry.unit, at: entry.at, local: !row.landed });
    });
    return takes;
  }

  function taken(step) { return takesOf(step.reading).length >= step.take; }

  function outOfReach(step) {
    if (taken(step)) return false;
    if (data.out_of_reach.indexOf(step.reading) >= 0) return true;
    return outbox.rows.some(function (row) {
      return row.entry.type === "note" && row.entry.reading === step.reading && row.entry.note === data.cannot_reach;
    });
  }

  function waits(step) { return !taken(step) && !outOfReach(step); }

  function counted(step) { return step.priority === "core" || step === state.step || taken(step); }

  function same(name) {
    var parts = /^(span|across|floor_span):(.+)~(.+)$/.exec(name);
    return parts && parts[3] < parts[2] ? parts[1] + ":" + parts[3] + "~" + parts[2] : name;
  }

  function find(key) {
    return data.steps.find(function (step) { return step.key === key || same(step.key) === same(key); });
  }

  // The step asked for in the address, once; else what comes next by what is stored.
  function first() { return (data.at && find(data.at)) || next(null); }

  // The first core step after this one that waits, then from the start; when none does, the checks.
  function next(after) {
    var order = after ? data.steps.slice(after.index + 1).concat(data.steps.slice(0, after.index + 1)) : data.steps;
    function open(priority) {
      return order.find(function (step) { return step.priority === priority && waits(step) && !skipped.has(step.key); });
    }
    return open("core") || open("check") || null;
  }

  // ---- showing one step ----------------------------------------------------------------------------------------

  function show(step, quietly) {
    closePanels();
    if (state.step && state.step.node) state.step.node.hidden = true;
    state.step = step;
    state.text = "";
    state.remark = null;
    page.classList.toggle("at-end", !step);
    dom.done.hidden = !!step;
    if (!step) {
      refreshStation();
      announce(SAY.all);
      return;
    }
    step.node.hidden = false;
    state.side = sideOf(step);
    state.sideChosen = false;
    var more = step.node.querySelector(".more");
    if (more) more.open = false;
    var key = step.node.querySelector("template");
    dom.key.replaceChildren(key ? key.content.cloneNode(true) : "");
    if (!quietly) {
      history.pushState({ key: step.key }, "", location.pathname + stageQuery());
      announce(SAY.next + step.title);
    } else {
      history.replaceState({ key: step.key }, "", location.href);
    }
    layKeypad();
    refreshStation();
    draw();
  }

  function stageQuery() {
    var stage = new URLSearchParams(location.search).get("stage");
    return stage ? "?stage=" + encodeURIComponent(stage) : "";
  }

  // The side goes by the reading's name, or by the model where readings make it sure of it; else it is asked. The usual
  // place of a point is no ground: the cross line may be anywhere.
  function sideOf(step) {
    if (!step.sides) return null;
    if (step.side) return step.side < 0 ? "-" : "+";
    if (step.limit === null || Math.abs(step.expected) <= SURE_OF_SIDE * step.sd) return null;
    return step.expected < 0 ? "-" : "+";
  }

  function sideAsked(step) { return !!step.sides && sideOf(step) === null; }

  function refreshStation() {
    var step = state.step;
    var station = step && data.stations.find(function (one) { return one.key === step.station; });
    page.querySelectorAll(".side").forEach(function (side) {
      var here = !!station && side.dataset.station === station.key;
      side.hidden = !here;
      if (here) side.querySelectorAll("[data-row]").forEach(refreshRow);
    });
    if (station) {
      dom.name.textContent = station.name;
      var steps = data.steps.filter(function (one) { return one.station === station.key && counted(one); });
      dom.count.replaceChildren(strong(String(steps.indexOf(step) + 1)), " of " + steps.length);
      var node = step.node, asked = sideAsked(step) && step.unit !== "deg";
      node.querySelector(".sides").hidden = !asked;
      node.querySelector(".hint").hidden = asked;
    }
    tape();
    connection();
  }

  function refreshRow(row) {
    var step = find(row.dataset.row);
    var takes = takesOf(step.reading);
    var last = takes[takes.length - 1];
    var doubted = taken(step) && data.doubts.indexOf(step.reading) >= 0;
    row.dataset.state = step === state.step ? "now" : doubted ? "doubt" : taken(step) ? "done" : outOfReach(step) ? "away" : "open";
    var cell = row.querySelector(".n");
    if (step === state.step) cell.textContent = "now";
    else if (taken(step) && last) cell.replaceChildren(last.value < 0 ? "−" : "", P.lettered(P.say(last.value, unitOf(step))), step.unit === "deg" ? "°" : "");
    else cell.textContent = outOfReach(step) ? "not reached" : "";
  }

  function strong(text) {
    var node = document.createElement("b");
    node.textContent = text;
    return node;
  }

  // One tick a reading along the top, longer where a station begins; what is read is ink, the present one lit.
  function tape() {
    var shown = data.steps.filter(counted);
    var done = shown.filter(function (step) { return !waits(step); }).length;
    page.querySelectorAll(".walktape").forEach(function (svg) {
      var width = svg.viewBox.baseVal.width, margin = width * 0.024, gap = (width - 2 * margin) / Math.max(1, shown.length - 1);
      var paths = { ink: "", hairl: "", lit: "", litf: "", doubtf: "" }, station = null;
      shown.forEach(function (step, place) {
        var x = (margin + place * gap).toFixed(1), long = step.station !== station;
        station = step.station;
        if (step === state.step) {
          paths.lit += "M" + x + " 0V14";
          paths.litf += "M" + (x - 4) + " 0h8l-4 6Z";
        } else if (taken(step) && data.doubts.indexOf(step.reading) >= 0) {
          paths.doubtf += "M" + x + " 1l4 5-4 5-4-5Z";
        } else {
          paths[waits(step) ? "hairl" : "ink"] += "M" + x + " 0v" + (long ? 13 : 8);
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

  // ---- the keypad ----------------------------------------------------------------------------------------------

  function unitOf(step) {
    if (step.unit === "deg") return "deg";
    return state.units[step.unit] || data.units[step.unit];
  }

  function setUnit(unit) {
    var step = state.step, before = unitOf(step);
    if (unit === before) return;
    var value = read(step).value;
    state.units[step.unit] = unit;
    remember("units", state.units);
    if (/[\/']/.test(state.text)) state.text = value === undefined ? "" : fresh(Math.abs(value), unit);
    layKeypad();
    draw();
  }

  function fresh(value, unit) { return unit === "mm" ? String(Math.round(value * 10) / 10) : P.say(value, unit, 32); }

  var OTHER_UNIT = { in: "mm", ft: "mm", mm: "in", cm: "in", kg: "lb", lb: "kg" };
  var ROUND = { in: "ft", ft: "mm", mm: "cm", cm: "in", kg: "lb", lb: "kg" };

  function layKeypad() {
    var unit = unitOf(state.step), set = unit === "ft" || unit === "in" ? "inch" : unit === "deg" ? "angle" : unit === "mm" || unit === "cm" ? "metric" : "plain";
    dom.pad.dataset.set = set;
    dom.pad.querySelectorAll("[data-sets]").forEach(function (key) {
      key.hidden = key.dataset.sets.split(" ").indexOf(set) < 0;
    });
    dom.pad.querySelectorAll("[data-side]").forEach(function (key) {
      key.textContent = state.step.side_keys[key.dataset.side === "-" ? 1 : 0];
    });
    var point = dom.pad.querySelector('[data-put="."]');
    point.hidden = unit === "ft";
    dom.pad.querySelector('[data-put="\'"]').hidden = unit !== "ft";
    var cm = dom.pad.querySelector('[data-do="cm"]');
    cm.textContent = unit === "cm" ? "mm" : "cm";
    var units = dom.pad.querySelector(".unitkey");
    var pair = unit === "deg" ? ["deg", ""] : unit === "kg" || unit === "lb" ? ["lb", "kg"] : [unit === "ft" ? "ft" : "in", unit === "cm" ? "cm" : "mm"];
    var spans = units.querySelectorAll("span");
    spans[0].textContent = pair[0];
    spans[1].textContent = pair[1];
    spans[0].className = unit === pair[0] || unit === "deg" ? "on" : "";
    spans[1].className = unit === pair[1] ? "on" : "";
    spans[1].hidden = unit === "deg";
    units.classList.toggle("one", unit === "deg");
    units.disabled = unit === "deg";
    units.setAttribute("aria-label", "Unit: " + data.unit_words[unit] + (unit === "deg" ? "" : ". Switch"));
    dom.unitName.textContent = unit === "deg" ? "°" : unit;
    dom.unitName.disabled = unit === "deg";
    dom.unitName.setAttribute("aria-label", "Unit: " + data.unit_words[unit]);
  }

  var FRACTION = /(?:^| )([0-9]+)\/([0-9]+)$/;

  function put(sign) {
    forgetSaved();
    var text = state.text, cut = FRACTION.exec(text);
    if (sign === ".") {
      if (cut || text.indexOf(".") >= 0) return;
      state.text = text + ".";
    } else if (sign === "'") {
      if (text.indexOf("'") < 0 && /^[0-9]+$/.test(text)) state.text = text + "' ";
    } else if (cut) {
      state.text = text.slice(0, cut.index) + sign + " " + cut[1] + "/" + cut[2];
    } else {
      state.text = text + sign;
    }
    typed();
  }

  function putFraction(top, bottom) {
    forgetSaved();
    var whole = state.text.replace(FRACTION, "").replace(/\.[0-9]*$/, "").replace(/ +$/, "");
    state.text = (whole ? whole + " " : "") + top + "/" + bottom;
    typed();
  }

  // +1/16: 7/8 becomes 15/16; alone it is 1/16; after 15/16 comes the next whole inch.
  function addSixteenth() {
    var found = FRACTION.exec(state.text);
    var sixteenths = found ? Math.round(found[1] * 16 / found[2]) + 1 : 1;
    if (sixteenths < 16) {
      var bottom = 16;
      while (sixteenths % 2 === 0) { sixteenths /= 2; bottom /= 2; }
      putFraction(sixteenths, bottom);
      return;
    }
    forgetSaved();
    state.text = state.text.replace(FRACTION, "").replace(/([0-9]*)$/, function (digits) { return String(Number(digits || 0) + 1); });
    typed();
  }

  function add(step) {
    forgetSaved();
    var number = Number(state.text || 0) + step;
    if (isNaN(number) || number < 0) return;
    state.text = String(Math.round(number * 1000) / 1000);
    typed();
  }

  function decimal(tail) {
    forgetSaved();
    if (!/^[0-9]*(\.[0-9]*)?$/.test(state.text)) return;
    state.text = (state.text.split(".")[0] || "0") + tail;
    typed();
  }

  function rubOut() {
    forgetSaved();
    var without = state.text.replace(FRACTION, "");
    state.text = without !== state.text ? without : state.text.replace(/' $/, "'").slice(0, -1);
    typed();
  }

  function press(event) {
    var key = event.target.closest("button");
    if (!key || key.disabled) return;
    var put1 = key.dataset.put, act = key.dataset.do;
    if (put1) put(put1);
    else if (key.dataset.fraction) putFraction.apply(null, key.dataset.fraction.split("/"));
    else if (key.dataset.add) add(Number(key.dataset.add));
    else if (key.dataset.tail) decimal(key.dataset.tail);
    else if (key.dataset.side) choose(key.dataset.side);
    else if (act === "sixteenth") addSixteenth();
    else if (act === "rub") rubOut();
    else if (act === "clear") { state.text = ""; typed(); }
    else if (act === "cm") setUnit(unitOf(state.step) === "cm" ? "mm" : "cm");
    else if (act === "unit") setUnit(OTHER_UNIT[unitOf(state.step)]);
    else if (act === "skip") skip();
    else if (act === "cannot") cannotReach();
    else if (act === "record") record();
  }

  function choose(side) {
    state.side = side;
    state.sideChosen = true;
    typed();
  }

  function typed() {
    state.refusal = null;
    draw();
    prefetch();
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !state.step) return;
    if (event.target.matches("input, textarea, select")) return;
    var focused = event.target.matches("button:focus-visible, a:focus-visible, summary:focus-visible");
    var open = !dom.remark.hidden || !dom.takes.hidden;
    if (event.key === "Escape") {
      if (open) { closePanels(); draw(); } else { state.text = ""; typed(); }
      return;
    }
    if (open && event.key === "Enter" && !focused) {
      event.preventDefault();
      (dom.remark.hidden ? dom.takes : dom.remark).querySelector("[data-do=again], [data-do=close]").click();
      return;
    }
    if (open || (focused && (event.key === "Enter" || event.key === " "))) return;
    if (event.key === "Enter") {
      event.preventDefault();
      record();
    } else if (event.key === "Backspace") {
      event.preventDefault();
      rubOut();
    } else if (event.key.length === 1 && state.text.length < 41) {
      if (event.key === " " && !state.text) return;
      event.preventDefault();
      forgetSaved();
      state.text += event.key;
      typed();
    }
  }

  // ---- reading what is typed -----------------------------------------------------------------------------------

  // { value } in the file's unit with its side, { refusal }, or {} while nothing is typed
  function read(step) {
    if (!state.text.trim()) return {};
    try {
      var entry = P.parse(state.text, unitOf(step), step.unit);
      if (!step.sides || entry.sign) return { value: entry.value, entry: entry };
      return { value: state.side === "-" ? -entry.value : entry.value, entry: entry, unsided: !state.side };
    } catch (trouble) {
      if (!(trouble instanceof P.NotAReading)) throw trouble;
      return { refusal: trouble.message };
    }
  }

  function draw() {
    var step = state.step;
    if (!step) return;
    var now = read(step), unit = now.entry ? now.entry.unit : unitOf(step);
    var caret = document.createElement("span");
    caret.className = "caret";
    var number = state.text ? P.lettered(state.text) : placeholder();
    dom.output.replaceChildren(number, caret);
    dom.val.classList.toggle("long", state.text.length > 9);
    dom.val.classList.toggle("off", !dom.remark.hidden);
    page.querySelectorAll("[data-side]").forEach(function (key) {
      key.setAttribute("aria-pressed", String(state.side === key.dataset.side));
    });
    sayValue(step, now, unit);
    onDrawing(step, now, unit);
  }

  function placeholder() {
    var node = document.createElement("span");
    node.className = "ph";
    node.textContent = "0";
    return node;
  }

  function sayValue(step, now, unit) {
    var parts = [];
    dom.undo.hidden = true;
    if (state.refusal) parts.push(state.refusal);
    else if (!state.text && state.last) return saySaved();
    else if (!state.text && takesOf(step.reading).length) return sayTaken(step);
    else if (now.value !== undefined) {
      if (OTHER_UNIT[unit]) {
        var other = OTHER_UNIT[unit];
        parts.push(P.lettered(P.say(now.value, other)), " " + other);
      }
      if (now.entry.ask) parts = [now.entry.ask];
    }
    if (!state.refusal && step.sides && !sideAsked(step) && state.side && state.text) {
      parts.push(parts.length ? ", " : "", step.sides[state.side === "-" ? 1 : 0]);
      dom.undo.textContent = "other side";
      dom.undo.dataset.deed = "side";
      dom.undo.hidden = step.unit === "deg";
    } else if (!state.refusal && step.sides && state.side && state.text && step.unit === "deg") {
      parts.push(parts.length ? ", " : "", step.sides[state.side === "-" ? 1 : 0]);
    }
    dom.say.className = "say";
    dom.say.replaceChildren.apply(dom.say, parts);
  }

  function saySaved() {
    var last = state.last;
    var line = document.createElement("span");
    line.className = last.landed ? "saved" : "unsaved";
    if (last.landed) line.append(tick());
    var words = document.createElement("span");
    words.append(P.lettered(last.text), last.words);
    line.append(words);
    dom.say.replaceChildren(line);
    if (last.line) {
      var gained = document.createElement("span");
      gained.className = "gained";
      gained.textContent = last.line;
      dom.say.append(gained);
    }
    dom.undo.textContent = "take back";
    dom.undo.dataset.deed = "back";
    dom.undo.hidden = !last.id;
  }

  function sayTaken(step) {
    var takes = takesOf(step.reading), last = takes[takes.length - 1];
    dom.say.replaceChildren(SAY.taken, last.value < 0 ? "−" : "", P.lettered(P.say(last.value, unitOf(step), 32)), takes.length > 1 ? ", " + takes.length + " takes" : "");
    dom.undo.textContent = "withdraw";
    dom.undo.dataset.deed = "takes";
    dom.undo.hidden = false;
  }

  function tick() {
    var svg = document.querySelector(".tick-pattern").content.firstElementChild.cloneNode(true);
    return svg;
  }

  // The typed value stands on the lit dimension, digit by digit.
  function onDrawing(step, now, unit) {
    step.node.querySelectorAll("[data-typed]").forEach(function (text) {
      lettersInto(text, state.text);
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

  // ---- recording -----------------------------------------------------------------------------------------------

  function record() {
    var step = state.step;
    if (state.saving || !step) return;
    var now = read(step);
    if (now.value === undefined) return refuse(now.refusal || (step.unit === "deg" ? SAY.typeAngle : SAY.typeFirst));
    if (now.unsided && now.value !== 0) return refuse(SAY.side(step));
    state.saving = true;
    if (navigator.vibrate) navigator.vibrate(10);
    var judged = judge(step, now.value);
    consider(step, now, judged).then(function (remark) {
      if (state.step !== step) {
        state.saving = false;
        return;
      }
      if (remark) {
        state.saving = false;
        openRemark(step, now, remark);
      } else {
        keep(step, now, {});
      }
    });
  }

  function refuse(sentence) {
    state.refusal = sentence;
    draw();
    announce(sentence);
  }

  // What the phone can say by itself: { kind, difference } or null.
  function judge(step, value) {
    if (value < step.low || value > step.high) return { kind: "range" };
    var difference = value - step.expected;
    if (step.limit === null || Math.abs(difference) <= step.limit) return null;
    return { kind: "far", difference: difference };
  }

  // A value that fits by what the phone knows goes through at once; otherwise the laptop has a moment to say more.
  function consider(step, now, judged) {
    var asked = state.asked && state.asked.step === step && state.asked.value === now.value ? state.asked : null;
    if (asked && asked.answer !== undefined) {
      return Promise.resolve(judged || asked.answer ? { judged: judged, answer: asked.answer } : null);
    }
    if (!judged) return Promise.resolve(null);
    var waiting = (asked || ask(step, now)).promise;
    var enough = new Promise(function (resolve) { setTimeout(function () { resolve(null); }, WAIT_FOR_REMARK); });
    return Promise.race([waiting, enough]).then(function (answer) { return { judged: judged, answer: answer }; });
  }

  function prefetch() {
    clearTimeout(state.prefetch);
    state.prefetch = setTimeout(function () {
      var step = state.step, now = step ? read(step) : {};
      if (now.value !== undefined && !now.unsided && !outbox.away) ask(step, now);
    }, WHILE_TYPING);
  }

  function ask(step, now) {
    var asked = { step: step, value: now.value, answer: undefined };
    var query = new URLSearchParams({ reading: step.reading, value: String(now.value), text: state.text, unit: now.entry.unit, stage: data.stage });
    asked.promise = fetch("/vehicles/" + data.vehicle + "/remark?" + query, { credentials: "same-origin", signal: P.timeout(4000) })
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        asked.answer = html ? new DOMParser().parseFromString(html, "text/html").querySelector(".words") : null;
        return asked.answer;
      }, function () { return null; });
    state.asked = asked;
    return asked;
  }

  function keep(step, now, extra) {
    state.saving = true;
    var entry = Object.assign({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: data.stage, type: "reading",
      reading: step.reading, value: now.value, text: signedText(step, now), unit: now.entry.unit
    }, extra);
    return outbox.add(entry).then(function () {
      skipped.delete(step.key);
      state.last = { id: entry.id, step: step, text: now.entry.text, words: outbox.away ? SAY.waiting : SAY.onItsWay, landed: false };
      advance(step);
    }).finally(function () { state.saving = false; });
  }

  function advance(step) { show(next(step)); }

  // The side chosen by a tap is part of what was said: it goes into the text, so that the text alone gives the value.
  function signedText(step, now) {
    return now.value < 0 && !now.entry.sign ? "-" + now.entry.text : now.entry.text;
  }

  function note(step, words) {
    return outbox.add({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: data.stage, type: "note",
      reading: step.reading, note: words
    });
  }

  function withdraw(id, reason) {
    return outbox.add({
      id: P.newId(), at: new Date().toISOString().replace(/\.[0-9]+Z$/, "Z"), stage: data.stage, type: "withdraw",
      of: id, note: reason
    });
  }

  function skip() {
    if (state.saving) return;
    var step = state.step;
    skipped.add(step.key);
    remember("skipped." + data.vehicle + "." + data.stage, Array.from(skipped));
    state.last = null;
    show(next(step));
  }

  function cannotReach() {
    if (state.saving) return;
    var step = state.step;
    state.saving = true;
    note(step, data.cannot_reach).then(function () {
      state.last = null;
      show(next(step));
      announce(SAY.notReached);
    }).finally(function () { state.saving = false; });
  }

  function undo() {
    var deed = dom.undo.dataset.deed;
    if (deed === "side") return choose(state.side === "-" ? "+" : "-");
    if (deed === "takes") return openTakes();
    var last = state.last;
    if (!last || state.saving) return;
    state.saving = true;
    withdraw(last.id, SAY.tookBack).then(function () {
      state.last = null;
      show(last.step);
      announce(SAY.takenBack);
    }).finally(function () { state.saving = false; });
  }

  function forgetSaved() { state.last = null; }

  // ---- the remark, in the keypad's place -----------------------------------------------------------------------

  function openRemark(step, now, remark) {
    var words = remark.answer ? remark.answer.cloneNode(true) : ownWords(step, now, remark.judged);
    var use = words.dataset.use ? Number(words.dataset.use) : null;
    dom.remark.querySelector(".words").replaceWith(words);
    var keepKey = dom.remark.querySelector('[data-do="keep"]'), useKey = dom.remark.querySelector('[data-do="use"]');
    keepKey.replaceChildren("Keep ", P.lettered(now.entry.text));
    useKey.hidden = use === null;
    dom.remark.querySelector(".two").classList.toggle("one", use === null);
    var unit = now.entry.unit;
    if (use !== null) useKey.replaceChildren("Use ", P.lettered(P.say(use, unit, 32)));
    state.remark = { step: step, now: now, use: use };
    page.classList.add("remarking");
    dom.remark.hidden = false;
    draw();
    lens(step, now, words);
    dom.remark.focus({ preventScroll: true });
  }

  function ownWords(step, now, judged) {
    var box = document.querySelector(".words-pattern").content.firstElementChild.cloneNode(true);
    var first = box.querySelector("p"), likely = box.querySelector(".likely"), unit = now.entry.unit;
    function said(value) { return [P.lettered(P.say(value, unit)), unit === "deg" ? "°" : ""]; }
    if (judged.kind === "range") {
      first.append.apply(first, [SAY.range].concat(said(step.low), [" and "], said(step.high), [SAY.typed], said(now.value), ["."]));
      likely.remove();
      return box;
    }
    var off = judged.difference, spread = 2 * step.sd;
    first.append.apply(first, [SAY.rests].concat(
      said(step.expected), [SAY.giveOrTake], said(Math.max(spread, unit === "in" ? INCH / 16 : 0.5)), [SAY.typed],
      said(now.value), [", "], said(off), [off > 0 ? SAY.more : SAY.less]));
    box.dataset.expected = step.expected;
    box.dataset.sd = step.sd;
    var slip = ownSlip(step, now, off);
    if (slip) {
      likely.append(slip.words);
      box.dataset.use = slip.value;
    } else {
      likely.remove();
    }
    return box;
  }

  function ownSlip(step, now, off) {
    var near = FAR * Math.hypot(step.sd, step.own_sd);
    if (step.unit === "mm" && Math.abs(Math.abs(off) - INCH) < Math.min(near, 9)) {
      return { value: now.value - Math.sign(off) * INCH, words: off > 0 ? SAY.inchMore : SAY.inchLess };
    }
    if (step.sides && Math.abs(-now.value - step.expected) < near) return { value: -now.value, words: SAY.otherSide };
    return null;
  }

  function onRemark(event) {
    var key = event.target.closest("button");
    var remark = state.remark;
    if (!key || !remark || state.saving) return;
    var deed = key.dataset.do;
    closePanels();
    if (deed === "again") {
      state.text = "";
      typed();
      announce(remark.step.title);
    } else if (deed === "keep") {
      keep(remark.step, remark.now, { kept: true });
    } else {
      var unit = remark.now.entry.unit, text = (remark.use < 0 ? "-" : "") + P.say(remark.use, unit, 32);
      var entry = P.parse(text, unit, remark.step.unit);
      keep(remark.step, { value: entry.value, entry: entry }, { note: SAY.firstTyped + remark.now.entry.text });
    }
  }

  // A round glass over the drawing: what was typed against what would fit, with its spread.
  function lens(step, now, words) {
    var stage = step.node.querySelector(".stage");
    var expected = Number(words.dataset.expected), sd = Number(words.dataset.sd);
    var glass = document.querySelector(".lens-pattern").content.firstElementChild.cloneNode(true);
    if (!words.dataset.expected || !stage) return;
    var off = now.value - expected, way = off > 0 ? -1 : 1;
    var scale = Math.min(30 / Math.abs(off), 6);
    var middle = 52 - way * Math.abs(off) * scale / 2, typedAt = middle + way * Math.abs(off) * scale;
    var half = Math.max(3, Math.min(20, 2 * sd * scale));
    glass.querySelector(".band").setAttribute("y", (middle - half).toFixed(1));
    glass.querySelector(".band").setAttribute("height", (2 * half).toFixed(1));
    glass.querySelector(".bandl").setAttribute("d", "M4 " + middle.toFixed(1) + "H100");
    glass.querySelector(".doubt").setAttribute("d", "M8 " + typedAt.toFixed(1) + "H96");
    glass.querySelector(".doubtf").setAttribute("d", "M24 " + (typedAt - 7).toFixed(1) + "l7 7-7 7-7-7Z");
    var labels = glass.querySelectorAll("text"), unit = now.entry.unit;
    lettersInto(labels[0], now.entry.text);
    labels[0].setAttribute("y", (typedAt - 5).toFixed(1));
    labels[1].setAttribute("y", (typedAt + 14).toFixed(1));
    lettersInto(labels[2], P.say(expected, unit));
    labels[2].append(" fits");
    labels[2].setAttribute("y", (middle + 4).toFixed(1));
    stage.append(glass);
    var lit = Array.from(stage.querySelectorAll("circle.litf")).find(function (circle) { return circle.getClientRects().length; });
    var frame = stage.getBoundingClientRect(), spot = lit && lit.getBoundingClientRect();
    if (spot && spot.left - frame.left > frame.width * 0.72) glass.classList.add("at-left");
  }

  function closePanels() {
    dom.remark.hidden = true;
    dom.takes.hidden = true;
    page.classList.remove("remarking", "taking", "listing");
    page.querySelectorAll(".lens").forEach(function (glass) { glass.remove(); });
    state.remark = null;
  }

  // ---- takes: again, and withdrawing with a reason -------------------------------------------------------------

  function openTakes() {
    var step = state.step, list = dom.takes.querySelector("ul");
    list.replaceChildren.apply(list, takesOf(step.reading).map(function (take) {
      var row = document.querySelector(".take-pattern").content.firstElementChild.cloneNode(true);
      row.querySelector(".what").append(P.lettered(take.text || P.say(take.value, unitOf(step))), " " + (take.unit || ""));
      row.querySelector(".when").textContent = clock(take.at) + (take.local ? ", waiting" : "");
      row.dataset.id = take.id;
      return row;
    }));
    dom.takes.hidden = false;
    page.classList.add("taking");
    dom.takes.querySelector("button").focus({ preventScroll: true });
  }

  function clock(at) {
    var date = new Date(at);
    return isNaN(date) ? "" : date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  }

  function onTakes(event) {
    var key = event.target.closest("button");
    if (!key || state.saving) return;
    var row = key.closest("li");
    if (key.dataset.do === "close") {
      closePanels();
      draw();
    } else if (key.dataset.do === "withdraw") {
      dom.takes.querySelectorAll(".reasons").forEach(function (reasons) { reasons.hidden = true; });
      row.querySelector(".reasons").hidden = false;
    } else if (key.dataset.reason) {
      state.saving = true;
      withdraw(row.dataset.id, key.dataset.reason).then(function () {
        show(state.step, true);
      }).finally(function () { state.saving = false; });
    }
  }

  // ---- the laptop's answers ------------------------------------------------------------------------------------

  function connection() {
    var waiting = outbox.waiting(), apart = outbox.setApart();
    var late = waiting.length && (outbox.away || waiting.length > 1);
    dom.header.classList.toggle("away", !!(late || apart.length));
    dom.under.textContent = late ? SAY.carryOn(waiting.length) : apart.length ? SAY.setApart(apart.length) : data.name;
    dom.banner.hidden = !outbox.failing;
    dom.banner.textContent = outbox.failing ? SAY[outbox.failing] : "";
    if (outbox.away && state.last && !state.last.landed) {
      state.last.words = SAY.waiting;
      if (!state.text) draw();
    }
  }

  function landed(ids) {
    var last = state.last;
    if (last && ids.indexOf(last.id) >= 0) {
      last.landed = true;
      last.words = SAY.saved;
      if (!state.text) draw();
    }
    expectations(last && last.landed ? last.id : ids[ids.length - 1]);
  }

  function follow() {
    if (document.hidden || state.fetching) return;
    expectations(null);
  }

  // What the newest log predicts for every step. Refreshes counts, rows and drawings, never what is being typed.
  function expectations(id) {
    var query = new URLSearchParams({ v: String(data.version), stage: data.stage });
    if (id) query.set("landed", id);
    state.fetching = true;
    return fetch("/vehicles/" + data.vehicle + "/expectations?" + query, { credentials: "same-origin", signal: P.timeout(8000) })
      .then(function (answer) {
        if (answer.status === 200) return answer.json();
        return null;
      })
      .then(function (fresh) {
        if (outbox.away) outbox.flush();
        if (fresh) takeIn(fresh, id);
      }, function () {})
      .finally(function () { state.fetching = false; });
  }

  function takeIn(fresh, id) {
    var moved = fresh.version !== data.version;
    data.version = fresh.version;
    ["takes", "withdrawn", "out_of_reach", "doubts", "entries"].forEach(function (name) { data[name] = fresh[name]; });
    data.steps.forEach(function (step) {
      var now = fresh.expected[step.key];
      if (now) { step.expected = now[0]; step.sd = now[1]; step.own_sd = now[2]; step.limit = now[3]; }
    });
    outbox.compare(data.entries);
    var last = state.last;
    if (fresh.landed && last && last.id === fresh.landed.id) {
      last.words = SAY.saved + (fresh.landed.fits ? SAY.fits : fresh.landed.doubted ? SAY.doubt : "");
      last.line = fresh.landed.line;
    }
    if (!state.text && !state.sideChosen && state.step) state.side = sideOf(state.step);
    refreshStation();
    if (!state.text) draw();
    if (moved) redraw();
  }

  // All drawings anew, true to the newest model; the value being typed is written into them again.
  function redraw() {
    var query = new URLSearchParams(location.search);
    query.set("stage", data.stage);
    fetch("/vehicles/" + data.vehicle + "/measure/drawings?" + query, { credentials: "same-origin", signal: P.timeout(8000) })
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        if (!html) return;
        var fresh = new DOMParser().parseFromString(html, "text/html");
        document.querySelector("body > .defs").replaceWith(fresh.querySelector(".defs"));
        fresh.querySelectorAll("[data-key]").forEach(function (drawn) {
          var step = find(drawn.dataset.key);
          if (!step) return;
          step.node.querySelector(".stage > svg:not(.lens)").replaceWith(drawn.querySelector("svg"));
          step.node.querySelector("template").replaceWith(drawn.querySelector("template"));
        });
        if (!state.step) return;
        dom.key.replaceChildren(state.step.node.querySelector("template").content.cloneNode(true));
        draw();
      }, function () {});
  }

  // ---- small things --------------------------------------------------------------------------------------------

  function listen() {
    dom.pad.addEventListener("click", press);
    dom.pad.addEventListener("submit", function (event) { event.preventDefault(); });
    // A tapped key does not take the keyboard's focus: Enter records, and space goes between 24 and 1/8.
    page.addEventListener("mousedown", function (event) {
      if (event.target.closest("button, summary")) event.preventDefault();
    });
    page.addEventListener("click", function (event) {
      var side = event.target.closest(".sides button");
      if (side) choose(side.dataset.side);
      var row = event.target.closest("[data-row] a");
      if (row) {
        event.preventDefault();
        state.last = null;
        show(find(row.closest("[data-row]").dataset.row));
      }
      if (event.target.closest("[data-do=lefty]")) remember("lefty", page.classList.toggle("lefty"));
    });
    dom.remark.addEventListener("click", onRemark);
    dom.takes.addEventListener("click", onTakes);
    dom.undo.addEventListener("click", undo);
    dom.unitName.addEventListener("click", function () { setUnit(ROUND[unitOf(state.step)]); });
    dom.count.addEventListener("click", function () {
      page.classList.toggle("listing");
      dom.count.setAttribute("aria-expanded", String(page.classList.contains("listing")));
    });
    document.addEventListener("keydown", onKey);
    document.addEventListener("visibilitychange", follow);
    window.addEventListener("popstate", function (event) {
      var step = event.state && event.state.key && find(event.state.key);
      state.last = null;
      if (step) show(step, true);
    });
  }

  function announce(words) { dom.live.textContent = words; }

  function sentence(text) { return text.charAt(0).toUpperCase() + text.slice(1); }

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
})();
