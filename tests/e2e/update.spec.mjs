// How a new build takes over: whole or not at all, when asked, and without
// touching another copy of the app on the same origin.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { writeServiceWorker } from "../../tools/finish-build.mjs";
import { DIST, closeBrowser, openApp, packed, readyForOffline, serveApp } from "./harness.mjs";

after(closeBrowser);

/** A copy of the built app that a test may change, at `places` below one folder. */
function copies(t, places = [""]) {
  const folder = mkdtempSync(join(tmpdir(), "benchtide-"));
  t.after(() => rmSync(folder, { recursive: true }));
  for (const place of places) cpSync(DIST, join(folder, place), { recursive: true });
  return folder;
}

/** Puts another build of the app in `folder`: the page's description differs. */
async function deployNext(folder) {
  const page = join(folder, "index.html");
  const text = readFileSync(page, "utf8");
  const next = text.replace("</title>", " (next)</title>");
  assert.notEqual(next, text);
  writeFileSync(page, next);
  await writeServiceWorker(folder);
}

const stores = (page) => page.evaluate(() => caches.keys());

/** Looks for an update, and says how it ended: "installed" or "redundant". */
const lookForUpdate = (page) =>
  page.evaluate(async () => {
    const registration = await navigator.serviceWorker.ready;
    const found = new Promise((done) =>
      registration.addEventListener("updatefound", () => done(registration.installing), {
        once: true,
      }),
    );
    await registration.update().catch(() => {});
    const worker = await found;
    while (!["installed", "activated", "redundant"].includes(worker.state)) {
      await new Promise((done) => worker.addEventListener("statechange", done, { once: true }));
    }
    return worker.state;
  });

test("an update waits, then takes over when the user says so", async (t) => {
  const dir = copies(t);
  const app = await openApp(t, { server: await serveApp(t, { dir }) });
  await readyForOffline(app.page);
  const [before] = await stores(app.page);

  await deployNext(dir);
  assert.equal(await lookForUpdate(app.page), "installed");
  assert.equal((await stores(app.page)).length, 2);
  await app.page.reload();
  assert.doesNotMatch(await app.page.content(), /\(next\)/, "the old build should still be shown");

  await app.page.evaluate(async () => {
    const { waiting } = await navigator.serviceWorker.ready;
    waiting.postMessage({ kind: "use-update" });
    while (waiting.state !== "activated") {
      await new Promise((done) => waiting.addEventListener("statechange", done, { once: true }));
    }
  });
  const names = await stores(app.page);
  assert.equal(names.length, 1);
  assert.notEqual(names[0], before);
  await app.server.close();
  await app.reopen();
  assert.match(await app.page.content(), /\(next\)/);
});

const faults = {
  "a file that the host fails to send": (response) => {
    response.writeHead(500);
    response.end();
  },
  "a file that is not the one of this build": (response) => {
    response.writeHead(200, { "content-type": "image/png" });
    response.end("something else");
  },
};

for (const [what, answer] of Object.entries(faults)) {
  // The page itself does without this file: only the worker asks for it.
  const target = "icons/maskable-512.png";
  const expected = [/Failed to load resource/, /maskable-512/];

  test(`the first copy is not kept with ${what}`, async (t) => {
    const intercept = (path, response) => path === target && (answer(response), true);
    const app = await openApp(t, { server: await serveApp(t, { intercept }), expected });
    await app.page.waitForFunction(async () => {
      const registration = await navigator.serviceWorker.getRegistration();
      return !registration || !(registration.installing || registration.waiting);
    });
    await app.page.waitForTimeout(300);
    assert.ok(app.server.requests.some((path) => path.endsWith(target)));
    assert.deepEqual(await stores(app.page), []);
    const active = await app.page.evaluate(
      async () => !!(await navigator.serviceWorker.getRegistration())?.active,
    );
    assert.equal(active, false);
  });

  test(`an update is not kept with ${what}`, async (t) => {
    const dir = copies(t);
    let broken = false;
    const intercept = (path, response) => broken && path === target && (answer(response), true);
    const app = await openApp(t, { server: await serveApp(t, { dir, intercept }), expected });
    await readyForOffline(app.page);
    const before = await stores(app.page);
    assert.equal(before.length, 1);

    broken = true;
    await deployNext(dir);
    assert.equal(await lookForUpdate(app.page), "redundant");
    assert.deepEqual(await stores(app.page), before);
    await app.server.close();
    await app.reopen();
    assert.doesNotMatch(await app.page.content(), /\(next\)/);
  });
}

test("an update whose module does not unpack to that of its build is not kept", async (t) => {
  const dir = copies(t);
  const app = await openApp(t, { server: await serveApp(t, { dir }) });
  await readyForOffline(app.page);
  const before = await stores(app.page);

  // Every file is as the list says; only what the pack holds is something else.
  await deployNext(dir);
  const script = join(dir, "sw.js");
  const text = readFileSync(script, "utf8");
  const { hash } = packed(dir);
  const other = createHash("sha256").update("another module").digest("base64");
  writeFileSync(script, text.replace(hash, other));
  assert.equal(await lookForUpdate(app.page), "redundant");
  assert.deepEqual(await stores(app.page), before);
  await app.server.close();
  await app.reopen();
  assert.doesNotMatch(await app.page.content(), /\(next\)/);
});

test("two copies on one origin leave each other alone", async (t) => {
  const below = "some/sub-path";
  const dir = copies(t, ["", below]);
  await deployNext(join(dir, below));
  const app = await openApp(t, { server: await serveApp(t, { dir }) });
  await readyForOffline(app.page);
  assert.doesNotMatch(await app.page.content(), /\(next\)/);

  // The first copy's worker covers this address too, and must not answer it.
  await app.reopen(`${below}/index.html`);
  assert.match(await app.page.content(), /\(next\)/);
  await readyForOffline(app.page);
  const both = await stores(app.page);
  assert.equal(both.length, 2);

  await app.reopen();
  await deployNext(dir);
  assert.equal(await lookForUpdate(app.page), "installed");
  await app.page.evaluate(async () => {
    const { waiting } = await navigator.serviceWorker.ready;
    waiting.postMessage({ kind: "use-update" });
    while (waiting.state !== "activated") {
      await new Promise((done) => waiting.addEventListener("statechange", done, { once: true }));
    }
  });
  const now = await stores(app.page);
  assert.equal(now.length, 2);
  assert.equal(now.filter((name) => both.includes(name)).length, 1);
  await app.server.close();
  await app.reopen(`${below}/`);
});
