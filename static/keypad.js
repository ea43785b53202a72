// Typed text to a value, on the phone: the same grammar as capture/entry.py, so that a value can be judged and kept
// with no connection. A browser test compares the two over hundreds of texts. Sums are done in whole numbers and
// rounded once, so 24 1/8 in is the same float here and on the laptop.
(function () {
  "use strict";

  var SAY = window.plumbtack.words.entry;
  var LONGEST = 40;
  var LARGEST = 1000000n;

  // factor: file units (mm, deg, kg) in one of it, as numerator over denominator
  var UNITS = {
    in: { name: "in", quantity: "mm", factor: [254n, 10n], example: "24 1/8" },
    ft: { name: "ft", quantity: "mm", factor: [3048n, 10n], example: "5' 3 1/2" },
    mm: { name: "mm", quantity: "mm", factor: [1n, 1n], example: "612.5" },
    cm: { name: "cm", quantity: "mm", factor: [10n, 1n], example: "61.3" },
    deg: { name: "deg", quantity: "deg", factor: [1n, 1n], example: "12.4" },
    kg: { name: "kg", quantity: "kg", factor: [1n, 1n], example: "412.5" },
    lb: { name: "lb", quantity: "kg", factor: [45359237n, 100000000n], example: "910" }
  };
  var QUANTITIES = { mm: "a length", deg: "an angle", kg: "a weight" };
  var WORDS = {
    '"': "in", "''": "in", in: "in", "in.": "in", inch: "in", inches: "in",
    "'": "ft", ft: "ft", "ft.": "ft", foot: "ft", feet: "ft",
    mm: "mm", cm: "cm",
    "°": "deg", deg: "deg", "deg.": "deg", degree: "deg", degrees: "deg",
    kg: "kg", kgs: "kg", lb: "lb", "lb.": "lb", lbs: "lb", pound: "lb", pounds: "lb"
  };
  var SAME = [
    ["−–—‐‑‒﹣－", "-"], ["’‘′ʹ´`＇", "'"], ["”“„″ʺ＂", '"'], ["º˚", "°"], ["⁄∕／", "/"],
    ["\t\u00a0\u2007\u2009\u202f", " "], ["＋", "+"]
  ];
  var FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7",
    "⅑": "1/9", "⅒": "1/10"
  };
  var UNIT_WORD = "(''|[\"'°]|[a-z]+\\.?)";
  var NUMBER = "([0-9.,/ ]*?[0-9]-[0-9]+ ?/ ?[0-9]+|[0-9.,/ ]+?)";
  var ONE = new RegExp("^([-+]?) *" + NUMBER + " *" + UNIT_WORD + "?$");
  var FEET = new RegExp(
    "^([-+]?) *([0-9.,/ ]+?) *('|ft\\.?|foot|feet)(?!') *-? *" + NUMBER + " *" + UNIT_WORD + "?$");
  var DECIMAL = /^(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)$/;
  var MIXED = /^(?:([0-9]+)(?: +|-))?([0-9]+) ?\/ ?([0-9]+)$/;
  var DENOMINATORS = ["2", "4", "8", "16", "32", "64"];

  function NotAReading(sentence) { this.message = sentence; }

  function refuse(sentence) { throw new NotAReading(sentence); }

  function parse(text, unit, quantity) {
    var chosen = UNITS[unit];
    if (!chosen || chosen.quantity !== quantity) {
      refuse(SAY.noSuchUnit(shown(unit), QUANTITIES[quantity], choices(quantity)));
    }
    var clean = cleaned(text, chosen);
    var feet = FEET.exec(clean);
    if (feet && quantity === "mm") return entry(text, feetAndInches(feet), UNITS.ft, feet[1], null);
    var found = ONE.exec(clean);
    if (!found) refuse(notRead(text, chosen));
    var written = found[3] === undefined ? null : writtenUnit(found[3], quantity, text);
    var used = written || chosen;
    refuseBareFraction(found[2], written, chosen);
    return entry(text, times(amount(found[2], used, text), used.factor), used, found[1], question(found[2], used));
  }

  function cleaned(text, chosen) {
    if (!strip(text)) refuse(SAY.nothingTyped(chosen.example));
    var length = Array.from(text).length;
    if (length > LONGEST) refuse(SAY.tooLong(length, chosen.example));
    Object.keys(FRACTIONS).forEach(function (sign) { text = text.split(sign).join(" " + FRACTIONS[sign]); });
    return oneSign(text).toLowerCase().replace(/^[ \n\r]+|[ \n\r]+$/g, "");
  }

  function oneSign(text) {
    return Array.from(text).map(function (letter) {
      for (var i = 0; i < SAME.length; i++) if (SAME[i][0].indexOf(letter) >= 0) return SAME[i][1];
      return letter;
    }).join("");
  }

  function strip(text) {
    return text.replace(/^[\s\x1c-\x1f\x85]+|[\s\x1c-\x1f\x85]+$/g, "");
  }

  function writtenUnit(word, quantity, text) {
    var name = Object.prototype.hasOwnProperty.call(WORDS, word) ? WORDS[word] : null;
    if (!name) refuse(SAY.strangeUnit(shown(text), choices(quantity)));
    var unit = UNITS[name];
    if (unit.quantity !== quantity) {
      refuse(SAY.otherQuantity(shown(text), QUANTITIES[unit.quantity], QUANTITIES[quantity], choices(quantity)));
    }
    return unit;
  }

  function refuseBareFraction(number, written, chosen) {
    if (number.indexOf("/") < 0 || written || ["mm", "cm", "ft"].indexOf(chosen.name) < 0) return;
    var plain = number.split(/ +/).filter(Boolean).join(" ");
    refuse(SAY.inchesOr(plain, chosen.name === "ft" ? "feet" : chosen.name, chosen.name));
  }

  function amount(number, unit, text) {
    number = number.trim();
    if (number.indexOf("/") >= 0) return fraction(number, unit, text);
    if (!DECIMAL.test(number)) refuse(notRead(text, unit));
    return decimal(number);
  }

  function decimal(number) {
    var parts = number.split(",");
    if (parts.length === 2 && parts[1].length === 3 && parts[0].length >= 1 && parts[0].length <= 3 &&
        parts[0][0] !== "0") {
      refuse(SAY.twoMeanings(number, parts[0], parts[1]));
    }
    var sides = number.replace(",", ".").split(".");
    var tail = sides[1] || "";
    return [BigInt((sides[0] || "0") + tail), 10n ** BigInt(tail.length)];
  }

  function fraction(number, unit, text) {
    var found = MIXED.exec(number);
    if (!found) refuse(notRead(text, unit));
    var top = BigInt(found[2]), bottom = BigInt(found[3]);
    if (bottom === 0n) refuse(SAY.nothingBelow(top));
    if ((unit.name === "in" || unit.name === "ft") && DENOMINATORS.indexOf(String(bottom)) < 0) {
      refuse(SAY.noSuchFraction(top, bottom));
    }
    if (top >= bottom) refuse(tooMuchOnTop(found[1], found[2], found[3]));
    return [BigInt(found[1] || 0) * bottom + top, bottom];
  }

  function tooMuchOnTop(whole, top, bottom) {
    var splits = [];
    if (!whole) {
      for (var cut = 1; cut < top.length; cut++) {
        if (top[cut] !== "0" && BigInt(top.slice(cut)) < BigInt(bottom)) {
          splits.push(top.slice(0, cut) + " " + top.slice(cut) + "/" + bottom);
        }
      }
    }
    if (!splits.length) {
      var more = BigInt(top) / BigInt(bottom), rest = BigInt(top) % BigInt(bottom);
      splits = [String(BigInt(whole || 0) + more) + (rest ? " " + rest + "/" + bottom : "")];
    }
    return SAY.tooMuchAbove((whole ? whole + " " : "") + top + "/" + bottom, splits.join(" or "));
  }

  function feetAndInches(found) {
    var text = found[0];
    if ((found[5] && WORDS[found[5]] !== "in") || !/^[0-9]+$/.test(found[2].trim())) {
      refuse(SAY.notFeet(shown(text)));
    }
    var inches = amount(found[4], UNITS.in, text);
    if (inches[0] >= 12n * inches[1]) refuse(SAY.twelveInches(shown(text)));
    return plus(times([BigInt(found[2].trim()), 1n], UNITS.ft.factor), times(inches, UNITS.in.factor));
  }

  function entry(text, size, unit, sign, ask) {
    if (size[0] > LARGEST * size[1]) refuse(SAY.tooLarge(shown(text), QUANTITIES[unit.quantity], unit.example));
    var value = toFloat(size);
    return { value: sign === "-" && value !== 0 ? -value : value, unit: unit.name, text: text, ask: ask, sign: sign };
  }

  function question(number, unit) {
    var parts = number.trim().replace(",", ".").split(".");
    if (parts.length < 2 || parts[1].length !== 1) return null;
    var whole = parts[0], tail = parts[1];
    if (unit.name === "ft" && tail !== "0") return SAY.tenthsOfAFoot(whole || 0, tail);
    if (unit.name === "in" && "137".indexOf(tail) >= 0) return SAY.tenthsOfAnInch((whole + " " + tail + "/8").trim());
    return null;
  }

  function notRead(text, unit) {
    var said = shown(text);
    if (/[0-9] +- *[0-9]+ ?\/|[0-9] *- +[0-9]+ ?\//.test(oneSign(text))) {
      return SAY.moreOrLess(said, unit.example);
    }
    if ((text.match(/[0-9]+(?:[.,\/][0-9]+)*/g) || []).length > 1) {
      return SAY.twoNumbers(said, unit.example);
    }
    return SAY.noNumber(said, unit.example);
  }

  function choices(quantity) {
    var names = Object.keys(UNITS).filter(function (name) { return UNITS[name].quantity === quantity; });
    return names.length === 1 ? names[0] : names.slice(0, -1).join(", ") + " or " + names[names.length - 1];
  }

  function shown(text) {
    return "“" + Array.from(strip(text.replace(/[\u0000-\u001f\u007f-\u00a0\u2007\u2009\u202f]/g, " ")))
      .slice(0, LONGEST).join("") + "”";
  }

  function times(a, b) { return [a[0] * b[0], a[1] * b[1]]; }

  function plus(a, b) { return [a[0] * b[1] + b[0] * a[1], a[1] * b[1]]; }

  // The float nearest to a fraction: shift until the quotient has more bits than a float, keep what is left over as
  // a last bit, and let the one conversion round.
  function toFloat(size) {
    var top = size[0], bottom = size[1], shift = 0;
    if (top === 0n) return 0;
    while (top >> 70n < bottom) { top <<= 32n; shift += 32; }
    var quotient = top / bottom;
    if (top % bottom) quotient |= 1n;
    return Number(quotient) / Math.pow(2, shift);
  }

  // ---- lengths, angles and weights back into words -------------------------------------------------------------

  // value in the file unit -> { whole, top, bottom } of an inch to the given denominator
  function inchParts(value, denominator) {
    var steps = Math.round(Math.abs(value) / 25.4 * denominator);
    var whole = Math.floor(steps / denominator), top = steps % denominator, bottom = denominator;
    while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
    return { whole: whole, top: top, bottom: bottom };
  }

  // Plain text of a value in a unit, without the unit's name: "19 1/8", "486", "7.4".
  function say(value, unit, fine) {
    var size = Math.abs(value);
    if (unit === "in") {
      var parts = inchParts(value, fine || 16);
      if (!parts.top) return String(parts.whole);
      return (parts.whole ? parts.whole + " " : "") + parts.top + "/" + parts.bottom;
    }
    if (unit === "ft") {
      var inches = Math.round(size / 25.4 * 16) / 16;
      return Math.floor(inches / 12) + "' " + say((inches % 12) * 25.4, "in");
    }
    if (unit === "cm") return trimmed(size / 10, 2);
    if (unit === "lb") return trimmed(size / 0.45359237, size < 50 ? 1 : 0);
    if (unit === "deg") return trimmed(size, 1);
    return trimmed(size, size < 100 || unit === "kg" ? 1 : fine ? 1 : 0);
  }

  function trimmed(number, digits) {
    var text = number.toFixed(digits);
    return digits ? text.replace(/\.?0+$/, "") : text;
  }

  window.plumbtack = window.plumbtack || {};
  window.plumbtack.parse = parse;
  window.plumbtack.NotAReading = NotAReading;
  window.plumbtack.say = say;
  window.plumbtack.UNITS = UNITS;
})();
