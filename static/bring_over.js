// Pages without an outbox of their own: what a closed page left waiting on this phone goes over from here too.
(function () {
  "use strict";

  var P = window.plumbtack;

  P.store.everything().then(function (rows) {
    var waiting = rows.filter(function (row) { return row.entry && !row.landed && !row.refused; });
    var vehicles = new Set(waiting.map(function (row) { return row.vehicle; }));
    vehicles.forEach(function (vehicle) { new P.Outbox(vehicle, null).open(); });
  }, function () {});
})();
