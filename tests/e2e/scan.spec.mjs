// Scans: files of every format are opened on the phone, and say what the reference
// library says of them (tests/data/mesh_reference.csv, made by trimesh with the
// script beside it); bad ones are refused in a sentence; the page stays alive.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, test } from "node:test";
import { enterOnPad, openJob } from "./bench.mjs";
import { closeBrowser, openApp, readyForOffline, shown } from "./harness.mjs";
import { scan } from "./scans.mjs";

after(closeBrowser);

const MESHES = new URL("../data/meshes/", import.meta.url);

/** The rows of the reference by file. */
const [head, ...rows] = readFileSync(new URL("../data/mesh_reference.csv", import.meta.url), "utf8")
  .trim()
  .split("\n")
  .map((line) => line.split(","));
const reference = Object.fromEntries(
  rows.map((row) => [row[0], Object.fromEntries(head.map((name, at) => [name, row[at]]))]),
);

const mesh = (name) => ({ name, bytes: readFileSync(new URL(name, MESHES)) });

/** Picks a file on the scan's screen. */
async function pick(page, { name, bytes }) {
  const input = page.locator('input[type="file"]');
  await input.setInputFiles({ name, mimeType: "application/octet-stream", buffer: bytes });
}

/** Opens a file and says that its size is right. */
async function open(page, file, answer = "Yes, millimetres") {
  await pick(page, file);
  await page.getByRole("heading", { name: /^Is its longest side/ }).waitFor();
  await page.getByRole("button", { name: answer }).click();
  await settled(page);
}

/** Waits until the figures are those of the scan as it stands. */
async function settled(page) {
  await page.getByRole("button", { name: "Keep these figures" }).waitFor();
}

const figure = (page, name) => page.locator(`[data-figure="${name}"]`).innerText();

/** All numbers in a text. */
const numbers = (text) => (text.match(/\d+(\.\d+)?/g) ?? []).map(Number);

/** What is shown is the reference to the last digit shown. */
function same(shown, wanted, what) {
  const digits = (String(shown).split(".")[1] ?? "").length;
  const half = 0.5000001 * 10 ** -digits;
  assert.ok(Math.abs(shown - wanted) <= half, `${what}: ${shown} is not ${wanted}`);
}

test("files of every format say what the reference library says of them", async (t) => {
  const { page } = await openApp(t, { hash: "#/scan/shop" });
  for (const name of [
    "ring.stl",
    "ring_ascii.stl",
    "ring.obj",
    "ring.ply",
    "ring_ascii.ply",
    "ring_big.ply",
    "holed.ply",
    "apart.stl",
    "inverted.obj",
    "vase.obj",
  ]) {
    await open(page, mesh(name));
    const row = reference[name];
    const size = numbers(await figure(page, "size"));
    ["x", "y", "z"].forEach((axis, at) => same(size[at], Number(row[axis]), `${name} ${axis}`));
    same(numbers(await figure(page, "area"))[0], row.area / 1e6, `${name} area`);
    same(numbers(await figure(page, "volume"))[0], row.volume / 1e3, `${name} volume`);
    const [parts, triangles] = numbers(await figure(page, "parts"));
    assert.deepEqual([parts, triangles], [Number(row.parts), Number(row.triangles)], name);
    const sound = await figure(page, "sound");
    if (row.watertight === "1") assert.match(sound, /^Closed all round/);
    else assert.match(sound, new RegExp(`^${row.holes} holes?,`));
    assert.equal(/inside out, and has been turned/.test(sound), row.inside_out === "1", name);
    // Seen from above: the reference's shadow, within the grid's hundredth.
    const projected = numbers(await figure(page, "projected"))[0];
    assert.ok(Math.abs(projected - row.shadow / 1e6) <= 0.02 * (row.shadow / 1e6) + 5e-5, name);
    const vents = await page.locator('[data-figure="vents"] li').count();
    assert.ok(vents >= 1, `${name} has a highest place`);
  }
});

