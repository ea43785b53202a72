// Photos from the phone: made smaller here before they are sent, and held on the phone while the laptop is away
// (photo_held.js). Every page works without this file: the form then sends the picture as the camera made it.
//
// form[data-photo]   sends its picture; data-largest: bytes the laptop takes; its [role=status] says how it stands
// a[data-photo]      takes a photo without leaving the page; data-fields: JSON of what goes with it
(function () {
  "use strict";

  var P = window.plumbtack;
  var SAY = P.words.photo;
  var LONGEST_SIDE = 1600;
  var QUALITY = 0.85;
  var held = P.photosHeld;

  // ---- smaller ----

  // The picture no longer than LONGEST_SIDE, as a JPEG; the file itself where this phone cannot do it.
  function smaller(file) {
    if (!window.createImageBitmap) return Promise.resolve(file);
    return createImageBitmap(file, { imageOrientation: "from-image" }).then(function (bitmap) {
      var share = Math.min(1, LONGEST_SIDE / Math.max(bitmap.width, bitmap.height));
      var canvas = document.createElement("canvas");
      canvas.width = Math.max(1, Math.round(bitmap.width * share));
      canvas.height = Math.max(1, Math.round(bitmap.height * share));
      var board = canvas.getContext("2d");
      board.fillStyle = "#fff";
      board.fillRect(0, 0, canvas.width, canvas.height);
      board.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      bitmap.close();
      return new Promise(function (resolve) { canvas.toBlob(resolve, "image/jpeg", QUALITY); });
    }).then(function (blob) { return blob && blob.size ? blob : file; }, function () { return file; });
  }

  // ---- one more ----

  function now() { return new Date().toISOString().replace(/\.\d+Z$/, "Z"); }

  // Resolves the sentence to show, and whether the photo is on the laptop.
  function take(file, action, fields, largest) {
    return smaller(file).then(function (blob) {
      if (largest && blob.size > largest) {
        return { said: SAY.tooLarge(Math.floor(largest / 1e6)), bad: true };
      }
      return blob.arrayBuffer().then(function (content) {
        var photo = { id: fields.id, action: action, fields: fields, content: content, type: blob.type || "image/jpeg" };
        return held.hold(photo).then(function () { return true; }, function () { return false; }).then(function (kept) {
          return held.send(photo).then(function (answer) {
            if (answer.later) return waits(kept, answer.later);
            if (kept) held.release(photo.id).then(held.tell, function () {});
            return answer.stored ? { said: SAY.stored, stored: true } : { said: answer.refused, bad: true };
          }, function () { return waits(kept, SAY.waits); });
        });
      });
    });
  }

  function waits(kept, words) {
    if (!kept) return { said: SAY.cannotHold, bad: true };
    held.later();
    held.tell();
    return { said: words, waits: true };
  }

  // ---- on the page ----

  function fieldsOf(form) {
    var fields = { at: now() };
    Array.prototype.forEach.call(form.querySelectorAll("input[type=hidden], input[type=text]"), function (input) {
      fields[input.name] = input.value;
    });
    return fields;
  }

  function show(place, found) {
    place.hidden = false;
    place.classList.toggle("refused", Boolean(found.bad));
    place.textContent = found.said;
  }

  function onForm(form) {
    var busy = false;
    var status = form.querySelector("[role=status]");
    form.addEventListener("submit", function (event) {
      var files = Array.prototype.map.call(form.querySelectorAll("input[type=file]"), function (input) {
        return input.files[0];
      }).filter(Boolean);
      if (!files.length) return;
      event.preventDefault();
      if (busy) return;
      busy = true;
      show(status, { said: SAY.smaller });
      take(files[0], form.action, fieldsOf(form), Number(form.dataset.largest)).then(function (found) {
        busy = false;
        if (found.stored) return location.reload();
        show(status, found);
        if (found.waits) {
          form.reset();
          form.elements.id.value = P.newId();
        }
      });
    });
  }

  function onLink(link) {
    var input = document.createElement("input");
    input.type = "file";
    input.accept = "image/*";
    input.setAttribute("capture", "environment");
    input.hidden = true;
    var status = document.createElement("span");
    status.className = "small";
    status.setAttribute("role", "status");
    status.hidden = true;
    link.after(input, status);
    link.addEventListener("click", function (event) {
      event.preventDefault();
      input.value = "";
      input.click();
    });
    input.addEventListener("change", function () {
      if (!input.files[0]) return;
      var fields = Object.assign({ id: P.newId(), at: now() }, JSON.parse(link.dataset.fields));
      show(status, { said: SAY.sending });
      take(input.files[0], link.dataset.photo, fields, 0).then(function (found) { show(status, found); });
    });
  }

  document.addEventListener("shown", function () { document.querySelectorAll("form[data-photo]").forEach(onForm); });
  document.querySelectorAll("form[data-photo]").forEach(onForm);
  document.querySelectorAll("a[data-photo]").forEach(onLink);
})();
