// Photographs and notes: taken, kept offline, compared, drawn on, removed for good,
// carried to another phone as a ZIP that other programs read. All pictures are made up.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFile } from "node:fs/promises";
import { after, test } from "node:test";
import { closeBrowser, openApp, readyForOffline, shown } from "./harness.mjs";
import { openJob } from "./bench.mjs";

after(closeBrowser);

const METHOD = "Poured silicone over a clay blanket";
const unfold = (page) => page.getByText(/^Photographs and notes: /).tap();
const first = (page) => page.locator(".photos a").first();

/** A made-up picture: red at the top left, blue elsewhere. */
async function picture(page, width, height) {
  const base64 = await page.evaluate(
    async ([width, height]) => {
      const canvas = new OffscreenCanvas(width, height);
      const brush = canvas.getContext("2d");
      brush.fillStyle = "#0030c0";
      brush.fillRect(0, 0, width, height);
      brush.fillStyle = "#e00000";
      brush.fillRect(0, 0, width / 2, height / 2);
      const blob = await canvas.convertToBlob({ type: "image/jpeg" });
      const bytes = new Uint8Array(await blob.arrayBuffer());
      return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
    },
    [width, height],
  );
  return { name: "DSC_1.jpg", mimeType: "image/jpeg", buffer: Buffer.from(base64, "base64") };
}

/**
 * The same, said to have been taken with the phone on its side: an Exif segment with
 * orientation 6, "row 0 is the visual right side" (Exif 2.32, 4.6.4, tag 274).
 */
function onItsSide(file) {
  const tiff = Buffer.from("49492a0008000000" + "0100" + "1201" + "0300" + "01000000" + "06000000" + "00000000", "hex");
  const exif = Buffer.concat([Buffer.from("Exif\0\0", "latin1"), tiff]);
  const head = Buffer.from([0xff, 0xd8, 0xff, 0xe1, 0, exif.length + 2]);
  return { ...file, buffer: Buffer.concat([head, exif, file.buffer.subarray(2)]) };
}

/** The pictures in the store: size, bytes, colours at the corners of the left side. */
const stored = (page) =>
  page.evaluate(async () => {
    const database = await new Promise((done) => {
      indexedDB.open("benchtide").onsuccess = (event) => done(event.target.result);
    });
    const records = await new Promise((done) => {
      const request = database.transaction("pictures").objectStore("pictures").getAll();
      request.onsuccess = () => done(request.result);
    });
    database.close();
    return Promise.all(
      records.map(async ({ id, blob }) => {
        const bitmap = await createImageBitmap(blob);
        const brush = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
        brush.drawImage(bitmap, 0, 0);
        const colour = (x, y) =>
          brush.getImageData(x, y, 1, 1).data[0] > 128 ? "red" : "blue";
        const text = new TextDecoder("latin1").decode(await blob.arrayBuffer());
        return {
          id,
          type: blob.type,
          size: [bitmap.width, bitmap.height],
          exif: text.includes("Exif"),
          corners: [
            colour(5, 5),
            colour(bitmap.width - 5, 5),
            colour(5, bitmap.height - 5),
          ],
        };
      }),
    );
  });

/** Takes a photograph of the place in view. */
async function take(page, file) {
  const before = await page.locator(".photos a").count();
  await page.locator(".record input[type=file]").setInputFiles(file);
  await page.locator(".photos a").nth(before).waitFor();
}

/** The picture in view, once it is loaded: its natural size. */
const seen = async (image) => {
  await image.evaluate((image) => image.decode());
  return image.evaluate((image) => [image.naturalWidth, image.naturalHeight]);
};

/** Opens a job at its page. */
async function atJob(t, options = {}) {
  const app = await openApp(t, options);
  await openJob(app.page, "Finial", METHOD);
  await unfold(app.page);
  return app;
}

/** Holds a key down for some milliseconds. */
async function hold(page, name, milliseconds) {
  const box = await page.getByRole("button", { name }).boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.waitForTimeout(milliseconds);
  await page.mouse.up();
}

