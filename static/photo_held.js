// Photos that wait on this phone: held in a store of its own, and brought over from whatever room is open.
//
// [data-photos-held]   says which photos wait on this phone, and which of them the laptop would not take
// plumbtack.photos     how many wait; the document is told of a change by the event "photos"
// plumbtack.photosHeld { hold, release, send, flush, later, tell }
(function () {
  "use strict";

  var P = window.plumbtack;
  var SAY = P.words.photo;
  var TIMEOUT = 30000;
  var AGAIN = 15000;
  var STORE = "photos";
  var COUNT = "plumbtack.photos";
  var FOR_GOOD = [400, 409, 413, 415, 422]; // answers about the photo itself; any other may be another one later
  var timer = null;
  var flushing = null;

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
    }, function (trouble) {
      if (P.away) P.away.missed();
      throw trouble;
    }).finally(function () { clearTimeout(timer); });
  }

  // ---- what waits ----

  function later() {
    clearTimeout(timer);
    timer = setTimeout(flush, AGAIN);
  }

  // What waits is sent one after the other, until the laptop does not answer. What it would not take stays on the phone,
  // set apart, until the person has seen why.
  function flush() {
    flushing = flushing || held().then(function (all) {
      return all.filter(function (photo) { return !photo.refused; }).reduce(function (before, photo) {
        return before.then(function () { return send(photo); }).then(function (answer) {
          if (answer.later) return later();
          return answer.stored ? release(photo.id) : hold(Object.assign(photo, { refused: answer.refused }));
        });
      }, Promise.resolve());
    }).catch(later).then(function () {
      flushing = null;
      return tell();
    });
    return flushing;
  }

  // Says what waits here and what was refused.
  function tell() {
    return held().then(function (all) {
      var apart = all.filter(function (photo) { return photo.refused; });
      P.photos = all.length - apart.length;
      try { localStorage.setItem(COUNT, P.photos); } catch (trouble) { /* other rooms then count none */ }
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

  P.photosHeld = { hold: hold, release: release, send: send, flush: flush, later: later, tell: tell };
  window.addEventListener("online", flush);
  window.addEventListener("storage", function (event) { if (event.key === COUNT) tell(); }); // another tab holds one more
  flush();
})();
