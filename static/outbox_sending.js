// How the outbox sends: what waits goes in the order in which it was made, entries together, a form by itself, and again
// until the laptop echoes the id. What it will never take is set apart and does not hold up the others.
(function () {
  "use strict";

  var P = window.plumbtack;
  var Outbox = P.Outbox;
  var TIMEOUT = 8000;
  var SLOWEST = 15000;
  var FIRST_PAUSE = 500;
  var MOST_AT_ONCE = 200;
  var NOT_NOW = [408, 421, 425, 429]; // refusals of the moment, not of what was sent

  Outbox.prototype.flush = function () {
    var self = this;
    if (this._sending) return;
    var batch = this._batch();
    if (!batch.length) return;
    clearTimeout(this._timer);
    this._sending = true;
    this._send(batch).catch(function () { return false; }).then(function (went) {
      self._sending = false;
      self.away = !went && !self.shut && !self.trouble;
      self._tell(self.onchange);
      if (went) {
        self._pause = 0;
        self.flush();
      } else {
        self._pause = Math.min(self._pause * 2 || FIRST_PAUSE, SLOWEST);
        self._timer = setTimeout(function () { self.flush(); }, self._pause);
      }
    });
  };

  Outbox.prototype.hurry = function () {
    this._pause = 0;
    clearTimeout(this._timer);
    this.flush();
  };

  Outbox.prototype._batch = function () {
    var waiting = this.waiting();
    var form = waiting.findIndex(function (row) { return row.entry.type === "typed"; });
    return waiting.slice(0, form === 0 ? 1 : Math.min(form < 0 ? waiting.length : form, MOST_AT_ONCE));
  };

  // Resolves true when the laptop has answered for this batch, in whatever way; false when it should be tried again.
  Outbox.prototype._send = function (batch) {
    var self = this;
    return this._post(batch).then(function (answer) { return self._answered(batch, answer); }, function () {
      self.trouble = "";
      return false;
    });
  };

  Outbox.prototype._answered = function (batch, answer) {
    var said = bare(answer.body || {});
    this.shut = answer.status === 401 || answer.status === 403;
    this.trouble = "";
    if (answer.status === 200) return this._landed(batch, answer.body);
    if (this.shut) return false;
    if (said && isForGood(answer)) return batch.length > 1 ? this._oneByOne(batch) : this._refuse(batch[0], said);
    this.trouble = lacksVehicle(answer) ? P.words.outbox.noVehicle : said;
    return false;
  };

  // Without its place in what was sent, which nobody saw: "the request: entry 2 (...): ".
  function bare(body) {
    var said = body.error || "", at = body.place ? said.indexOf(body.place + ": ") : -1;
    return at < 0 ? said : P.words.sentence(said.slice(at + body.place.length + 2));
  }

  function isForGood(answer) {
    return answer.status >= 400 && answer.status < 500 && NOT_NOW.indexOf(answer.status) < 0 && !lacksVehicle(answer);
  }

  // That can be mended: an older copy without the vehicle was put back on the laptop, and a newer one can be.
  function lacksVehicle(answer) { return answer.status === 404 && !!answer.body && answer.body.place === "vehicle"; }

  Outbox.prototype._post = function (batch) {
    var entry = batch[0].entry;
    if (entry.type === "typed") {
      return post(entry.address, new URLSearchParams(entry.fields.concat([["id", entry.id], ["at", entry.at]])));
    }
    var entries = batch.map(function (row) { return row.entry; });
    return post("/vehicles/" + this.vehicle + "/entries", JSON.stringify({ entries: entries }),
      { "Content-Type": "application/json" });
  };

  // After an older copy was put back the laptop lacks what it once confirmed: asked by the ids alone.
  Outbox.prototype.offerAgain = function () {
    var self = this, ids = [];
    this.rows.forEach(function (row) { if (row.landed) ids = ids.concat(row.made || [row.id]); });
    if (!ids.length) return Promise.resolve();
    return post("/vehicles/" + this.vehicle + "/lacking", JSON.stringify({ ids: ids }),
      { "Content-Type": "application/json" }).then(function (answer) { self._lacks(answer); }, function () {});
  };

  Outbox.prototype._lacks = function (answer) {
    var self = this, lacking = new Set((answer.status === 200 && answer.body && answer.body.lacking) || []);
    this.rows.forEach(function (row) {
      var gone = (row.made || [row.id]).some(function (id) { return lacking.has(id); });
      if (row.landed && gone) self._mark(row, false);
    });
    if (!lacking.size) return;
    this._tell(this.onchange);
    this.flush();
  };

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
      if (Array.isArray(body.made)) row.made = body.made;
      if (self.known) (row.made || [row.id]).forEach(function (id) { self.known.add(id); });
      self._write(row).then(function () { self._tellOthers(); }, function () {});
    });
    this._settleMemory();
    if (landed.length) this._tell(this.onlanded, landed.map(function (row) { return row.id; }), body);
    return landed.length === batch.length;
  };

  Outbox.prototype._refuse = function (row, said) {
    row.refused = said;
    row.seen = false;
    this._write(row).catch(function () {});
    this._tell(this.onrefused, row);
    return true;
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

  P.timeout = timeout;
})();
