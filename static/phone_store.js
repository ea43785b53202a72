// The phone's disk under the outbox: one IndexedDB, one row an entry. localStorage is no place for them: what a killed
// browser wrote there in the last half minute is gone.
//
// store.readAll(vehicle)  -> promise: its rows;  store.everything() -> promise: those of all vehicles
// store.write(row), store.erase(id), store.hasRoom()  -> promise, settled once it is so on the disk
(function () {
  "use strict";

  var ROOM = 1 << 20; // bytes: some thousand entries
  var PIECE = 1 << 16; // the most random bytes to be had at once
  var PATIENCE = 8000; // ms: a store that has not answered by then is one that does not, and the person goes on
  var opened = null; // the promise of a connection, while there is one

  // A browser closes a connection under a page that slept, and a newer page may want to change the store.
  function connection() {
    if (!opened) {
      opened = inTime(open());
      opened.catch(forget);
    }
    return opened;
  }

  function forget() { opened = null; }

  function open() {
    return new Promise(function (resolve, reject) {
      if (!window.indexedDB) {
        reject(new Error("no store"));
        return;
      }
      var request = indexedDB.open("plumbtack"); // of whatever version: a page left open meets the store of a newer one
      request.onupgradeneeded = function () {
        request.result.createObjectStore("entries", { keyPath: "id" }).createIndex("vehicle", "vehicle");
      };
      request.onsuccess = function () {
        var database = request.result;
        database.onclose = forget;
        database.onversionchange = function () {
          database.close();
          forget();
        };
        resolve(database);
      };
      request.onerror = function () { reject(request.error); };
    });
  }

  function inTime(promise) {
    return new Promise(function (resolve, reject) {
      var late = setTimeout(function () { reject(new Error("no answer")); }, PATIENCE);
      promise.then(resolve, reject).finally(function () { clearTimeout(late); });
    });
  }

  // Settled only by the transaction's own `complete`: with strict durability it is on the disk then. Once more where
  // the connection turns out to be closed.
  function transact(mode, deed) {
    return once(mode, deed).catch(function (trouble) {
      if (trouble.name !== "InvalidStateError" && trouble.name !== "AbortError") throw trouble;
      forget();
      return once(mode, deed);
    });
  }

  function once(mode, deed) {
    return connection().then(function (database) {
      return new Promise(function (resolve, reject) {
        var transaction = database.transaction("entries", mode, { durability: "strict" });
        var asked = deed(transaction.objectStore("entries"));
        transaction.oncomplete = function () { resolve(asked.result); };
        transaction.onabort = transaction.onerror = function () {
          reject(transaction.error || new DOMException("", "AbortError"));
        };
      });
    });
  }

  function readAll(vehicle) {
    return inTime(transact("readonly", function (entries) { return entries.index("vehicle").getAll(vehicle); }));
  }

  function everything() {
    return inTime(transact("readonly", function (entries) { return entries.getAll(); }));
  }

  function write(row) { return inTime(put(row)); }

  function put(row) {
    return transact("readwrite", function (entries) { return entries.put(row); });
  }

  function erase(id) {
    return transact("readwrite", function (entries) { return entries.delete(id); });
  }

  // Whether a megabyte more goes in. Written and taken out again: a plain-http page is not told how much room there is.
  // It may take as long as it takes: slow is not full.
  function hasRoom() {
    var bytes = new Uint8Array(ROOM);
    for (var at = 0; at < ROOM; at += PIECE) crypto.getRandomValues(bytes.subarray(at, at + PIECE));
    return put({ id: "room", vehicle: "", bytes: bytes })
      .then(function () { return erase("room"); })
      .then(function () { return true; }, function () { return false; });
  }

  window.plumbtack = window.plumbtack || {};
  window.plumbtack.store = {
    readAll: readAll, everything: everything, write: write, erase: erase, hasRoom: hasRoom
  };
})();
