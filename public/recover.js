// The way back when the app itself has failed: says so in plain words and
// offers the stored records as a file. Plain JavaScript in a file of its own,
// loaded before the app, because it must work when nothing else does.
//
// The app takes part in one way: it sets `window.benchtideStarted = true` when
// its first screen is up. A panic is a trap of the module, which is noticed here.

(() => {
  "use strict";

  const DATABASE = "benchtide";
  const START_LIMIT_MS = 20_000;
  const STORAGE_LIMIT_MS = 10_000;
  // More pictures than that would not fit into one text, and the records go first.
  const PICTURE_BYTES = 64e6;
  let shown = false;

  // ---- Noticing ----

  /** Shows the recovery screen; `message` says what is known about the cause. */
  window.benchtideRecover = (message) => {
    if (shown) return;
    shown = true;
    const show = () => showScreen(String(message || "The cause is not known."));
    if (document.body) show();
    else document.addEventListener("DOMContentLoaded", show, { once: true });
  };

  /** Whether a failure is the program's own end, and not a passing trouble. */
  function isFatal(error) {
    const broken = typeof WebAssembly === "object" && error instanceof WebAssembly.RuntimeError;
    return broken || !window.benchtideStarted;
  }

  window.addEventListener(
    "error",
    (event) => {
      const source = event.target;
      if (source instanceof HTMLScriptElement) {
        if (!window.benchtideStarted) {
          window.benchtideRecover("A part of the program could not be loaded.");
        }
      } else if (source === window && isFatal(event.error)) {
        window.benchtideRecover(event.message);
      }
    },
    true, // A script that fails to load tells only listeners on the way down.
  );

  window.addEventListener("unhandledrejection", (event) => {
    if (isFatal(event.reason)) window.benchtideRecover(event.reason);
  });

  setTimeout(() => {
    if (!window.benchtideStarted) window.benchtideRecover("It did not start within 20 seconds.");
  }, START_LIMIT_MS);

  // ---- The screen ----

  function element(name, text, properties = {}) {
    const made = Object.assign(document.createElement(name), properties);
    if (text) made.textContent = text;
    return made;
  }

  function showScreen(cause) {
    const title = element("h1", "Benchtide has stopped", { tabIndex: -1 });
    const status = element("p", "", { className: "recover-status" });
    status.setAttribute("role", "status");
    const say = (text) => (status.textContent = text);

    const again = element("button", "Open again", { type: "button" });
    again.addEventListener("click", () => location.reload());
    const save = element("button", "Save my records to a file", { type: "button" });
    const copy = element("button", "Copy my records instead", { type: "button" });
    const details = element("details");
    details.append(element("summary", "What is known"), element("p", cause));

    let text;
    save.addEventListener("click", async () => {
      save.disabled = true;
      say("Reading the records…");
      try {
        const stores = await readStores();
        if (!stores) {
          say("There are no records on this phone yet.");
          return;
        }
        text = JSON.stringify({ benchtide: "rescue", version: 1, stores }, undefined, 1);
        const file = download(text);
        save.after(copy);
        say(`Saved as ${file}. If no file appeared, copy the records instead.`);
      } catch (error) {
        say(`The records could not be read: ${error?.message || error} They are still stored.`);
      } finally {
        save.disabled = false;
      }
    });
    copy.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(text);
        say("Copied: paste the records into a note or a message to yourself.");
      } catch {
        say("This browser does not allow copying here.");
      }
    });

    const main = element("main", "", { className: "recover" });
    main.append(
      title,
      element("p", "Something went wrong in the program. Nothing that was ticked is lost."),
      element("p", "Alarms don't ring while this page is shown: watch the clock yourself."),
      again,
      save,
      status,
      details,
    );
    // The style sheet does the rest; this keeps the touch targets without it.
    for (const button of [again, save, copy]) {
      button.style.cssText = "min-height:72px;min-width:72px;font-size:1.25rem;margin:6px 12px 6px 0";
    }
    document.title = "Benchtide has stopped";
    document.body.replaceChildren(main);
    title.focus();
  }

  // ---- The records ----

  let room;

  /** Every record of every store, or nothing when there is no database. */
  async function readStores() {
    room = PICTURE_BYTES;
    const database = await openExisting();
    if (!database) return undefined;
    try {
      const stores = {};
      for (const name of database.objectStoreNames) {
        const store = database.transaction(name).objectStore(name);
        const [keys, values] = await Promise.all([
          settled(store.getAllKeys()),
          settled(store.getAll()),
        ]);
        stores[name] = await Promise.all(
          values.map(async (value, index) => ({ key: keys[index], value: await plain(value) })),
        );
      }
      return stores;
    } finally {
      database.close();
    }
  }

  /** Opens the database without ever making one. */
  function openExisting() {
    return new Promise((done, broken) => {
      setTimeout(() => broken(new Error("the storage does not answer.")), STORAGE_LIMIT_MS);
      const request = indexedDB.open(DATABASE);
      let absent = false;
      request.onupgradeneeded = () => {
        absent = true;
        request.transaction.abort();
      };
      request.onsuccess = () => done(request.result);
      request.onerror = () => (absent ? done(undefined) : broken(request.error));
    });
  }

  function settled(request) {
    return new Promise((done, broken) => {
      request.onsuccess = () => done(request.result);
      request.onerror = () => broken(request.error);
    });
  }

  /** A stored value in a form that JSON can carry: bytes become base64. */
  async function plain(value) {
    if (value instanceof Blob) {
      room -= value.size;
      if (room < 0) return { type: value.type, leftOut: value.size };
      return { type: value.type, base64: base64(new Uint8Array(await value.arrayBuffer())) };
    }
    if (value instanceof ArrayBuffer) return { base64: base64(new Uint8Array(value)) };
    if (ArrayBuffer.isView(value)) {
      return { base64: base64(new Uint8Array(value.buffer, value.byteOffset, value.byteLength)) };
    }
    if (typeof value === "bigint") return String(value);
    if (Array.isArray(value)) return Promise.all(value.map(plain));
    if (value instanceof Map) return plain([...value]);
    if (value && typeof value === "object" && !(value instanceof Date)) {
      const entries = Object.entries(value).map(async ([key, item]) => [key, await plain(item)]);
      return Object.fromEntries(await Promise.all(entries));
    }
    return value;
  }

  function base64(bytes) {
    let text = "";
    for (const byte of bytes) text += String.fromCharCode(byte);
    return btoa(text);
  }

  function download(text) {
    const day = new Date().toISOString().slice(0, 10);
    const file = `benchtide-rescue-${day}.json`;
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = element("a", "", { href: address, download: file });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
    return file;
  }
})();