test("a photograph is made small, stands upright, and is there offline after the app was killed", async (t) => {
  const app = await atJob(t);
  const { page } = app;
  await take(page, await picture(page, 4000, 3000));
  await page.getByRole("button", { name: "After" }).tap();
  await take(page, onItsSide(await picture(page, 2000, 1000)));
  assert.deepEqual(
    (await stored(page)).map(({ type, size, exif, corners }) => ({ type, size, exif, corners })),
    [
      { type: "image/jpeg", size: [1600, 1200], exif: false, corners: ["red", "blue", "blue"] },
      // Turned a quarter to the right, its red corner is at the top right.
      { type: "image/jpeg", size: [800, 1600], exif: false, corners: ["blue", "red", "blue"] },
    ],
  );
  assert.match(await first(page).innerText(), /^Before, /);
  assert.match(await page.locator(".photos a").nth(1).innerText(), /^After, /);

  await readyForOffline(page);
  await app.context.setOffline(true);
  const again = await app.reopen(page.url().replace(/.*#/, "#"));
  await again.getByText("Photographs and notes: 2").tap();
  for (const index of [0, 1]) {
    assert.deepEqual(await seen(again.locator(".photos img").nth(index)), [[1600, 1200], [800, 1600]][index]);
  }
  await first(again).tap();
  await again.getByRole("heading", { name: "Photograph" }).waitFor();
  assert.deepEqual(await seen(again.locator(".photo img")), [1600, 1200]);
});

test("a file that is no picture is refused in words, and nothing is stored", async (t) => {
  const { page } = await atJob(t);
  const file = { name: "a.jpg", mimeType: "image/jpeg", buffer: Buffer.from("no picture") };
  await page.locator(".record input[type=file]").setInputFiles(file);
  await page.getByText("That is no picture that this browser can read").waitFor();
  assert.equal(await page.locator(".photos a").count(), 0);
  assert.deepEqual(await stored(page), []);
});

test("a stage's photographs show on its job as well, each leading back", async (t) => {
  const { page } = await atJob(t);
  await page.getByRole("link", { name: /^Next:/ }).tap();
  await page.locator(".checks").waitFor();
  await unfold(page);
  const stage = page.url();
  const title = await page.locator("h1").innerText();
  await take(page, await picture(page, 400, 300));
  await first(page).tap();
  await page.locator(".crumb a", { hasText: `Finial: ${title}` }).tap();
  await page.waitForURL(stage);
  await page.getByRole("link", { name: "To the ladder" }).tap();
  await page.locator(".ladder").waitFor();
  await page.getByText("Photographs and notes: 1").waitFor();
  assert.equal(await page.locator(".photos a").count(), 1);
});

/** A camera that shows one colour. */
const madeUpCamera = (context) =>
  context.addInitScript(() => {
    if (!navigator.mediaDevices) return;
    navigator.mediaDevices.getUserMedia = async () => {
      const canvas = Object.assign(document.createElement("canvas"), { width: 640, height: 480 });
      const brush = canvas.getContext("2d");
      const paint = () => {
        brush.fillStyle = "#e00000";
        brush.fillRect(0, 0, 640, 480);
        requestAnimationFrame(paint);
      };
      paint();
      window.cameraStream = canvas.captureStream();
      return window.cameraStream;
    };
  });

test("a photograph is taken again over a pale picture of itself, and both are compared", async (t) => {
  const { page } = await atJob(t, { before: madeUpCamera });
  await take(page, await picture(page, 800, 600));
  await first(page).tap();
  await page.getByRole("button", { name: "Take it again from here" }).tap();
  const video = page.locator("video");
  await page.waitForFunction(() => document.querySelector("video")?.readyState >= 2);
  const pale = page.locator(".photo img");
  assert.equal(await pale.evaluate((image) => getComputedStyle(image).opacity), "0.5");
  const [under, over] = [await video.boundingBox(), await pale.boundingBox()];
  assert.deepEqual([under.x, under.y, under.width], [over.x, over.y, over.width]);
  await page.getByRole("button", { name: "Take", exact: true }).tap();
  await page.getByRole("button", { name: "Both" }).waitFor();
  // The camera is off again.
  assert.deepEqual(
    await page.evaluate(() => window.cameraStream.getTracks().map((track) => track.readyState)),
    ["ended"],
  );
  const images = page.locator(".photo img");
  assert.deepEqual([await seen(images.nth(0)), await seen(images.nth(1))], [[800, 600], [640, 480]]);
  const looks = () =>
    images.evaluateAll((all) =>
      all.map((image) => [getComputedStyle(image).visibility, getComputedStyle(image).opacity]),
    );
  assert.deepEqual(await looks(), [["hidden", "1"], ["visible", "1"]]);
  await page.getByRole("button", { name: "Both" }).tap();
  assert.deepEqual(await looks(), [["visible", "1"], ["visible", "0.5"]]);
  await page.getByRole("button", { name: "Earlier", exact: true }).tap();
  assert.deepEqual(await looks(), [["visible", "1"], ["hidden", "1"]]);
  await page.getByRole("link", { name: "To the earlier one" }).tap();
  await page.getByRole("button", { name: "Both" }).waitFor({ state: "detached" });
});

test("without a camera the second one comes as a file, and the pair is a pair all the same", async (t) => {
  const refuse = (context) =>
    context.addInitScript(() => {
      if (!navigator.mediaDevices) return;
      navigator.mediaDevices.getUserMedia = () => Promise.reject(new Error("not allowed"));
    });
  const { page } = await atJob(t, { before: refuse });
  await take(page, await picture(page, 800, 600));
  await first(page).tap();
  await page.getByRole("button", { name: "Take it again from here" }).tap();
  await page.getByText("No live picture here").waitFor();
  await page.locator("input[type=file]").setInputFiles(await picture(page, 1000, 750));
  await page.getByRole("button", { name: "Both" }).waitFor();
  assert.deepEqual(await seen(page.locator(".photo img").nth(1)), [1000, 750]);
});

/** Draws along places given as parts of the picture. */
async function draw(page, places) {
  const box = await page.locator(".photo.drawn").boundingBox();
  const at = ([x, y]) => [box.x + x * box.width, box.y + y * box.height];
  await page.mouse.move(...at(places[0]));
  await page.mouse.down();
  for (const place of places.slice(1)) await page.mouse.move(...at(place), { steps: 4 });
  await page.mouse.up();
}

const lines = (page) => page.locator(".photo svg path:not(.rim)").getAttribute("d");

test("a finger draws lines, arrows and crosses; each is stored as it is lifted", async (t) => {
  const app = await atJob(t);
  const { page } = app;
  await take(page, await picture(page, 1600, 1200));
  await first(page).tap();
  await seen(page.locator(".photo img"));
  await page.getByRole("button", { name: "Draw on it" }).tap();
  await draw(page, [[0.25, 0.25], [0.75, 0.25]]);
  await page.getByText("Drawn").waitFor();
  const numbers = (await lines(page)).match(/\d+/g).map(Number);
  const near = (value, wanted) => assert.ok(Math.abs(value - wanted) < 12, `${value}, ${wanted}`);
  near(numbers[0], 400);
  near(numbers[1], 300);
  near(numbers.at(-2), 1200);
  near(numbers.at(-1), 300);
  // Undone and drawn as an arrow; then a tap, a cross.
  await page.getByRole("button", { name: "Undo" }).tap();
  await page.locator(".photo svg path").first().waitFor({ state: "detached" });
  await page.getByRole("button", { name: "Arrow" }).tap();
  await draw(page, [[0.25, 0.5], [0.75, 0.5]]);
  await page.locator(".photo svg path").first().waitFor({ state: "attached" });
  await draw(page, [[0.5, 0.8]]);
  await page.waitForFunction(() => document.querySelector(".photo svg path").getAttribute("d").split("M").length === 5);
  const whole = await lines(page);
  await page.getByText("Drawn").waitFor();
  const again = await app.reopen(page.url().replace(/.*#/, "#"));
  assert.equal(await lines(again), whole);
  await again.getByRole("button", { name: "Draw on it" }).tap();
  await again.getByRole("button", { name: "Last stroke away" }).tap();
  await again.waitForFunction(() => document.querySelector(".photo svg path").getAttribute("d").split("M").length === 3);
});

test("removing takes a held press, and takes the picture out of the store", async (t) => {
  const app = await atJob(t);
  const { page } = app;
  await take(page, await picture(page, 800, 600));
  await take(page, await picture(page, 600, 800));
  await first(page).tap();
  const key = page.getByRole("button", { name: "Remove it for good" });
  await key.scrollIntoViewIfNeeded();
  await hold(page, "Remove it for good", 150);
  await page.getByText("Longer: for a second").waitFor();
  // Keys that go through it, and a press that began elsewhere, are no press.
  await key.focus();
  await page.keyboard.press("Tab");
  await page.waitForTimeout(1200);
  await page.keyboard.press("Shift+Tab");
  await key.dispatchEvent("pointerup");
  assert.equal((await stored(page)).length, 2);
  await hold(page, "Remove it for good", 1200);
  await page.locator(".ladder").waitFor();
  assert.equal(await page.locator(".photos a").count(), 1);
  assert.deepEqual((await stored(page)).map((one) => one.size), [[600, 800]]);
  assert.equal(await page.locator("main.recover").count(), 0);
  const again = await app.reopen(page.url().replace(/.*#/, "#"));
  await again.getByText("Photographs and notes: 1").tap();
  // With the keyboard it is held as well.
  await first(again).tap();
  await again.getByRole("button", { name: "Remove it for good" }).focus();
  await again.keyboard.down(" ");
  await again.waitForTimeout(1200);
  await again.keyboard.up(" ");
  await again.locator(".ladder").waitFor();
  assert.deepEqual(await stored(again), []);
});

test("a full phone says so with a way out, and the photograph need not be taken again", async (t) => {
  const full = (context) =>
    context.addInitScript(() => {
      const add = IDBObjectStore.prototype.add;
      IDBObjectStore.prototype.add = function (...values) {
        if (window.phoneIsFull && this.name === "pictures") {
          throw new DOMException("no room", "QuotaExceededError");
        }
        return add.apply(this, values);
      };
    });
  const { page } = await atJob(t, { before: full });
  await page.evaluate(() => (window.phoneIsFull = true));
  await page.locator(".record input[type=file]").setInputFiles(await picture(page, 800, 600));
  await page.getByText(/The phone is full.*Save the photographs to a file.*remove some/).waitFor();
  assert.equal(await page.locator(".photos a").count(), 0);
  const events = () =>
    page.evaluate(
      () =>
        new Promise((done) => {
          indexedDB.open("benchtide").onsuccess = ({ target: { result: database } }) => {
            const request = database.transaction("events").objectStore("events").getAll();
            request.onsuccess = () => done(request.result.filter((e) => /photo-taken/.test(e.text)).length);
            database.close();
          };
        }),
    );
  assert.equal(await events(), 0);
  // Other records are still written, and the photograph waits.
  await page.getByRole("button", { name: "Seen" }).tap();
  await page.getByRole("button", { name: "Write a note" }).tap();
  await page.getByRole("button", { name: "Hairline crack" }).tap();
  await page.locator(".findings li").waitFor();
  await page.getByRole("button", { name: "Try again" }).tap();
  await page.getByText("The phone is full").waitFor();
  await page.evaluate(() => (window.phoneIsFull = false));
  await page.getByRole("button", { name: "Try again" }).tap();
  await first(page).waitFor();
  assert.equal(await events(), 1);
  assert.equal((await stored(page)).length, 1);
  assert.equal(await page.getByRole("button", { name: "Try again" }).count(), 0);
});

/** Presses a key and takes the file that comes of it. */
async function saved(page, name) {
  const [file] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name }).tap(),
  ]);
  return { name: file.suggestedFilename(), path: await file.path() };
}

const readIn = (page, file) =>
  page.getByText("Read a backup file").locator("input").setInputFiles(file);

/** What another program makes of a ZIP: Python's zipfile, which checks every CRC-32. */
function unzipped(path) {
  const script = [
    "import json, sys, zipfile",
    "z = zipfile.ZipFile(sys.argv[1])",
    "bad = z.testzip()",
    "print(json.dumps([bad, [[i.filename, i.file_size, i.compress_type, list(z.read(i)[:3])] for i in z.infolist()]]))",
  ].join("\n");
  return JSON.parse(execFileSync("python3", ["-c", script, path], { encoding: "utf8" }));
}

test("photographs move to another phone: a ZIP that other programs read, and back in", async (t) => {
  const here = await atJob(t);
  const { page } = here;
  await take(page, await picture(page, 800, 600));
  await take(page, await picture(page, 600, 800));
  const job = page.url().replace(/.*#/, "#");
  await page.getByRole("link", { name: "Shop", exact: true }).tap();
  const records = await saved(page, "Save all records to a file");
  await page.getByText("2 photographs are not in it: save them as well.").waitFor();
  const album = await saved(page, "Save the photographs to a file");
  assert.match(album.name, /^benchtide-photographs-[-\d]+\.zip$/);
  await page.getByText("2 photographs saved as").waitFor();
  const [bad, files] = unzipped(album.path);
  assert.equal(bad, null);
  assert.equal(files.length, 2);
  for (const [name, size, kind, head] of files) {
    assert.match(name, /^Finial-Before-\d{4}-\d\d-\d\d-\d{4}-[0-9a-f-]{36}\.jpg$/);
    assert.ok(size > 500);
    assert.equal(kind, 0);
    assert.deepEqual(head, [0xff, 0xd8, 0xff]);
  }
  const mine = await stored(page);

  const there = await openApp(t, { hash: "#/shop" });
  const other = there.page;
  await readIn(other, { name: "p.zip", mimeType: "application/zip", buffer: await readFile(album.path) });
  // Pictures without records belong nowhere.
  await other.getByText("0 of 2 photographs added").waitFor();
  assert.deepEqual(await stored(other), []);
  await readIn(other, { name: "r.json", mimeType: "application/json", buffer: await readFile(records.path) });
  await other.getByText(/records added/).waitFor();
  await other.goto(there.server.url + job);
  await unfold(other);
  await other.getByText("Not on this phone. Read its file of photographs").first().waitFor();
  await other.goto(there.server.url + "#/shop");

  const zip = await readFile(album.path);
  const damaged = Buffer.from(zip);
  damaged[zip.length / 4 | 0] ^= 0xff;
  await readIn(other, { name: "p.zip", mimeType: "application/zip", buffer: damaged });
  await other.getByText("is damaged, or was packed anew by another program. Nothing was taken").waitFor();
  await readIn(other, { name: "r.json", mimeType: "application/json", buffer: await readFile(records.path) });
  await other.getByText("0 records added").waitFor();
  await readIn(other, { name: "p.zip", mimeType: "application/zip", buffer: zip.subarray(0, -30) });
  await other.getByText("is damaged, or was packed anew by another program. Nothing was taken").waitFor();
  assert.deepEqual(await stored(other), []);

  await readIn(other, { name: "p.zip", mimeType: "application/zip", buffer: zip });
  await other.getByText("2 of 2 photographs added").waitFor();
  assert.deepEqual(await stored(other), mine);
  await readIn(other, { name: "p.zip", mimeType: "application/zip", buffer: zip });
  await other.getByText("0 of 2 photographs added").waitFor();
  await other.goto(there.server.url + job);
  await unfold(other);
  assert.deepEqual(await seen(other.locator(".photos img").first()), [800, 600]);
});

test("notes are written with gloves, and what waits to be written up leads back", async (t) => {
  const app = await atJob(t);
  const { page } = app;
  await page.getByRole("link", { name: /^Next:/ }).tap();
  await page.locator(".checks").waitFor();
  const stage = page.url();
  await unfold(page);
  await page.getByRole("button", { name: "Write a note" }).tap();
  for (const key of await page.getByRole("dialog").getByRole("button").all()) {
    const box = await key.boundingBox();
    assert.ok(box.height >= 72, `${await key.innerText()} is ${box.height} px tall`);
  }
  await page.getByRole("button", { name: "Hairline crack" }).tap();
  await page.locator(".findings li", { hasText: "Hairline crack" }).waitFor();
  assert.equal(await page.getByRole("button", { name: "Written up" }).count(), 0);
  await page.getByRole("button", { name: "Write it up later" }).tap();
  await page.getByRole("dialog").getByRole("textbox").fill("Owner asked for <two> pieces");
  await page.getByRole("button", { name: "Put it on the list" }).tap();
  await page.locator(".findings li", { hasText: "Owner asked for <two> pieces" }).waitFor();

  const again = await app.reopen("#/jobs");
  await again.getByRole("link", { name: "Waiting to be written up: 1" }).tap();
  const note = again.locator(".findings li", { hasText: "Owner asked for" });
  await note.getByRole("link", { name: /^Finial: / }).tap();
  await again.waitForURL(stage);
  await again.goBack();
  await note.getByRole("button", { name: "Written up" }).tap();
  await again.getByText("Nothing waits.").waitFor();
  await again.getByRole("button", { name: "Undo" }).tap();
  await note.waitFor();
  await note.getByRole("button", { name: "Written up" }).tap();
  await again.getByText("Nothing waits.").waitFor();
  await again.goto(app.server.url + "#/jobs");
  await shown(again);
  assert.equal(await again.getByRole("link", { name: /Waiting to be written up/ }).count(), 0);
});

test("beside a person there is no key for photographs, and their job says what not to keep", async (t) => {
  const { page, server } = await openApp(t);
  await openJob(page, "Face", "Alginate life cast");
  const job = page.url().match(/jobs\/([^/]+)/)[1];
  await unfold(page);
  await page.getByText("Moulds and casts only, and what the person agreed to.").waitFor();
  await page.goto(`${server.url}#/person/${job}`);
  await page.locator(".person").waitFor();
  assert.equal(await page.locator("input[type=file]").count(), 0);
});

test("a mould's newest photograph stands on its printed card, with what was drawn on it", async (t) => {
  const { page, server } = await openApp(t, { hash: "#/moulds" });
  await page.getByRole("button", { name: "A mould that is here already" }).tap();
  await page.getByRole("textbox").fill("Rosette");
  await page.getByRole("button", { name: "Put it on record" }).tap();
  await page.getByRole("heading", { level: 1, name: "Rosette" }).waitFor();
  const mould = page.url().split("#")[1];
  await page.goto(`${server.url}#${mould}/paper`);
  await page.getByText("Outline: number the pieces").waitFor();
  await page.goto(`${server.url}#${mould}`);
  await unfold(page);
  await take(page, await picture(page, 800, 600));
  await page.goto(`${server.url}#${mould}/paper`);
  const image = page.locator(".paper-photo img");
  await image.waitFor();
  assert.deepEqual(await seen(image), [800, 600]);
  // It stays inside its box.
  const [box, inside] = [await page.locator(".paper-photo").boundingBox(), await image.boundingBox()];
  assert.ok(inside.height <= box.height && inside.width <= box.width, JSON.stringify([box, inside]));
  assert.equal(await page.getByText("Outline: number the pieces").count(), 0);
});
