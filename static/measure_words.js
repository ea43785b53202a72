// What the measure page says, apart from the code that decides when.
(function () {
  "use strict";

  var P = window.plumbtack = window.plumbtack || {};
  var M = P.measure = {};

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
    give: "Give or take: ",
    usualGive: "Give or take as usual",
    now: ", now ",
    asUsual: "± as usual",
    typeGive: function (unit) { return "Or type it, ± in " + unit; },
    giveBetween: function (low, high) {
      return "Give or take lies between " + low + " and " + high + " for this reading: type it once more.";
    },
    inDoubt: "in doubt: second look",
    newDoubt: "new doubt: second look",
    takenBack: "Taken back",
    taken: "taken: ",
    notReached: "Noted: cannot be reached.",
    carryOn: function (number) { return number + " waiting, carry on"; },
    setApart: function (number) { return number + " not taken by the laptop"; },
    refused: function (title, why) { return title + " was not taken by the laptop and stays on the phone. " + why; },
    full: "The phone’s own store takes nothing more. What you record now is held only while this page stays " +
      "open: make room on the phone, or write it down.",
    closed: "This browser keeps no store of its own here. What you record waits only while this page stays open.",
    nearly: "The phone’s own store is nearly full. Make room on the phone soon; so far everything is kept.",
    shut: "This phone is not let in any more. What you record stays on it: point the camera at the code the laptop " +
      "shows now, and it goes over.",
    onlyLooking: "Readings wait on this phone that the guests’ code cannot bring over: point the camera at the other " +
      "code of the laptop.",
    away: "laptop away, carry on",
    awayMore: "The laptop does not answer. Carry on: all you record is kept on this phone and goes over by itself. " +
      "Do not reload meanwhile, that shows an empty page; if this page is lost, open it in a new tab.",
    beside: "open at this reading in another tab",
    goneElsewhere: function (text) { return "Withdrawn elsewhere: " + text; },
    readElsewhere: function (text) { return "Just read elsewhere: " + text; },
    rests: "By the other readings this is ",
    giveOrTake: ", give or take ",
    typed: ". You typed ",
    more: " more.",
    less: " less.",
    range: "Readings of this kind lie between ",
    restSays: "The rest says ",
    wouldFit: " would fit.",
    firstTyped: "first typed ",
    tookBack: "taken back at once",
    blind: "Read it once more. The first value shows after this one.",
    readBlind: "read again without seeing the first",
    alike: "Read twice, and alike",
    unlike: "Read twice, and not alike",
    afterAlike: "Then the slip may lie in another reading.",
    afterUnlike: "The first stays in the record, taken back.",
    use: "Use ",
    all: "Everything on this walk is taken."
  };

  function sentence(text) { return text.charAt(0).toUpperCase() + text.slice(1); }

  M.sentence = sentence;
  M.SAY = SAY;
})();
