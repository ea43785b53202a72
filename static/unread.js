// What was typed into a form and cannot be read: said at its field at once, on the phone, by the same parser as in
// Measure. The laptop would say the same, but only once it is there.
//
// input[data-reads]             the unit a bare number in it is in; left empty or as it was, it is the laptop's to judge
// plumbtack.unread.anyIn(form)  says it at every such field, goes to the first, and tells whether there is one
(function () {
  "use strict";

  var P = window.plumbtack;

  function anyIn(form) {
    var fields = Array.prototype.filter.call(form.querySelectorAll("input[data-reads]"), function (field) {
      clear(field);
      var words = field.value.trim() && P.isChanged(field) ? refusal(field) : "";
      if (words) say(field, words);
      return words;
    });
    if (fields.length) goTo(fields[0]);
    return fields.length > 0;
  }

  function refusal(field) {
    try {
      P.parse(field.value, field.dataset.reads, P.UNITS[field.dataset.reads].quantity);
      return "";
    } catch (trouble) {
      if (trouble instanceof P.NotAReading) return trouble.message;
      throw trouble;
    }
  }

  function say(field, words) {
    var line = document.createElement("p");
    line.id = field.id + "-unread";
    line.dataset.unread = "";
    line.className = "refused plainly";
    line.setAttribute("role", "alert");
    line.textContent = words;
    field.setAttribute("aria-invalid", "true");
    field.dataset.described = field.getAttribute("aria-describedby") || "";
    field.setAttribute("aria-describedby", line.id);
    (field.closest(".withkey") || field).after(line);
    field.addEventListener("input", function () { clear(field); }, { once: true });
  }

  function clear(field) {
    var line = document.getElementById(field.id + "-unread");
    if (!line) return;
    line.remove();
    field.removeAttribute("aria-invalid");
    if (field.dataset.described) field.setAttribute("aria-describedby", field.dataset.described);
    else field.removeAttribute("aria-describedby");
  }

  function goTo(field) {
    var folded = field.closest("details");
    if (folded) folded.open = true;
    field.focus({ preventScroll: true });
    field.scrollIntoView({ block: "center" });
  }

  P.unread = { anyIn: anyIn };
})();
