// Small courtesies for the pages that follow the phone. Every page works without this file.
(function () {
  "use strict";

  var P = window.plumbtack = window.plumbtack || {};
  var focusedHref = null;

  function isChanged(field) {
    if (field.tagName === "SELECT") {
      return Array.prototype.some.call(field.options, function (option) {
        return option.selected !== option.defaultSelected;
      });
    }
    return field.type === "radio" || field.type === "checkbox"
      ? field.checked !== field.defaultChecked
      : field.value !== field.defaultValue;
  }

  P.isChanged = isChanged;

  // A page that is not looked at, or in which something is being typed, was unfolded or was refused, is left as it is.
  function leaveAlone(room) {
    if (document.hidden || room.querySelector("details[open], form .refused")) return true;
    return Array.prototype.some.call(room.querySelectorAll("input, select, textarea"), function (field) {
      return field === document.activeElement || isChanged(field);
    });
  }

  document.addEventListener("htmx:beforeRequest", function (event) {
    var room = event.detail.elt;
    if (room.id === "room" && leaveAlone(room)) event.preventDefault();
  });

  // The examples in the fields of a new vehicle speak the tape's unit.
  document.addEventListener("change", function (event) {
    if (event.target.name !== "unit") return;
    document.querySelectorAll("[data-like-in]").forEach(function (field) {
      field.placeholder = field.getAttribute("data-like-" + event.target.value) || field.placeholder;
    });
  });

  // Who came in with the guests' code finds what would change something at rest. The laptop refuses it in any case.
  function atRest() {
    if (!document.body.classList.contains("guest")) return;
    var fields = 'form[method="post"] :is(input, select, textarea, button)';
    document.querySelectorAll(fields).forEach(function (field) { field.disabled = true; });
  }
  document.addEventListener("htmx:afterSwap", atRest);
  atRest();

  // The laptop has made a new key: what this page shows is no longer for whoever looks at it here.
  document.addEventListener("htmx:responseError", function (event) {
    var status = event.detail.xhr.status;
    if (status === 401 || status === 403) location.reload();
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
