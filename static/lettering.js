// Fractions in what a script says, set as the laptop sets them: raised numerator, thin slash, lowered denominator, and
// the plain "24 1/8" for a screen reader.
(function () {
  "use strict";

  // With an inch tape's denominators, and no part of a tyre size or a date.
  var FRACTION = /(^|[^\w/.,])(?:([0-9]+) )?([0-9]{1,2})\/(2|4|8|16|32|64)(?![\w/])/g;

  function element(tag, name, inside) {
    var made = document.createElement(tag);
    if (name) made.className = name;
    made.append.apply(made, inside);
    return made;
  }

  function raised(before, top, bottom, after) {
    var shown = element("span", "", [
      before, element("span", "fr", [element("b", "", [top]), element("i", "", ["/"]), element("u", "", [bottom])]),
      after
    ]);
    shown.setAttribute("aria-hidden", "true");
    return shown;
  }

  // One value, also while it is typed: "24 3/".
  function lettered(text) {
    var found = /^(.*?)(?: |^)([0-9]+)\/([0-9]+)(.*)$/.exec(text);
    if (!found) return element("span", "nw", [text]);
    return element("span", "nw", [element("span", "sr", [text]), raised(found[1], found[2], found[3], found[4])]);
  }

  // The pieces of a text in which fractions may stand anywhere.
  function fractions(text) {
    var pieces = [], end = 0, found;
    FRACTION.lastIndex = 0;
    while ((found = FRACTION.exec(text))) {
      var from = found.index + found[1].length;
      pieces.push(text.slice(end, from), element("span", "nw", [
        element("span", "sr", [text.slice(from, FRACTION.lastIndex)]), raised(found[2] || "", found[3], found[4], "")
      ]));
      end = FRACTION.lastIndex;
    }
    return pieces.concat(text.slice(end));
  }

  // What a screen reader hears of a place.
  function heard(place) {
    var copy = place.cloneNode(true);
    copy.querySelectorAll("[aria-hidden=true]").forEach(function (hidden) { hidden.remove(); });
    return copy.textContent;
  }

  window.plumbtack = window.plumbtack || {};
  window.plumbtack.lettered = lettered;
  window.plumbtack.fractions = fractions;
  window.plumbtack.heard = heard;
})();
