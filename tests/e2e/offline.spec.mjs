// The second start needs no network, at a host's root and below a sub-path; and
// no page ever reaches beyond its own origin.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, test } from "node:test";
import { listFiles } from "../../tools/finish-build.mjs";
import {
  DIST,
  closeBrowser,
  openApp,
  packed,
  precached,
  readyForOffline,
  serveApp,
  shown,
  storedAddresses,
} from "./harness.mjs";

after(closeBrowser);

for (const base of ["/", "/some/sub-path/"]) {
  test(`with the server gone, the app opens again below ${base}`, async (t) => {
    const app = await openApp(t, { base });
    await readyForOffline(app.page);
    const kept = precached(DIST).map(([address]) => address);
    // The module is kept unpacked besides, for every later start.
    const expected = [...kept, packed(DIST).address].map(
      (address) => new URL(address, app.server.url).href,
    );
    assert.deepEqual(await storedAddresses(app.page), expected.sort());

    await app.server.close();
    await app.page.reload();
    await shown(app.page);
    await app.reopen("#/shop");
    assert.equal(new URL(app.page.url()).hash, "#/shop");
    await app.reopen("?from=home#/jobs");
    const icon = await app.page.evaluate(async () => (await fetch("./icons/icon.svg")).status);
    assert.equal(icon, 200);
  });
}

test("an address without its last slash leads to the app", async (t) => {
  const server = await serveApp(t, { base: "/some/sub-path/" });
  const app = await openApp(t, { server });
  await app.page.goto(server.url.slice(0, -1));
  await shown(app.page);
  assert.equal(app.page.url().split("#")[0], server.url);
});

test("every shipped file is in the precache list, with its own hash", () => {
  const listed = new Map(precached(DIST));
  const files = listFiles(DIST).filter((name) => name !== "sw.js");
  assert.equal(listed.size, files.length);
  for (const name of files) {
    const address = name === "index.html" ? "./" : `./${name}`;
    const hash = createHash("sha256").update(readFileSync(join(DIST, name))).digest("base64");
    assert.equal(listed.get(address), hash, name);
  }
});

test("the module is stored unpacked, and is the one that was built", async (t) => {
  const { address, hash } = packed(DIST);
  const app = await openApp(t);
  await readyForOffline(app.page);
  const stored = await app.page.evaluate(async (wanted) => {
    const response = await caches.match(new URL(wanted, location.href));
    const bytes = await response.arrayBuffer();
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    return {
      type: response.headers.get("content-type"),
      hash: btoa(String.fromCharCode(...digest)),
    };
  }, address);
  assert.deepEqual(stored, { type: "application/wasm", hash });
  // Its name was made from its bytes at the build, before they were packed.
  const digits = Buffer.from(hash, "base64").toString("hex").slice(0, 16);
  assert.match(address, new RegExp(`^\\./benchtide_bg-${digits}\\.wasm$`));
});

/** Notes which files each page asks for, and whether it starts a worker. */
function watchRequests(app, seen) {
  app.context.on("request", (request) => seen.push(new URL(request.url()).pathname.slice(1)));
  app.context.on("page", (page) => page.on("worker", (worker) => seen.push(`worker ${worker.url()}`)));
}

test("an offline start takes the stored module: nothing is unpacked again", async (t) => {
  const { address, pack, unpacker } = packed(DIST);
  const [plain, ...parts] = [address, pack, unpacker].map((name) => name.slice(2));
  const app = await openApp(t);
  await readyForOffline(app.page);
  await app.server.close();
  const seen = [];
  watchRequests(app, seen);
  await app.reopen();
  assert.ok(seen.includes(plain), `it should ask for ${plain}: ${seen}`);
  for (const part of parts) assert.ok(!seen.includes(part), `${part} was asked for`);
  assert.deepEqual(seen.filter((one) => /worker/.test(one)), []);
});

test("a first visit unpacks in a worker, and asks for no plain module", async (t) => {
  const { address, pack, unpacker } = packed(DIST);
  const seen = [];
  const app = await openApp(t, {
    before: (context) => watchRequests({ context }, seen),
  });
  for (const part of [pack, unpacker]) assert.ok(seen.includes(part.slice(2)), `${part}: ${seen}`);
  assert.ok(seen.some((one) => /^worker .*unpack-worker/.test(one)), `no worker: ${seen}`);
  assert.ok(!app.server.requests.some((path) => path.endsWith(address.slice(2))));
});

test("when the stored module is lost, the app unpacks it by itself", async (t) => {
  const app = await openApp(t, { expected: [/Failed to load resource.*404/] });
  await readyForOffline(app.page);
  await app.page.evaluate(async (address) => {
    for (const name of await caches.keys()) {
      await (await caches.open(name)).delete(new URL(address, location.href));
    }
  }, packed(DIST).address);
  await app.reopen();
});

test("no shipped address starts at the host's root or names a host", () => {
  const page = readFileSync(join(DIST, "index.html"), "utf8");
  const addresses = [...page.matchAll(/\b(?:src|href)="([^"]*)"/g)].map((match) => match[1]);
  assert.ok(addresses.length >= 5, "the page should refer to its parts");
  for (const address of addresses) assert.match(address, /^\.\//);
  const manifest = JSON.parse(readFileSync(join(DIST, "manifest.webmanifest"), "utf8"));
  const places = [manifest.id, manifest.start_url, manifest.scope];
  for (const address of [...places, ...manifest.icons.map((icon) => icon.src)]) {
    assert.match(address, /^\.\//);
  }
});

test("the policy blocks what it should: the canaries die", async (t) => {
  const elsewhere = await serveApp(t);
  const app = await openApp(t, {
    expected: [/policy breach/, /Content Security Policy/, /another origin/, /Failed to load/],
  });
  const blocked = await app.page.evaluate(async (address) => {
    const seen = [];
    document.addEventListener("securitypolicyviolation", (event) =>
      seen.push(event.effectiveDirective),
    );
    const script = document.createElement("script");
    script.textContent = "window.canary = true";
    document.body.append(script);
    const style = document.createElement("p");
    style.setAttribute("style", "color: red");
    document.body.append(style);
    const picture = new Image();
    picture.src = `${address}icons/icon.svg`;
    await fetch(address).catch(() => {});
    const form = document.createElement("form");
    form.action = address;
    document.body.append(form);
    form.submit();
    await new Promise((done) => setTimeout(done, 200));
    return { seen: seen.sort(), canary: window.canary };
  }, elsewhere.url);
  assert.equal(blocked.canary, undefined);
  assert.deepEqual(blocked.seen, [
    "connect-src",
    "form-action",
    "img-src",
    "script-src-elem",
    "style-src-attr",
  ]);
  assert.deepEqual(elsewhere.requests, []);
});
