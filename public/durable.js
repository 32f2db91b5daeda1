// Write transactions of the records wait until the phone has really stored them.
//
// Browsers that know the option default to "relaxed": a write counts as done
// while it may still be in a cache, and a flat battery can take it. The app
// shows a tick only when its record is done, so done has to mean stored.
(() => {
  "use strict";
  if (typeof IDBDatabase === "undefined") return;
  const begin = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (stores, mode, options) {
    if (mode !== "readwrite") return begin.call(this, stores, mode, options);
    return begin.call(this, stores, mode, { durability: "strict", ...options });
  };
})();
