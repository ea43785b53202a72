// The phone's own store. An entry is written here first, sent, and marked once the laptop echoes its id: until then
// it is neither lost nor forgotten, whatever becomes of the network, the page or the battery. No entry is ever deleted.
// An entry of type "typed" is a form as it was filled in, { address, fields }: the laptop makes the log's entries of it,
// once for its id.
//
// outbox.open()          -> promise: rows of this vehicle are loaded
// outbox.add(entry)      -> promise: settled once the entry is on the phone's disk (or held in memory: see `failing`)
// outbox.rows            all rows of this vehicle, oldest first: { id, vehicle, seq, entry, landed, refused }
// outbox.onchange        called whenever a row or the connection changes
// outbox.onlanded(ids, answer)  called with ids the laptop has just confirmed, and what else it answered
// outbox.onrefused(row)  called with a row the laptop has just refused
// outbox.drop(row)       a refused row of which nothing is to be kept: what was typed stands on the page still
// outbox.onothers()      called when another tab of this browser has stored or brought over a row
// outbox.away            the laptop does not answer;  outbox.shut: it answers, and does not let this phone record
// outbox.failing         "full", "closed": the phone's store takes nothing;  "nearly": it soon will not
(function () {
  "use strict";

  var store = window.plumbtack.store;
  var TIMEOUT = 8000;
  var SLOWEST = 15000;
  var FIRST_PAUSE = 500;
  var MOST_AT_ONCE = 200;

  function Outbox(vehicle, known) {
    this.vehicle = vehicle;
    this.known = known && new Set(known); // null: this page does not hold what the laptop has
    this.rows = [];
    this.failing = null;
    this.away = false;
    this.shut = false;
    this.onchange = function () {};
    this.onlanded = function () {};
    this.onrefused = function () {};
    this.onothers = function () {};
    this._database = null;
    this._sending = false;
    this._pause = FIRST_PAUSE;
    this._timer = null;
    this._next = 1;
    this._channel = window.BroadcastChannel ? new BroadcastChannel("plumbtack.outbox") : null;
  }

  Outbox.prototype.open = function () {
    var self = this;
    return store.open().then(function (database) {
      self._database = database;
      return store.readAll(database, self.vehicle);
    }).then(function (rows) {
      rows.sort(function (a, b) { return a.seq - b.seq; });
      self.rows = rows;
      self._next = rows.length ? rows[rows.length - 1].seq + 1 : 1;
      if (self.known) self.compare(self.known);
    }, function () {
      self.failing = "closed";
    }).then(function () {
      self._listen();
      self.onchange();
      self.flush();
      self._lookForRoom();
    });
  };

  // Whether the phone's store has room, found out before it is needed: a plain-http page is not told.
  Outbox.prototype._lookForRoom = function () {
    var self = this;
    if (!this._database) return Promise.resolve();
    return store.hasRoom(this._database).then(function (room) {
      if (room || self.failing) return;
      self.failing = "nearly";
      self.onchange();
    });
  };

  // What another tab of this browser has stored or brought over since.
  Outbox.prototype._readAgain = function () {
    var self = this;
    if (!this._database) return;
    store.readAll(this._database, this.vehicle).then(function (rows) {
      var here = new Map(self.rows.map(function (row) { return [row.id, row]; }));
      rows.forEach(function (row) {
        var known = here.get(row.id);
        if (!known) self.rows.push(row);
        else if (row.landed || row.refused) {
          known.landed = row.landed;
          known.refused = row.refused;
        }
        self._next = Math.max(self._next, row.seq + 1);
      });
      self.rows.sort(function (a, b) { return a.seq - b.seq; });
      self.onothers();
      self.onchange();
      self.flush();
    }, function () {});
  };

  Outbox.prototype._tellOthers = function () {
    if (this._channel) this._channel.postMessage(this.vehicle);
  };

  // What the laptop has: rows it lacks are sent again (an older backup was put back), the others have landed.
  Outbox.prototype.compare = function (known) {
    var self = this;
    this.known = new Set(known);
    this.rows.forEach(function (row) {
      var there = self.known.has(row.id);
      if (row.landed === there) return;
      row.landed = there;
      if (there) row.refused = null;
      self._write(row).catch(function () {});
    });
  };

  Outbox.prototype.add = function (entry) {
    var self = this;
    var row = { id: entry.id, vehicle: this.vehicle, seq: this._next++, entry: entry, landed: false, refused: null };
    return this._write(row).then(function () {
      self._settleMemory();
      self._tellOthers();
    }, function () {
      row.inMemory = true;
      if (self.failing !== "closed") self.failing = "full";
    }).then(function () {
      self.rows.push(row);
      self.onchange();
      self.flush();
      return row;
    });
  };

  Outbox.prototype.waiting = function () {
    return this.rows.filter(function (row) { return !row.landed && !row.refused; });
  };

  Outbox.prototype.setApart = function () {
    return this.rows.filter(function (row) { return row.refused; });
  };

  Outbox.prototype.flush = function () {
    var self = this;
    if (this._sending) return;
    var batch = this._batch();
    if (!batch.length) return;
    clearTimeout(this._timer);
    this._sending = true;
    this._send(batch).then(function (went) {
      self._sending = false;
      self.away = !went && !self.shut;
      self.onchange();
      if (went) {
        self._pause = FIRST_PAUSE;
        self.flush();
      } else {
        self._timer = setTimeout(function () { self.flush(); }, self._pause);
        self._pause = Math.min(self._pause * 2, SLOWEST);
      }
    });
  };

  // Entries go together, a form by itself; all in the order in which they were made.
  Outbox.prototype._batch = function () {
    var waiting = this.waiting();
    var form = waiting.findIndex(function (row) { return row.entry.type === "typed"; });
    return waiting.slice(0, form === 0 ? 1 : Math.min(form < 0 ? waiting.length : form, MOST_AT_ONCE));
  };

  // Resolves true when the laptop has answered for this batch, in whatever way; false when it should be tried again.
  Outbox.prototype._send = function (batch) {
    var self = this;
    return this._post(batch)
      .then(function (answer) {
        self.shut = answer.status === 401 || answer.status === 403;
        if (answer.status === 200) return self._landed(batch, answer.body);
        if (answer.status !== 409 && answer.status !== 422 && answer.status !== 413) return false;
        if (batch.length > 1) return self._oneByOne(batch);
        return self._refuse(batch[0], answer.body);
      }, function () { return false; });
  };

  Outbox.prototype._post = function (batch) {
    var entry = batch[0].entry;
    if (entry.type === "typed") {
      return post(entry.address, new URLSearchParams(entry.fields.concat([["id", entry.id], ["at", entry.at]])));
    }
    var entries = batch.map(function (row) { return row.entry; });
    return post("/vehicles/" + this.vehicle + "/entries", JSON.stringify({ entries: entries }),
      { "Content-Type": "application/json" });
  };

  // One entry the laptop will not take must not hold up the others.
  Outbox.prototype._oneByOne = function (batch) {
    var self = this;
    return batch.reduce(function (before, row) {
      return before.then(function (went) { return went && self._send([row]); });
    }, Promise.resolve(true));
  };

  Outbox.prototype._landed = function (batch, body) {
    var self = this;
    var echoed = new Set(body && Array.isArray(body.stored) ? body.stored : []);
    var landed = batch.filter(function (row) { return echoed.has(row.id); });
    landed.forEach(function (row) {
      row.landed = true;
      if (self.known) self.known.add(row.id);
      self._write(row).then(function () { self._tellOthers(); }, function () {});
    });
    this._settleMemory();
    if (landed.length) this.onlanded(landed.map(function (row) { return row.id; }), body);
    return landed.length === batch.length;
  };

  Outbox.prototype._refuse = function (row, body) {
    row.refused = (body && body.error) || window.plumbtack.words.outbox.refused;
    this._write(row).catch(function () {});
    this.onrefused(row);
    return true;
  };

  Outbox.prototype.drop = function (row) {
    this.rows = this.rows.filter(function (one) { return one !== row; });
    if (this._database) store.erase(this._database, row.id).catch(function () {});
    this.onchange();
  };

  // Rows that could not be written are tried again; the banner goes once nothing is left in memory only.
  Outbox.prototype._settleMemory = function () {
    var self = this;
    var held = this.rows.filter(function (row) { return row.inMemory && !row.landed; });
    if (!held.length) {
      if (this.failing === "full") this.failing = null;
      return;
    }
    held.forEach(function (row) {
      self._write(row).then(function () {
        row.inMemory = false;
        self._settleMemory();
        self.onchange();
      }, function () {});
    });
  };

  Outbox.prototype._write = function (row) {
    if (!this._database) return Promise.reject(new Error("no store"));
    return store.write(this._database, {
      id: row.id, vehicle: row.vehicle, seq: row.seq, entry: row.entry, landed: row.landed, refused: row.refused
    });
  };

  Outbox.prototype._listen = function () {
    var self = this;
    function now() {
      self._pause = FIRST_PAUSE;
      clearTimeout(self._timer);
      self.flush();
    }
    if (this._channel) {
      this._channel.onmessage = function (event) { if (event.data === self.vehicle) self._readAgain(); };
    }
    window.addEventListener("pageshow", now);
    window.addEventListener("online", now);
    document.addEventListener("visibilitychange", function () { if (!document.hidden) now(); });
  };

  function post(address, body, headers) {
    return fetch(address, {
      method: "POST",
      headers: Object.assign({ Accept: "application/json" }, headers),
      body: body,
      credentials: "same-origin",
      signal: timeout(TIMEOUT)
    }).then(function (answer) {
      return answer.json().then(
        function (read) { return { status: answer.status, body: read }; },
        function () { return { status: answer.status, body: null }; });
    });
  }

  function timeout(milliseconds) {
    var controller = new AbortController();
    setTimeout(function () { controller.abort(); }, milliseconds);
    return controller.signal;
  }

  // 16 random bytes: crypto.randomUUID is not there on a plain-http page.
  function newId() {
    var bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
  }

  window.plumbtack.Outbox = Outbox;
  window.plumbtack.newId = newId;
  window.plumbtack.timeout = timeout;
})();