test("what is changed is worked out anew: size, blanket, side, pull, plane", async (t) => {
  const { page } = await openApp(t, { hash: "#/scan/shop" });
  const picture = () => page.locator(".scan img").getAttribute("src");
  // A cone of 50 across and 80 high. In inches it is 25.4 times as large.
  await open(page, mesh("cone.stl"), "Inches");
  assert.match(await figure(page, "height"), /^2032 mm$/);
  await page.getByRole("button", { name: "It is another size" }).click();
  await page.getByRole("button", { name: "Another length" }).click();
  await enterOnPad(page, "160 mm");
  await settled(page);
  assert.match(await figure(page, "height"), /^160 mm$/);
  const row = reference["cone.stl"];
  same(numbers(await figure(page, "volume"))[0], (row.volume * 8) / 1e3, "volume, twice as large");

  // Pulled down from its lowest point on, all of the mantle looks away.
  const before = await picture();
  await page.getByRole("group", { name: "Pull" }).getByText("down", { exact: true }).click();
  await settled(page);
  await page.getByRole("button", { name: "Parting plane" }).click();
  await enterOnPad(page, "0 mm");
  await settled(page);
  const share = numbers(await figure(page, "share"))[0];
  assert.ok(Math.abs(share - (row.away / row.area) * 100) < 0.5, `${share} % locks`);
  assert.notEqual(await picture(), before, "and the picture is hatched");
  assert.match(await page.locator(".scan img").getAttribute("alt"), /cone\.stl.*Hatched: what locks/);
  await page.getByRole("button", { name: "Further" }).click();
  await settled(page);
  assert.match(await page.getByRole("button", { name: "Parting plane" }).innerText(), /8 mm/);

  // On its side it is 100 high.
  await page.getByRole("group", { name: "Up" }).getByText("X", { exact: true }).click();
  await settled(page);
  assert.match(await figure(page, "height"), /^100 mm$/);

  // Steiner's formula of a convex piece, with the reference's curvature (mm, of the
  // file: twice as much here): S t + M t² + 4/3 pi t³.
  await page.getByRole("button", { name: "Thickness" }).click();
  await enterOnPad(page, "10 mm");
  await settled(page);
  const blanket =
    (row.area * 4 * 10 + row.curvature * 2 * 100 + (4 / 3) * Math.PI * 1000) / 1000;
  same(numbers(await figure(page, "blanket"))[0], blanket, "blanket");

  // The picture is an image, and turns; a whole turn is twelve taps.
  const seen = await picture();
  const size = await page.locator(".scan img").evaluate(async (image) => {
    await image.decode();
    return [image.naturalWidth, image.naturalHeight];
  });
  assert.deepEqual(size, [256, 256]);
  await page.getByRole("button", { name: "Turn it to the right" }).click();
  await page.getByText("Turned by 30°, X up.").waitFor();
  for (let tap = 0; tap < 11; tap += 1) {
    await page.getByRole("button", { name: "Turn it to the right" }).click();
  }
  await page.getByText("Seen from the front, X up.").waitFor();
  await settled(page);
  assert.equal(await picture(), seen);
});

test("a scan's figures are kept with the job, and outlive the app", async (t) => {
  const app = await openApp(t);
  let { page } = app;
  await openJob(page, "Finial", "Poured silicone over a clay blanket");
  const job = new URL(page.url()).hash.split("/")[2];
  await page.goto(`${app.server.url}#/sheets/${job}`);
  await page.getByRole("link", { name: "Open a scan" }).click();
  await open(page, mesh("ring.stl"));
  const blanket = await figure(page, "blanket");
  await page.getByRole("button", { name: "Keep these figures" }).click();
  await page.getByText("Figures kept").waitFor();
  page = await app.reopen(`#/scan/${job}`);
  const kept = await page.locator("[data-kept]").innerText();
  assert.match(kept, /Kept: ring\.stl/);
  assert.ok(kept.includes(blanket), `${blanket} is in ${kept}`);
  // Of the file itself nothing was recorded.
  const records = await page.evaluate(
    () =>
      new Promise((done, fail) => {
        const opening = indexedDB.open("benchtide");
        opening.onerror = fail;
        opening.onsuccess = () => {
          const all = opening.result.transaction("events").objectStore("events").getAll();
          all.onsuccess = () => done(all.result.map((record) => record.text.length));
        };
      }),
  );
  assert.ok(Math.max(...records) < 1000, "no record is as large as a file");
  // The shop's own sheet knows nothing of it.
  page = await app.reopen("#/scan/shop");
  assert.equal(await page.locator("[data-kept]").count(), 0);
});

