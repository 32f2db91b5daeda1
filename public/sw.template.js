// The service worker: keeps one whole copy of the app on the phone.
//
// tools/finish-build.mjs writes sw.js from this file, filling in the constants
// below and putting unpack.js in front. Rules it keeps:
//   - all or nothing: a copy is stored only when every file arrived and is, to
//     the byte, the file of this build; a host in mid-upload changes nothing;
//   - the module is unpacked once, here, and stored as the plain module, so that
//     no start has to do it;
//   - one build is never mixed with another: pages are served from the copy
//     that their own worker stored;
//   - an update waits until no window is open, or until the user says so;
//   - several copies of the app on one origin leave each other alone.

/** Every file of this build: [relative address, SHA-256 in base64]. */
const FILES = __FILES__;
/**
 * What the packed module becomes: its address and SHA-256 in base64, and the
 * addresses of the pack and its unpacker. Nothing in a build that ships it plain.
 */
const MODULE = __MODULE__;
/** Changes with any file of the build and with this script. */
const VERSION = "__VERSION__";

const SCOPE = self.registration.scope;
const OURS = `benchtide|${SCOPE}|`;
const STORE = OURS + VERSION;
const KEPT = FILES.map(([address]) => address).concat(MODULE ? MODULE.address : []);
const ADDRESSES = new Set(KEPT.map((address) => new URL(address, SCOPE).href));

/** Fails unless these bytes are those of this build. */
async function mustBe(bytes, expected, address) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  if (btoa(String.fromCharCode(...digest)) !== expected) {
    throw new Error(`${address}: not the file of this build`);
  }
}

/** One file from the network, past every cache, or an error. */
async function fetchExact([address, expected]) {
  const response = await fetch(new URL(address, SCOPE), { cache: "reload" });
  // A redirected answer may not be given to a navigation.
  if (!response.ok || response.redirected) throw new Error(`${address}: ${response.status}`);
  await mustBe(await response.clone().arrayBuffer(), expected, address);
  return response;
}

/** The plain module, from files that have arrived, or an error. */
async function unpackExact(responses) {
  const bytesOf = (wanted) =>
    responses[FILES.findIndex(([address]) => address === wanted)].clone().arrayBuffer();
  const bytes = await unpackModule(await bytesOf(MODULE.pack), await bytesOf(MODULE.unpacker));
  await mustBe(bytes, MODULE.hash, MODULE.address);
  return new Response(bytes, {
    headers: { "content-type": "application/wasm", "content-length": bytes.byteLength },
  });
}

async function install() {
  const responses = await Promise.all(FILES.map(fetchExact));
  if (MODULE) responses.push(await unpackExact(responses));
  try {
    const cache = await caches.open(STORE);
    await Promise.all(
      responses.map((response, index) => cache.put(new URL(KEPT[index], SCOPE), response)),
    );
  } catch (error) {
    // No room, most likely: leave no half copy behind.
    await caches.delete(STORE);
    throw error;
  }
}

async function activate() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(OURS) && name !== STORE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function stored(request, address) {
  const cache = await caches.open(STORE);
  return (await cache.match(address, { ignoreVary: true })) ?? fetch(request);
}

async function showWindow() {
  const windows = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const open = windows.find((client) => client.url.startsWith(SCOPE));
  await (open ? open.focus() : self.clients.openWindow(SCOPE));
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const url = new URL(request.url);
  url.hash = "";
  if (request.mode === "navigate") {
    // Every screen lives at one address, behind a "#". Anything deeper may be
    // another copy of the app, with a worker of its own.
    url.search = "";
    if (url.href === SCOPE || url.href === `${SCOPE}index.html`) {
      event.respondWith(stored(request, SCOPE));
    }
  } else if (ADDRESSES.has(url.href)) {
    event.respondWith(stored(request, url.href));
  }
});

self.addEventListener("message", (event) => {
  if (event.data?.kind === "use-update") event.waitUntil(self.skipWaiting());
});

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(showWindow());
});
