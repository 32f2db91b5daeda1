// When the program fails there is a page that says so and hands over the records.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { after, test } from "node:test";
import { DIST, closeBrowser, openApp, packed, serveApp } from "./harness.mjs";

after(closeBrowser);

const screen = (page) => page.locator("main.recover");
const copy = (page) => page.getByRole("button", { name: "Copy my records instead" });
const save = (page) => page.getByRole("button", { name: "Save my records to a file" });

/** Presses "Save" and reads the file that comes of it. */
async function rescued(page) {
  const [download] = await Promise.all([page.waitForEvent("download"), save(page).tap()]);
  assert.match(download.suggestedFilename(), /^benchtide-rescue-\d{4}-\d\d-\d\d\.json$/);
  return JSON.parse(await readFile(await download.path(), "utf8"));
}

/** Serves the app with its packed module broken, so that it never starts. */
const brokenModule = (t, answer, part = /\.pack$/) =>
  serveApp(t, {
    intercept: (path, response) => part.test(path) && (answer(response), true),
  });

const refuse = (response) => {
  response.writeHead(500);
  response.end();
};

/** Stores records in a database of the app's name, before the app could. */
const storeRecords = (page) =>
  page.evaluate(
    () =>
      new Promise((done, broken) => {
        const request = indexedDB.open("benchtide", 1);
        request.onupgradeneeded = () => {
          request.result.createObjectStore("events", { keyPath: "id" });
          request.result.createObjectStore("photos");
        };
        request.onerror = () => broken(request.error);
        request.onsuccess = () => {
          const database = request.result;
          const work = database.transaction(["events", "photos"], "readwrite");
          work.objectStore("events").put({ id: "a", at: 5, lines: ["trimmed", null] });
          work.objectStore("events").put({ id: "b", bytes: new Uint8Array([1, 2, 255]) });
          work.objectStore("photos").put(new Blob(["hello"], { type: "image/png" }), 7);
          work.oncomplete = () => {
            database.close();
            done();
          };
        };
      }),
  );

test("a module that can't be loaded brings the recovery screen, not a blank page", async (t) => {
  const server = await brokenModule(t, refuse);
  const app = await openApp(t, { server, ready: false, expected: [/./] });
  await screen(app.page).waitFor();
  const text = await screen(app.page).innerText();
  assert.match(text, /Nothing that was ticked is lost/);
  for (const button of await app.page.getByRole("button").all()) {
    const box = await button.boundingBox();
    assert.ok(box.height >= 72, `${await button.innerText()} is ${box.height} px tall`);
  }
});

const troubles = {
  "a pack that is damaged": [/\.pack$/, "something else"],
  "a pack that is cut short": [/\.pack$/, readFileSync(join(DIST, packed(DIST).pack)).subarray(0, 50_000)],
  "an unpacker that can't be loaded": [/unpack-[^/]*\.wasm$/, undefined],
  "an unpacker that is no program": [/unpack-[^/]*\.wasm$/, "something else"],
  "a worker that can't be loaded": [/unpack-worker-[^/]*\.js$/, undefined],
};

for (const [what, [part, body]] of Object.entries(troubles)) {
  test(`${what} brings the recovery screen`, async (t) => {
    const answer = (response) => (body ? response.end(body) : refuse(response));
    const server = await brokenModule(t, answer, part);
    const app = await openApp(t, { server, ready: false, expected: [/./] });
    await screen(app.page).waitFor();
  });
}

test("a module that never arrives brings it after a minute", async (t) => {
  const server = await brokenModule(t, () => {});
  const app = await openApp(t, {
    server,
    ready: false,
    now: "2026-03-02T08:00:00Z",
    // The end of the test also ends the request that was never answered.
    expected: [/ERR_EMPTY_RESPONSE/, /Failed to fetch/],
  });
  await app.page.getByText("Opening the bench").waitFor();
  await app.clock.run(59_000);
  assert.equal(await screen(app.page).count(), 0);
  await app.clock.run(2_000);
  await screen(app.page).waitFor();
});

test("all records are saved, bytes and pictures too", async (t) => {
  const server = await brokenModule(t, refuse);
  const app = await openApp(t, { server, ready: false, expected: [/./] });
  await screen(app.page).waitFor();
  await storeRecords(app.page);
  const file = await rescued(app.page);
  assert.equal(file.benchtide, "rescue");
  assert.equal(file.version, 1);
  assert.deepEqual(file.stores.events, [
    { key: "a", value: { id: "a", at: 5, lines: ["trimmed", null] } },
    { key: "b", value: { id: "b", bytes: { base64: "AQL/" } } },
  ]);
  assert.deepEqual(file.stores.photos, [
    { key: 7, value: { type: "image/png", base64: "aGVsbG8=" } },
  ]);

  await app.context.grantPermissions(["clipboard-read", "clipboard-write"]);
  await copy(app.page).tap();
  await app.page.getByText("Copied").waitFor();
  const copied = await app.page.evaluate(() => navigator.clipboard.readText());
  assert.deepEqual(JSON.parse(copied), file);
});

test("without a database it says so and makes none", async (t) => {
  const server = await brokenModule(t, refuse);
  const app = await openApp(t, { server, ready: false, expected: [/./] });
  await screen(app.page).waitFor();
  await save(app.page).tap();
  await app.page.getByText("There are no records on this phone yet.").waitFor();
  assert.equal(await copy(app.page).count(), 0);
  assert.deepEqual(await app.page.evaluate(() => indexedDB.databases()), []);
});

test("a storage that fails is said in words", async (t) => {
  const server = await brokenModule(t, refuse);
  const app = await openApp(t, {
    server,
    ready: false,
    expected: [/./],
    before: (context) =>
      context.addInitScript(() => {
        IDBFactory.prototype.open = () => {
          throw new Error("the disk is damaged.");
        };
      }),
  });
  await screen(app.page).waitFor();
  await save(app.page).tap();
  await app.page.getByText("could not be read: the disk is damaged.").waitFor();
});

test("a panic in the running app brings it, once, and the app opens again", async (t) => {
  const app = await openApp(t);
  await app.page.evaluate(() => {
    window.benchtideRecover("a first cause");
    window.benchtideRecover("a second cause");
  });
  await screen(app.page).waitFor();
  assert.equal(await screen(app.page).count(), 1);
  await app.page.getByText("What is known").tap();
  await app.page.getByText("a first cause").waitFor();
  await app.page.getByRole("button", { name: "Open again" }).tap();
  await app.page.locator("main[data-screen]").waitFor();
});

test("a passing error in the running app does not take the screen away", async (t) => {
  const app = await openApp(t, { expected: [/a passing error/] });
  await app.page.waitForFunction(() => window.benchtideStarted);
  await app.page.evaluate(() => {
    setTimeout(() => {
      throw new Error("a passing error");
    });
    return new Promise((done) => setTimeout(done, 100));
  });
  assert.equal(await screen(app.page).count(), 0);
});
