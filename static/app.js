// Small courtesies for the pages that follow the phone. Every page works without this file.
(function () {
  "use strict";

  var focusedHref = null;

  // A page that is not looked at, or in which something is being typed or was unfolded, is left as it is.
  function leaveAlone(room) {
    if (document.hidden) return true;
    if (room.querySelector("details[open]")) return true;
    var fields = room.querySelectorAll("input, select, textarea");
    for (var i = 0; i < fields.length; i++) {
      var field = fields[i];
      if (field === document.activeElement || field.value !== field.defaultValue && field.type !== "radio") return true;
    }
    return false;
  }

  document.addEventListener("htmx:beforeRequest", function (event) {
    var room = event.detail.elt;
    if (room.id === "room" && leaveAlone(room)) event.preventDefault();
  });

  // A swap replaces the link that had the keyboard's focus: give it back to its successor.
  document.addEventListener("htmx:beforeSwap", function () {
    var focused = document.activeElement;
    focusedHref = focused && focused.getAttribute("href");
  });
  document.addEventListener("htmx:afterSwap", function () {
    if (!focusedHref) return;
    var successor = document.querySelector('#room [href="' + CSS.escape(focusedHref) + '"]');
    if (successor) successor.focus({ preventScroll: true });
    focusedHref = null;
  });
})();
