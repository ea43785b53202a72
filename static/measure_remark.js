// A value that does not fit yet: what the phone can say by itself, what the laptop adds, and the panel for it.
(function () {
  "use strict";

  var P = window.plumbtack;
  var M = P.measure;
  var WHILE_TYPING = 250;
  var FAR = 3.29;
  var NAMED_SHARE = 0.25;
  var INCH = 25.4;

  // What the phone can say by itself: { kind, difference } or null.
  function judge(step, value) {
    if (value < step.low || value > step.high) return { kind: "range" };
    var difference = value - step.expected;
    if (step.limit === null || Math.abs(difference) <= M.limit(step)) return null;
    return { kind: "far", difference: difference };
  }

  // What there is to say when it is recorded, from what is at hand: nothing waits for the laptop, whose catalogue of
  // slips is longer; what it says in time goes before the phone's own words.
  function consider(step, now, judged) {
    var asked = M.state.asked;
    if (!asked || asked.step !== step || asked.value !== now.value || asked.sd !== M.stated(step)) asked = null;
    if (asked && asked.answer) return { judged: judged, answer: asked.answer };
    if (!judged) return null;
    if (!ownSlip(step, now)) (asked || ask(step, now)).promise.then(function (answer) { amend(step, now, answer); });
    return { judged: judged, answer: null };
  }

  // The laptop knew a slip where the phone knew none: its words take the place of the phone's while they are looked at.
  function amend(step, now, answer) {
    var shown = M.state.remark;
    if (!answer || !answer.dataset.use || !shown || shown.step !== step || shown.now.value !== now.value) return;
    closePanels();
    openRemark(step, now, { judged: null, answer: answer });
  }

  function prefetch() {
    clearTimeout(M.state.prefetch);
    M.state.prefetch = setTimeout(function () {
      var step = M.state.step, now = step ? M.read(step) : {};
      if (now.value !== undefined && !now.unsided && !M.outbox.away && !M.hides(step)) ask(step, now);
    }, WHILE_TYPING);
  }

  function ask(step, now) {
    var asked = { step: step, value: now.value, sd: M.stated(step), answer: undefined };
    var query = {
      reading: step.reading, value: now.value, text: M.state.text, unit: now.entry.unit, stage: M.data.stage
    };
    if (M.stated(step)) query.sd = M.stated(step);
    asked.promise = M.ask("remark", query, 4000)
      .then(function (answer) { return answer.status === 200 ? answer.text() : null; })
      .then(function (html) {
        asked.answer = html ? new DOMParser().parseFromString(html, "text/html").querySelector(".words") : null;
        return asked.answer;
      }, function () { return null; });
    M.state.asked = asked;
    return asked;
  }

  function openRemark(step, now, remark) {
    var words = remark.answer ? remark.answer.cloneNode(true) : ownWords(step, now, remark.judged);
    var use = words.dataset.use ? Number(words.dataset.use) : null;
    M.dom.remark.querySelector(".words").replaceWith(words);
    var keepKey = M.dom.remark.querySelector('[data-do="keep"]');
    var useKey = M.dom.remark.querySelector('[data-do="use"]');
    keepKey.replaceChildren("Keep ", P.lettered(now.entry.text), shortSide(step, now.value, use));
    useKey.hidden = use === null;
    M.dom.remark.querySelector(".two").classList.toggle("one", use === null);
    var unit = now.entry.unit;
    if (use !== null) useKey.replaceChildren("Use ", P.lettered(P.say(use, unit, 32)), shortSide(step, use, now.value));
    M.state.remark = { step: step, now: now, use: use };
    M.page.classList.add("remarking");
    M.dom.remark.hidden = false;
    M.draw();
    lens(step, now, words);
    M.dom.remark.focus({ preventScroll: true });
  }

  function ownWords(step, now, judged) {
    var box = document.querySelector(".words-pattern").content.firstElementChild.cloneNode(true);
    var first = box.querySelector("p"), likely = box.querySelector(".likely"), unit = now.entry.unit;
    function said(value) { return [P.lettered(P.say(value, unit)), unit === "deg" ? "°" : ""]; }
    if (judged.kind === "range") {
      first.append.apply(first, [M.SAY.range].concat(
        said(step.low), [" and "], said(step.high), [M.SAY.typed], said(now.value), ["."]));
      likely.remove();
      return box;
    }
    var further = Math.abs(now.value) > Math.abs(step.expected) ? M.SAY.more : M.SAY.less;
    first.append.apply(first, [M.SAY.rests].concat(
      said(step.expected), [sideApart(step, step.expected, now.value), M.SAY.giveOrTake], said(give(step, unit)),
      [M.SAY.typed], said(now.value), [sideApart(step, now.value, step.expected), ", "], said(judged.difference),
      [unit === "deg" ? "" : " " + unit, apart(step, now.value, step.expected) ? M.SAY.apart : further]));
    box.dataset.expected = step.expected;
    box.dataset.sd = step.sd;
    var slip = ownSlip(step, now);
    if (slip) {
      likely.append(slip.how.charAt(0).toLowerCase() + slip.how.slice(1));
      box.dataset.use = slip.value;
    } else {
      likely.remove();
    }
    return box;
  }

  // Where two values lie on different sides, which one this is on: in full for a sentence, in a word for a key.
  function apart(step, value, other) { return !!step.sides && other !== null && value * other < 0; }

  function sideApart(step, value, other) {
    return apart(step, value, other) ? " " + step.sides[value < 0 ? 1 : 0] : "";
  }

  function shortSide(step, value, other) {
    return apart(step, value, other) ? " " + M.sidesApart(step)[value < 0 ? 1 : 0] : "";
  }

  // The slip the phone's own table explains the value by best, or null: how likely its undone value is by what is
  // expected, times how common it is, against a mistake that nothing of the table knows.
  function ownSlip(step, now) {
    var table = M.data.slips, spread = Math.hypot(step.sd, M.ownSd(step)), found = null;
    var column = { in: "inch", ft: "inch", lb: "inch", mm: "metric", cm: "metric", kg: "metric" }[now.entry.unit];
    var usual = table.usual[step.unit] + spread, off = (now.value - step.expected) / usual;
    var fraction = /[\/\u2044\u2215]/.test(now.entry.text.normalize("NFKC"));
    var rare = step.elsewhere, place = column === "metric" ? 1 : fraction ? 2 : 0;
    var none = column ? rare[place] : (rare[0] + rare[1]) / 2;
    var all = none / (Math.PI * usual * (1 + off * off));
    step.slips.forEach(function (number) {
      var row = table.rows[number], common = column ? row[column] : (row.inch + row.metric) / 2;
      if (fraction && row.off_metric) return;
      undone(row, now.value).forEach(function (one) {
        var misfit = (step.expected - one.value) / spread;
        var weight = common * one.share * Math.exp(-misfit * misfit / 2) / (spread * Math.sqrt(2 * Math.PI));
        all += weight;
        if (Math.abs(misfit) >= FAR || one.value < step.low || one.value > step.high) return;
        if (one.value * step.side < 0) return; // a left bolt read left was not read right by mistake
        if (!found || weight > found.weight) found = { weight: weight, value: one.value, name: row.name, how: row.how };
      });
    });
    return found && found.weight >= NAMED_SHARE * all ? found : null;
  }

  function undone(row, value) {
    if (row.factor !== undefined) return [{ value: value * row.factor, share: 1 }];
    var away = value < 0 ? -row.shift : row.shift;
    return [{ value: value - away, share: row.long }, { value: value + away, share: 1 - row.long }];
  }

  // While it is typed: as soon as no further digit can make it fit, said in the place of what to do, and nothing waits.
  // Beside a first reading that differs it is not said: what the rest expects is drawn towards that one.
  function whileTyping() {
    var step = M.state.step, now = M.read(step), place = soonOf(step), judged = null;
    var panels = !M.dom.remark.hidden || !M.dom.both.hidden || M.state.both;
    if (now.value !== undefined && !(now.unsided && now.value !== 0) && !M.hides(step) && !panels) {
      judged = judge(step, now.value);
      if (judged && mayStillFit(step, now, judged)) judged = null;
    }
    place.hidden = !judged;
    step.node.querySelector(".ask").classList.toggle("unfit", !!judged);
    if (!judged) return;
    place.querySelector("span").replaceChildren.apply(place.querySelector("span"), inShort(step, now, judged));
    var words = P.heard(place);
    if (words !== M.state.said) M.announceLater(words);
    M.state.said = words;
  }

  function soonOf(step) {
    var place = step.node.querySelector(".soon");
    if (place) return place;
    place = document.querySelector(".soon-pattern").content.firstElementChild.cloneNode(true);
    step.node.querySelector(".hint").after(place);
    return place;
  }

  function inShort(step, now, judged) {
    var unit = now.entry.unit, end = unit === "deg" ? "°" : "";
    function said(value) { return [P.lettered(P.say(value, unit)), end]; }
    if (judged.kind === "range") return [M.SAY.range].concat(said(step.low), [" and "], said(step.high), ["."]);
    var parts = [M.SAY.restSays].concat(
      said(step.expected), [sideApart(step, step.expected, now.value), " ± "], said(give(step, unit)), ["."]);
    var slip = ownSlip(step, now);
    return slip ? parts.concat([" ", M.sentence(slip.name), "? "], said(slip.value), [M.SAY.wouldFit]) : parts;
  }

  function give(step, unit) { return Math.max(2 * step.sd, unit === "in" || unit === "ft" ? INCH / 16 : 0.5); }

  // "1" may become "17 3/4": whether some value that begins with what is typed lies within what would pass.
  function mayStillFit(step, now, judged) {
    var text = M.state.text.trim(), typed = Number(text);
    if (/'/.test(text)) return !/[0-9]\/[0-9]/.test(text);
    if (!/^[0-9]+(\.[0-9]*)?$/.test(text)) return false;
    if (!typed) return true;
    var per = now.value / typed, point = text.indexOf("."), width = point < 0 ? 1 : Math.pow(10, point + 1 - text.length);
    var low = judged.kind === "range" ? step.low : step.expected - M.limit(step);
    var high = judged.kind === "range" ? step.high : step.expected + M.limit(step);
    for (var grown = 1; grown <= (point < 0 ? 1000 : 1); grown *= 10) {
      var one = typed * grown * per, other = (typed + width) * grown * per;
      if (Math.max(Math.min(one, other), low) < Math.min(Math.max(one, other), high)) return true;
    }
    return false;
  }

  function onRemark(event) {
    var key = event.target.closest("button");
    var remark = M.state.remark;
    if (!key || !remark || M.state.saving) return;
    var deed = key.dataset.do;
    closePanels();
    if (deed === "again") {
      M.state.text = "";
      M.typed();
      M.announce(remark.step.title);
    } else if (deed === "keep") {
      M.keep(remark.step, remark.now, { kept: true });
    } else {
      var unit = remark.now.entry.unit, text = (remark.use < 0 ? "-" : "") + P.say(remark.use, unit, 32);
      var entry = P.parse(text, unit, remark.step.unit);
      M.keep(remark.step, { value: entry.value, entry: entry }, { note: M.SAY.firstTyped + remark.now.entry.text });
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
    M.lettersInto(labels[0], now.entry.text);
    labels[0].setAttribute("y", (typedAt - 5).toFixed(1));
    labels[1].setAttribute("y", (typedAt + 14).toFixed(1));
    M.lettersInto(labels[2], P.say(expected, unit));
    labels[2].append(" fits");
    labels[2].setAttribute("y", (middle + 4).toFixed(1));
    stage.append(glass);
    var lit = stage.querySelector("circle.litf");
    var frame = stage.getBoundingClientRect(), spot = lit && lit.getBoundingClientRect();
    if (spot && spot.left - frame.left > frame.width * 0.72) glass.classList.add("at-left");
  }

  function closePanels() {
    M.dom.remark.hidden = true;
    M.dom.takes.hidden = true;
    M.dom.both.hidden = true;
    M.page.classList.remove("remarking", "taking", "listing", "comparing");
    M.page.querySelectorAll(".lens").forEach(function (glass) { glass.remove(); });
    M.state.remark = null;
  }

  M.whileTyping = whileTyping;
  M.judge = judge;
  M.consider = consider;
  M.prefetch = prefetch;
  M.openRemark = openRemark;
  M.onRemark = onRemark;
  M.closePanels = closePanels;
})();
