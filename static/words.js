// What the scripts say, apart from the code that decides when: a room each. Loaded before the scripts that say it.
(function () {
  "use strict";

  var P = window.plumbtack = window.plumbtack || {};

  function sentence(text) { return text.charAt(0).toUpperCase() + text.slice(1); }

  P.words = {
    sentence: sentence,

    // the same as in capture/entry_words.py
    entry: {
      noSuchUnit: function (unit, quantity, choices) {
        return unit + " is no unit for " + quantity + ": choose " + choices + ".";
      },
      nothingTyped: function (example) { return "Nothing is typed yet: type a number, such as " + example + "."; },
      tooLong: function (number, example) {
        return number + " characters are too many for a reading: type one, such as " + example + ".";
      },
      strangeUnit: function (text, choices) {
        return "The unit in " + text + " is not one used here: choose " + choices + ".";
      },
      otherQuantity: function (text, that, asked, choices) {
        return text + " is " + that + ", this reading is " + asked + ": type it in " + choices + ".";
      },
      inchesOr: function (number, other, unit) {
        return number + " could be inches or " + other + ": write the unit behind it, " + number + " in or " + number +
          " " + unit + ".";
      },
      twoMeanings: function (number, whole, tail) {
        return number + " has two meanings: type " + whole + "." + tail + " or " + whole + tail + ".";
      },
      nothingBelow: function (top) { return top + "/0 has nothing below the line: type a fraction such as 1/8."; },
      noSuchFraction: function (top, bottom) {
        return "A tape has no " + top + "/" + bottom +
          ": use halves, 4ths, 8ths, 16ths, 32nds or 64ths, such as 24 1/8.";
      },
      tooMuchAbove: function (said, instead) {
        return said + " has too much above the line: did you mean " + instead + "?";
      },
      notFeet: function (text) {
        return text + " is not feet and inches: type whole feet first, such as 5' 3 1/2.";
      },
      twelveInches: function (text) {
        return text + " has 12 inches or more behind the feet: type it as 5' 3 1/2, or in inches alone.";
      },
      tooLarge: function (text, quantity, example) {
        return text + " is too large for " + quantity + ": type one such as " + example + ".";
      },
      tenthsOfAFoot: function (feet, inches) {
        return "Tenths of a foot: if you meant " + feet + " ft " + inches + " in, type " + feet + "' " + inches + ".";
      },
      tenthsOfAnInch: function (said) { return "Tenths of an inch: if you meant " + said + ", type it so."; },
      moreOrLess: function (said, example) {
        return said + " could be more or less than the whole number: type it as one, such as " + example + ".";
      },
      twoNumbers: function (said, example) {
        return said + " holds more than one number: type a single reading, such as " + example + ".";
      },
      noNumber: function (said, example) {
        return said + " is not a number that can be read: type one such as " + example + ".";
      }
    },

    outbox: {
      noVehicle: "It does not have this vehicle any more: a copy from before it was put back. Put a newer one back on the " +
        "laptop."
    },

    photo: {
      tooLarge: function (megabytes) {
        return "This photo is larger than " + megabytes + " MB, and this phone cannot make it smaller: choose a " +
          "smaller size in the camera.";
      },
      stored: "The photo is on the laptop.",
      cannotHold: "The laptop is away and this phone cannot hold photos: take it again later.",
      waits: "The photo waits on this phone until the laptop is there.",
      shut: "The photo waits on this phone, which is not let in any more: point the camera at the code the laptop shows " +
        "now.",
      held: function (number) {
        return number === 1 ? "A photo waits on this phone until the laptop takes it."
          : number + " photos wait on this phone until the laptop takes them.";
      },
      notTaken: function (why) { return "A photo was not taken by the laptop and stays on the phone. " + why; },
      letGo: "Let it go",
      smaller: "Making it smaller and sending it.",
      sending: "Sending the photo."
    },

    measure: {
      next: "Next: ",
      typeFirst: "Type what the tape shows first.",
      typeAngle: "Type what the gauge shows first.",
      side: function (words) {
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
      photos: function (number) { return number === 1 ? "a photo waits here" : number + " photos wait here"; },
      setApart: function (number) { return number + " not taken by the laptop"; },
      refused: function (titles, why) {
        return titles.length === 1
          ? titles[0] + " was not taken by the laptop and stays on the phone. " + why
          : titles.length + " were not taken by the laptop and stay on the phone. " + why + " " + titles.join("; ") + ".";
      },
      full: "The phone’s own store takes nothing more. What you record now is held only while this page stays " +
        "open: make room on the phone, or write it down.",
      closed: "This browser keeps no store of its own here. What you record waits only while this page stays open.",
      nearly: "The phone’s own store is nearly full. Make room on the phone soon; so far everything is kept.",
      shut: "This phone is not let in any more. What you record stays on it: point the camera at the code the laptop " +
        "shows now, and it goes over.",
      notNow: "not taken now, carry on",
      trouble: function (why) {
        return "The laptop answers, and takes nothing now. " + why + " What you record is kept on this phone and is " +
          "sent again by itself.";
      },
      onlyLooking: "Readings wait on this phone that the guests’ code cannot bring over: point the camera at the other " +
        "code of the laptop.",
      away: "laptop away, carry on",
      awayMore: "The laptop does not answer. Carry on: all you record is kept on this phone and goes over by itself. " +
        "Do not reload meanwhile, that shows an empty page; if this page is lost, open it in a new tab.",
      beside: "open at this reading in another tab",
      goneElsewhere: function (text) { return "Withdrawn elsewhere: " + text; },
      readElsewhere: function (text) { return "Just read elsewhere: " + text; },
      checks: function (number) { return number === 1 ? " check" : " checks"; },
      rests: "By the other readings this is ",
      giveOrTake: ", give or take ",
      typed: ". You typed ",
      more: " more.",
      less: " less.",
      apart: " apart.",
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
      all: "Everything on this walk is taken.",
      allOfIt: "Every reading of this walk is taken",
      skipped: function (number) {
        return number === 1 ? "One reading you skipped is left" : number + " readings you skipped are left";
      }
    },

    forms: {
      sending: "On its way to the laptop.",
      noAnswer: "The laptop does not answer. Nothing here is lost: leave this page open. Press again later, that is safe.",
      notTaken: "The laptop did not take it. Press again later."
    },

    whatIf: {
      noAnswer: "The laptop works these figures out and does not answer. Tap again once it does."
    },

    away: {
      strip: function (number) { return number ? "Laptop away, " + number + " waiting." : "Laptop away."; },
      carryOn: "Carry on.",
      stays: "That page is on the laptop: it opens once the laptop answers."
    },

    held: {
      sending: "On its way to the laptop.",
      kept: "Kept on this phone. It goes over by itself once the laptop is there.",
      open: "This phone stores nothing more. It goes over while this page stays open: make room, or write it down.",
      trouble: function (why) { return "Kept on this phone and sent again by itself. " + why; },
      shut: "Kept on this phone, which is not let in any more: point the camera at the code the laptop shows now.",
      waits: function (titles) {
        var more = titles.length > 4 ? titles.length - 3 : 0;
        return (titles.length === 1 ? "Waits on this phone: " : titles.length + " wait on this phone: ") +
          titles.slice(0, more ? 3 : 4).join("; ") + (more ? " and " + more + " more." : ".");
      },
      arrived: function (titles) {
        return titles.join("; ") + (titles.length === 1 ? " is" : " are") + " on the laptop now. ";
      },
      look: "Load this page again",
      kinds: { reading: "A reading", withdraw: "What takes a reading back", note: "A note", keep: "A doubt kept" },
      refused: function (title, why) { return title + " was not taken by the laptop. " + why; },
      letGo: "Let it go"
    }
  };
})();
