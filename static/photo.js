// Photos from the phone: made smaller here before they are sent, and held on the phone while the laptop is away.
// Every page works without this file: the form then sends the picture as the camera made it.
//
// form[data-photo]   sends its picture; data-largest: bytes the laptop takes; its [role=status] says how it stands
// a[data-photo]      takes a photo without leaving the page; data-fields: JSON of what goes with it
// [data-photos-held] says which photos wait on this phone, and which of them the laptop would not take
// plumbtack.photos   how many wait; the document is told of a change by the event "photos"
(function () {
  "use strict";

  var P = window.plumbtack;
  var SAY = P.words.photo;
  var LONGEST_SIDE = 1600;
  var QUALITY = 0.85;
  var TIMEOUT = 30000;
  var AGAIN = 15000;
  var STORE = "photos";
  var FOR_GOOD = [400, 409, 413, 415, 422]; // answers about the photo itself; any other may be another one later
  var timer = null;

  P.photos = 0;

  // ---- on the phone ----

  function database() {
    return new Promise(function (resolve, reject) {
      if (!window.indexedDB) return reject(new Error("no store"));
      var opening = indexedDB.open("plumbtack-photos", 1);
      opening.onupgradeneeded = function () { opening.result.createObjectStore(STORE, { keyPath: "id" }); };
      opening.onsuccess = function () { resolve(opening.result); };
      opening.onerror = function () { reject(opening.error); };
    });
  }

  function inStore(mode, deed) {
    return database().then(function (opened) {
      return new Promise(function (resolve, reject) {
        var options = mode === "readwrite" ? { durability: "strict" } : {};
        var transaction = opened.transaction(STORE, mode, options);
        var asked = deed(transaction.objectStore(STORE));
        transaction.oncomplete = function () { opened.close(); resolve(asked && asked.result); };
        transaction.onabort = transaction.onerror = function () { opened.close(); reject(transaction.error); };
      });
    });
  }

  function hold(photo) { return inStore("readwrite", function (store) { return store.put(photo); }); }
  function release(id) { return inStore("readwrite", function (store) { return store.delete(id); }); }
  function held() { return inStore("readonly", function (store) { return store.getAll(); }); }

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

  // ---- sending ----

  // Resolves { stored }, { refused: sentence } for good, or { later: sentence }; rejects when the laptop did not answer.
  function send(photo) {
    var form = new FormData();
    Object.keys(photo.fields).forEach(function (name) { form.append(name, photo.fields[name]); });
    form.append("picture", new Blob([photo.content], { type: photo.type }), "photo.jpg");
    var stop = new AbortController();
    var timer = setTimeout(function () { stop.abort(); }, TIMEOUT);
    return fetch(photo.action, { method: "POST", body: form, headers: { Accept: "application/json" },
                                 credentials: "same-origin", signal: stop.signal }).then(function (answer) {
      return answer.json().catch(function () { return {}; }).then(function (said) {
        if (answer.ok && said.stored === photo.id) return { stored: true };
        if (FOR_GOOD.indexOf(answer.status) >= 0 && said.error) return { refused: said.error };
        return { later: answer.status === 401 || answer.status === 403 ? SAY.shut : SAY.waits };
      });
    }).finally(function () { clearTimeout(timer); });
  }

  function freshId() {
    return Array.from(crypto.getRandomValues(new Uint8Array(16)), function (byte) {
      return byte.toString(16).padStart(2, "0");
    }).join("");
  }

  function now() { return new Date().toISOString().replace(/\.\d+Z$/, "Z"); }

  // Resolves the sentence to show, and whether the photo is on the laptop.
  function take(file, action, fields, largest) {
    return smaller(file).then(function (blob) {
      if (largest && blob.size > largest) {
        return { said: SAY.tooLarge(Math.floor(largest / 1e6)), bad: true };
      }
      return blob.arrayBuffer().then(function (content) {
        var photo = { id: fields.id, action: action, fields: fields, content: content, type: blob.type || "image/jpeg" };
        return hold(photo).then(function () { return true; }, function () { return false; }).then(function (kept) {
          return send(photo).then(function (answer) {
            if (answer.later) return waits(kept, answer.later);
            if (kept) release(photo.id).then(tell, function () {});
            return answer.stored ? { said: SAY.stored, stored: true } : { said: answer.refused, bad: true };
          }, function () { return waits(kept, SAY.waits); });
        });
      });
    });
  }

  function waits(kept, words) {
    if (!kept) return { said: SAY.cannotHold, bad: true };
    later();
    tell();
    return { said: words, waits: true };
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(flush, AGAIN);
  }

  // What waits is sent one after the other, until the laptop does not answer. What it would not take stays on the phone,
  // set apart, until the person has seen why.
  function flush() {
    return held().then(function (all) {
      return all.filter(function (photo) { return !photo.refused; }).reduce(function (before, photo) {
        return before.then(function () { return send(photo); }).then(function (answer) {
          if (answer.later) return later();
          return answer.stored ? release(photo.id) : hold(Object.assign(photo, { refused: answer.refused }));
        });
      }, Promise.resolve());
    }).catch(later).then(tell);
  }

  // Says what waits here and what was refused.
  function tell() {
    return held().then(function (all) {
      var apart = all.filter(function (photo) { return photo.refused; });
      P.photos = all.length - apart.length;
      try { localStorage.setItem("plumbtack.photos", P.photos); } catch (trouble) { /* other rooms then count none */ }
      document.dispatchEvent(new Event("photos"));
      document.querySelectorAll("[data-photos-held]").forEach(function (place) {
        place.replaceChildren();
        if (P.photos) line(place, SAY.held(P.photos));
        apart.forEach(function (photo) { line(place, SAY.notTaken(photo.refused)).after(letGo(photo)); });
        place.hidden = !all.length;
      });
    }, function () {});
  }

  function line(place, words) {
    var said = document.createElement("p");
    said.textContent = words;
    place.append(said);
    return said;
  }

  function letGo(photo) {
    var key = document.createElement("button");
    key.type = "button";
    key.className = "btn";
    key.textContent = SAY.letGo;
    key.addEventListener("click", function () { release(photo.id).then(tell); });
    return key;
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
          form.elements.id.value = freshId();
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
      var fields = Object.assign({ id: freshId(), at: now() }, JSON.parse(link.dataset.fields));
      show(status, { said: SAY.sending });
      take(input.files[0], link.dataset.photo, fields, 0).then(function (found) { show(status, found); });
    });
  }

  document.addEventListener("shown", function () { document.querySelectorAll("form[data-photo]").forEach(onForm); });
  document.querySelectorAll("form[data-photo]").forEach(onForm);
  document.querySelectorAll("a[data-photo]").forEach(onLink);
  window.addEventListener("online", flush);
  flush();
})();