test("what is no scan is refused in a sentence, and the next file opens", async (t) => {
  const { page } = await openApp(t, { hash: "#/scan/shop" });
  const ring = mesh("ring.stl").bytes;
  const broken = Buffer.from(ring);
  broken.writeFloatLE(NaN, 84 + 12);
  const huge = Buffer.from(ring);
  huge.writeUInt32LE(4_000_000_000, 80);
  const jpeg = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(5000, 0x41)]);
  jpeg.fill(0, 4, 60);
  for (const [name, bytes, sentence] of [
    ["empty.stl", Buffer.alloc(0), /The file is empty/],
    ["cut.stl", ring.subarray(0, ring.length >> 1), /The file ends too early: \d+ of 480 rows/],
    ["nan.stl", broken, /Point 1 has a coordinate that is no number/],
    ["huge.stl", huge, /no scan that can be read here|more than 3 million/],
    ["photo.jpg", jpeg, /no scan that can be read here/],
    ["points.obj", Buffer.from("v 0 0 0\nv 1 0 0\nv 0 1 0\n"), /no triangles/],
    ["gap.obj", Buffer.from("v 0 0 0\nv 1 0 0\nf 1 2 9\n"), /uses a point that isn't there/],
  ]) {
    await pick(page, { name, bytes });
    await page.getByRole("alert").filter({ hasText: sentence }).waitFor({ timeout: 10_000 });
  }
  await open(page, mesh("ring.ply"));
  assert.equal(await page.getByRole("alert").count(), 0);
});

test("the page stays alive while a large scan is read, and can stop it", async (t) => {
  const { page } = await openApp(t, { hash: "#/scan/shop" });
  const bytes = Buffer.concat([...scan("STL, binary", 600_000)]);
  await page.evaluate(() => {
    // How long the page's own thread was ever held up.
    window.longest = 0;
    let last = performance.now();
    setInterval(() => {
      const now = performance.now();
      window.longest = Math.max(window.longest, now - last);
      last = now;
    }, 20);
  });
  await pick(page, { name: "ball.stl", bytes });
  await page.getByText("Reading ball.stl…").waitFor();
  await page.evaluate(() => (window.longest = 0));
  await page.getByRole("heading", { name: /^Is its longest side/ }).waitFor({ timeout: 60_000 });
  const longest = await page.evaluate(() => window.longest);
  assert.ok(longest < 500, `the page was held up for ${longest} ms`);

  await pick(page, { name: "again.stl", bytes });
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByText("Open a scan", { exact: true }).waitFor();
  await page.waitForFunction(() => !document.body.innerText.includes("Reading"));
  assert.equal(page.workers().length, 0, "the helper is gone");
});

test("a helper that crashes or never answers is said so, and the app goes on", async (t) => {
  const app = await openApp(t, {
    hash: "#/scan/shop",
    now: "2026-03-02T08:00:00Z",
    // Stored scripts would come past the routes below.
    context: { serviceWorkers: "block" },
  });
  const { page } = app;
  // A helper that takes its module and says nothing more.
  await app.context.route("**/scan*.js", (route) =>
    route.fulfill({ contentType: "text/javascript", body: "onmessage = () => {};" }),
  );
  await pick(page, mesh("ring.stl"));
  await page.getByText("Reading ring.stl…").waitFor();
  await app.clock.run(65_000);
  await page.getByText("It took longer than a minute and was stopped").waitFor();

  await app.context.route("**/scan*.js", (route) =>
    route.fulfill({
      contentType: "text/javascript",
      body: "onmessage = () => { throw new WebAssembly.RuntimeError('unreachable'); };",
    }),
  );
  await pick(page, mesh("ring.stl"));
  await page.getByText("The scan was too much for this phone").waitFor();
  assert.equal(await page.getByRole("heading", { name: "Benchtide has stopped" }).count(), 0);
  await page.getByRole("link", { name: "Bench", exact: true }).click();
  await page.waitForFunction(() => document.querySelector('main[data-screen="bench"]'));
});

test("scans open with the server gone", async (t) => {
  const app = await openApp(t, { hash: "#/scan/shop", base: "/some/sub-path/" });
  await readyForOffline(app.page);
  await app.server.close();
  await app.page.reload();
  await shown(app.page);
  await open(app.page, mesh("box.obj"));
  assert.match(await figure(app.page, "volume"), /^240 ml$/);
});
