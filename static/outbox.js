// The phone's own store. An entry is written here first, sent, and marked once the laptop echoes its id: until then
// it is neither lost nor forgotten, whatever becomes of the network, the page or the battery. No entry is ever deleted.
// An entry of type "typed" is a form as it was filled in, { address, fields }: the laptop makes the log's entries of it,
// once for its id. How they are sent stands in outbox_sending.
//
// outbox.open()          -> promise: rows of this vehicle are loaded
// outbox.add(entry, title) -> promise: settled once the entry is on the phone's disk (or held in memory: see `failing`);
//                        title: how a person calls it
// outbox.rows            all rows of this vehicle, oldest first: { id, vehicle, seq, entry, landed, refused, seen }
// outbox.hurry()         what waits is sent now;  outbox.offerAgain(): what has landed and the laptop lacks, once more
// outbox.onchange        called whenever a row or the connection changes
// outbox.onlanded(ids, answer)  called with ids the laptop has just confirmed, and what else it answered
// outbox.onrefused(row)  called with a row the laptop has just refused
// outbox.seen(rows)      the person has been told that these were refused: they stay, and are not told again (promise)
// outbox.drop(row)       a refused row of which nothing is to be kept: what was typed stands on the page still
// outbox.onothers()      called when another tab of this browser has stored or brought over a row
// outbox.away            the laptop does not answer;  outbox.shut: it answers, and does not let this phone record
// outbox.trouble         why the laptop takes nothing now, in its own words, though it answers; empty where it does
// outbox.failing         "full", "closed": the phone's store takes nothing;  "nearly": it soon will not
// outbox.fleeting()      whether something would be gone with this page
(function () {
  "use strict";

  var store = window.plumbtack.store;

  function Outbox(vehicle, known) {
    this.vehicle = vehicle;
    this.known = known && new Set(known); // null: this page does not hold what the laptop has
    this.rows = [];
    this.failing = null;
    this.away = false;
    this.shut = false;
    this.trouble = "";
    this.onchange = function () {};
    this.onlanded = function () {};
    this.onrefused = function () {};
    this.onothers = function () {};
    this._read = Promise.resolve();
    this._sending = false;
    this._pause = 0;
    this._timer = null;
    this._next = 1;
    this._channel = window.BroadcastChannel ? new BroadcastChannel("plumbtack.outbox") : null;
  }

  Outbox.prototype.open = function () {
    var self = this;
    this._read = store.readAll(this.vehicle).then(function (rows) {
      self._takeIn(rows);
      if (self.known) self._named();
    }, function () {
      self.failing = "closed";
    });
    return this._read.then(function () {
      self._listen();
      self._tell(self.onchange);
      self.flush();
      self._lookForRoom();
    });
  };

  // Whether the phone's store has room, found out before it is needed: a plain-http page is not told.
  Outbox.prototype._lookForRoom = function () {
    var self = this;
    if (this.failing) return Promise.resolve();
    return store.hasRoom().then(function (room) {
      if (room || self.failing) return;
      self.failing = "nearly";
      self._tell(self.onchange);
    });
  };

  // What another tab of this browser has stored or brought over since.
  Outbox.prototype._readAgain = function () {
    var self = this;
    store.readAll(this.vehicle).then(function (rows) {
      self._takeIn(rows);
      self._tell(self.onothers);
      self._tell(self.onchange);
      self.flush();
    }, function () {});
  };

  Outbox.prototype._takeIn = function (rows) {
    var self = this;
    var here = new Map(this.rows.map(function (row) { return [row.id, row]; }));
    rows.forEach(function (row) {
      var known = here.get(row.id);
      if (!known) self.rows.push(row);
      else if (row.landed || row.refused) {
        known.landed = row.landed;
        known.refused = row.refused;
      }
      self._next = Math.max(self._next, row.seq + 1);
    });
    this.rows.sort(function (a, b) { return a.seq - b.seq; });
  };

  Outbox.prototype._tellOthers = function () {
    if (this._channel) this._channel.postMessage(this.vehicle);
  };

  // What the laptop has now: rows it lacks are sent again (an older backup was put back), the others have landed.
  Outbox.prototype.compare = function (known) {
    var self = this;
    this.known = new Set(known);
    this.rows.forEach(function (row) {
      if (row.landed !== self._isThere(row)) self._mark(row, !row.landed);
    });
  };

  // What the laptop had when this page was made, maybe hours ago: what it names has landed, of the rest it knows nothing.
  Outbox.prototype._named = function () {
    var self = this;
    this.rows.forEach(function (row) {
      if (!row.landed && self._isThere(row)) self._mark(row, true);
    });
  };

  // A form is there when all is that the laptop made of it.
  Outbox.prototype._isThere = function (row) {
    var known = this.known;
    return (row.made || [row.id]).every(function (id) { return known.has(id); });
  };

  Outbox.prototype._mark = function (row, landed) {
    row.landed = landed;
    if (landed) row.refused = null;
    this._write(row).catch(function () {});
  };

  // What was stored before is read first, so that the order in which entries were made is kept.
  Outbox.prototype.add = function (entry, title) {
    var self = this, row = { id: entry.id, vehicle: this.vehicle, entry: entry, landed: false, refused: null };
    if (title) row.title = title;
    return this._read.then(function () {
      row.seq = self._next++;
      return self._write(row);
    }).then(function () {
      if (self.failing === "closed") self._openAfterAll();
      self._settleMemory();
      self._tellOthers();
    }, function () {
      row.inMemory = true;
      if (self.failing !== "closed") self.failing = "full";
    }).then(function () {
      if (!self.rows.some(function (one) { return one.id === row.id; })) self.rows.push(row);
      self._tell(self.onchange);
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

  Outbox.prototype.fleeting = function () {
    return this.rows.some(function (row) { return row.inMemory && !row.landed; });
  };

  Outbox.prototype.seen = function (rows) {
    var self = this;
    return Promise.all(rows.map(function (row) {
      row.seen = true;
      return self._write(row).catch(function () {});
    }));
  };

  Outbox.prototype.drop = function (row) {
    this.rows = this.rows.filter(function (one) { return one !== row; });
    store.erase(row.id).catch(function () {});
    this._tell(this.onchange);
  };

  Outbox.prototype._openAfterAll = function () {
    this.failing = null;
    this._readAgain();
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
        self._tell(self.onchange);
      }, function () {});
    });
  };

  Outbox.prototype._write = function (row) {
    var kept = { id: row.id, vehicle: row.vehicle, seq: row.seq, entry: row.entry, landed: row.landed,
                 refused: row.refused };
    if (row.made) kept.made = row.made;
    if (row.seen) kept.seen = true;
    if (row.title) kept.title = row.title;
    return store.write(kept);
  };

  // Whatever a page does with the news, it must not stop what is stored and sent.
  Outbox.prototype._tell = function (deed) {
    try {
      deed.apply(this, Array.prototype.slice.call(arguments, 1));
    } catch (fault) {
      setTimeout(function () { throw fault; });
    }
  };

  Outbox.prototype._listen = function () {
    var self = this;
    function now() {
      self._settleMemory();
      self.hurry();
    }
    if (this._channel) {
      this._channel.onmessage = function (event) { if (event.data === self.vehicle) self._readAgain(); };
    }
    window.addEventListener("pageshow", now);
    window.addEventListener("online", now);
    document.addEventListener("visibilitychange", function () { if (!document.hidden) now(); });
  };

  // 16 random bytes: crypto.randomUUID is not there on a plain-http page.
  function newId() {
    var bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
  }

  window.plumbtack.Outbox = Outbox;
  window.plumbtack.newId = newId;
})();
