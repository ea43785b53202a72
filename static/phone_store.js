// The phone's disk under the outbox: one IndexedDB, one row an entry. localStorage is no place for them: what a killed
// browser wrote there in the last half minute is gone.
(function () {
  "use strict";

  var ROOM = 1 << 20; // bytes: some thousand entries
  var PIECE = 1 << 16; // the most random bytes to be had at once

  function open() {
    return new Promise(function (resolve, reject) {
      if (!window.indexedDB) {
        reject(new Error("no store"));
        return;
      }
      var request = indexedDB.open("plumbtack", 1);
      request.onupgradeneeded = function () {
        request.result.createObjectStore("entries", { keyPath: "id" }).createIndex("vehicle", "vehicle");
      };
      request.onsuccess = function () { resolve(request.result); };
      request.onerror = function () { reject(request.error); };
    });
  }

  function readAll(database, vehicle) {
    return new Promise(function (resolve, reject) {
      var request = database.transaction("entries").objectStore("entries").index("vehicle").getAll(vehicle);
      request.onsuccess = function () { resolve(request.result); };
      request.onerror = function () { reject(request.error); };
    });
  }

  // Settled only by the transaction's own `complete`: with strict durability it is on the disk then.
  function write(database, row) {
    return new Promise(function (resolve, reject) {
      var transaction;
      try {
        transaction = database.transaction("entries", "readwrite", { durability: "strict" });
        transaction.objectStore("entries").put(row);
      } catch (trouble) {
        reject(trouble);
        return;
      }
      transaction.oncomplete = function () { resolve(); };
      transaction.onabort = transaction.onerror = function () { reject(transaction.error); };
    });
  }

  function erase(database, id) {
    return new Promise(function (resolve, reject) {
      var transaction = database.transaction("entries", "readwrite");
      transaction.objectStore("entries").delete(id);
      transaction.oncomplete = function () { resolve(); };
      transaction.onabort = transaction.onerror = function () { reject(transaction.error); };
    });
  }

  // Whether a megabyte more goes in. Written and taken out again: a plain-http page is not told how much room there is.
  function hasRoom(database) {
    var bytes = new Uint8Array(ROOM);
    for (var at = 0; at < ROOM; at += PIECE) crypto.getRandomValues(bytes.subarray(at, at + PIECE));
    return write(database, { id: "room", vehicle: "", bytes: bytes })
      .then(function () { return erase(database, "room"); })
      .then(function () { return true; }, function () { return false; });
  }

  window.plumbtack = window.plumbtack || {};
  window.plumbtack.store = { open: open, readAll: readAll, write: write, erase: erase, hasRoom: hasRoom };
})();
