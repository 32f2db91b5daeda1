// What leaves the phone and comes back: one job's file, tables, the report on
// paper, the code on a card. Read by programs that are not ours (papers.py).

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { fileURLToPath } from "node:url";
import { closeBrowser, openApp } from "./harness.mjs";
import { openJob, read, stageTitle, tickAll } from "./bench.mjs";

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const PYTHON = process.env.BENCHTIDE_PYTHON ?? here("../../.tools/python/bin/python");
const MORNING = "2026-03-02T08:00:00Z";
const folder = mkdtempSync(join(tmpdir(), "papers-"));

after(async () => {
  await closeBrowser();
  rmSync(folder, { recursive: true });
});

/** Asks an independent reader. */
function ask(input, ...words) {
  return JSON.parse(execFileSync(PYTHON, [here("papers.py"), ...words], { input, encoding: "utf8" }));
}

/** Presses a key that saves a file, and gives back the file. */
async function saved(page, key, name) {
  const saving = page.waitForEvent("download");
  await page.getByRole("button", { name: key, exact: true }).click();
  const file = join(folder, name);
  await (await saving).saveAs(file);
  return file;
}

const events = (file) => JSON.parse(readFileSync(file, "utf8")).events;
const all = (page, name) => saved(page, "Save all records to a file", name);

/** Reads a backup in the Shop. */
async function take(app, file) {
  await app.page.goto(`${app.server.url}#/shop`);
  await app.page.locator('input[type="file"]').first().setInputFiles(file);
  await app.page.getByText(/\d+ records added/).waitFor();
  return app.page.getByText(/\d+ records added/).innerText();
}

/** Ticks what the first stages ask, and waives one line. */
async function someWork(app, name) {
  const { page } = app;
  await openJob(page, name, "Poured silicone over a clay blanket");
  await page.getByRole("link", { name: /^Next:/ }).click();
  await page.locator(".waive").first().click();
  await page.getByRole("dialog").getByRole("textbox").fill("=client, brought \"his own\"");
  await page.getByRole("dialog").getByRole("button", { name: "Use this reason" }).click();
  await page.locator('.check[data-word="waived"]').waitFor();
  await tickAll(page);
  const title = await stageTitle(page);
  await page.getByRole("button", { name: "Stage done" }).click();
  // The next stage comes by itself, when this one is durable.
  await page.waitForFunction((before) => document.querySelector("h1")?.innerText !== before, title);
}

test("a job's file has its form and no other job; wiped and read again it is the same", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await read(page, { Air: "19", Humidity: "50" });
  await openJob(page, "Not this one", "Solid plaster casts");
  await someWork(app, "Rosettes");
  await page.goto(`${app.server.url}#/jobs`);
  await page.locator(".job-line", { hasText: "Rosettes" }).click();
  const one = await saved(page, "Save this job to a file", "one.json");
  assert.deepEqual(ask("", "schema", one).errors, []);
  assert.match(readFileSync(one, "utf8"), /Rosettes/);
  assert.match(readFileSync(one, "utf8"), /"reading-taken"/);
  assert.doesNotMatch(readFileSync(one, "utf8"), /Not this one/);
  await page.goto(`${app.server.url}#/shop`);
  const before = await all(page, "before.json");
  const checked = ask("", "schema", before);
  assert.deepEqual(checked.errors, []);
  assert.equal(checked.events, events(before).length);

  const fresh = await openApp(t, { now: MORNING, server: app.server });
  await take(fresh, before);
  assert.deepEqual(events(await all(fresh.page, "again.json")), events(before));
  // And after the app was killed, from what it has on disk.
  await fresh.reopen("#/shop");
  assert.deepEqual(events(await all(fresh.page, "killed.json")), events(before));

  // One job alone, on a phone that has nothing.
  const third = await openApp(t, { now: MORNING, server: app.server });
  await take(third, one);
  assert.deepEqual(events(await all(third.page, "third.json")), events(one));
  await third.page.goto(`${app.server.url}#/jobs`);
  await third.page.locator(".job-line", { hasText: "Rosettes" }).waitFor();
  assert.equal(await third.page.locator(".job-line").count(), 1);
});

test("two phones that went apart are the same after each has read the other's file", async (t) => {
  const mine = await openApp(t, { now: MORNING });
  await openJob(mine.page, "Rosettes", "Solid plaster casts");
  await mine.page.goto(`${mine.server.url}#/shop`);
  const start = await all(mine.page, "start.json");
  const theirs = await openApp(t, { now: MORNING, server: mine.server });
  await take(theirs, start);
  await read(mine.page, { Air: "18.3" });
  await read(theirs.page, { Air: "21.7", Humidity: "44" });
  await openJob(theirs.page, "Ammonite", "Solid plaster casts");
  await mine.page.goto(`${mine.server.url}#/shop`);
  await theirs.page.goto(`${mine.server.url}#/shop`);
  const [a, b] = [await all(mine.page, "a.json"), await all(theirs.page, "b.json")];
  await take(mine, b);
  await take(theirs, a);
  const [one, other] = [await all(mine.page, "one.json"), await all(theirs.page, "other.json")];
  assert.deepEqual(events(one), events(other));
  assert.equal(events(one).length, 5);
  for (const app of [mine, theirs]) {
    await app.page.goto(`${mine.server.url}#/jobs`);
    await app.page.locator(".job-line", { hasText: "Ammonite" }).waitFor();
  }
});

test("tables open in another program, and what was typed is no formula there", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await read(page, { Air: "-3.5", Humidity: "61" });
  await openJob(page, '=SUM(A1), "Kopf"', "Solid plaster casts");
  const job = page.url().match(/jobs\/([^/]+)/)[1];
  // Batches and casts of it, as another phone would have written them.
  const id = (n) => `0195f4a2-7c11-7d3e-9a40-00000000000${n}`;
  const line = (n, what, fields) => ({ v: 1, id: id(n), seq: 90 + n, at: Date.parse(MORNING), what, with: fields });
  const lines = [
    line(1, "batch-mixed", {
      job, title: "@pour", material: { family: "GY-B" },
      parts: [{ name: "water", target: 70, actual: 71.5 }, { name: "powder", target: 100 }],
    }),
    line(2, "mould-made", { name: "Rosette, large" }),
    line(3, "cast-made", { mould: id(2), job, number: 1 }),
    line(4, "sheet-filled", { job: id(3), sheet: "cast", field: "weight", entry: "812.5" }),
    line(5, "sheet-filled", { job: id(3), sheet: "cast", field: "to", entry: "+49 client\nHöhe" }),
    line(6, "note-written", { about: { job }, text: "Air bubble at the seam.", open: false }),
  ];
  const file = { name: "x.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify({ benchtide: "journal", version: 1, events: lines })) };
  await take(app, file);

  const batches = ask("", "csv", await saved(page, "Batches", "batches.csv"));
  assert.equal(batches.length, 2);
  assert.equal(batches[0].job, `'=SUM(A1), "Kopf"`);
  assert.equal(batches[0].for, "'@pour");
  assert.deepEqual(batches.map((row) => [row.part, row["target g"], row["actual g"]]), [["water", "70", "71.5"], ["powder", "100", ""]]);
  assert.equal(batches[0].mixed, "2026-03-02T08:00:00.000Z");
  const readings = ask("", "csv", await saved(page, "Readings", "readings.csv"));
  const noted = events(await all(page, "noted.json")).filter((event) => event.what === "reading-taken");
  assert.deepEqual(
    readings.map((row) => [row["air C"], row["humidity %"]]),
    noted.map(({ with: { air, humidity } }) => [String(air ?? ""), String(humidity ?? "")]),
  );
  assert.equal(readings[0]["air C"], "-3.5");
  const casts = ask("", "csv", await saved(page, "Casts", "casts.csv"));
  assert.equal(casts.length, 1);
  assert.deepEqual(
    [casts[0].mould, casts[0].number, casts[0].weight, casts[0].to],
    ["Rosette, large", "1", "812.5", "'+49 client\nHöhe"],
  );

  // The report tells the same, on paper.
  await page.goto(`${app.server.url}#/report/${job}`);
  await page.locator(".report").first().waitFor();
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ path: join(folder, "report.pdf"), format });
    const { sizes, text } = ask("", "pdf", join(folder, "report.pdf"));
      const paper = format === "A4" ? [595, 842] : [612, 792];
    assert.ok(sizes[0].every((side, n) => Math.abs(side - paper[n]) <= 1), `${sizes[0]} points`);
    const flat = text.replace(/\s+/g, " ");
    for (const words of ["Kopf", "Solid plaster casts", "water 71.5 g", "aimed at 70 g", "not noted", "Air bubble at the seam", "Cast 1", "-3.5"]) {
      assert.ok(flat.replaceAll("−", "-").includes(words), `${words} in ${flat}`);
    }
    assert.doesNotMatch(flat, /Bench Jobs Mix/, "no keys on paper");
  }
});

test("the report tells what was waived and why, and when a stage was finished", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await read(page, { Air: "19" });
  await someWork(app, "Rosettes");
  await page.goto(`${app.server.url}#/jobs`);
  await page.locator(".job-line", { hasText: "Rosettes" }).click();
  await page.getByRole("link", { name: "Report, to print" }).click();
  const report = page.locator("main");
  await page.locator(".report").first().waitFor();
  assert.match(await report.innerText(), /Not done: =client, brought "his own"/);
  assert.match(await report.innerText(), /Finished\s+2026-03-02 08:0\d/);
  // Nothing runs out of the page.
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `${wide} px too wide`);
  await page.goto(`${app.server.url}#/report/0195f4a2-7c11-7d3e-9a40-000000000009`);
  await page.getByText("This job is not on this phone.").waitFor();
});

const CARD = "mould: 0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60\nname: Finial, left gate pier\ncasts: 7\n" +
  "pieces: 3\nopen: 1 cap, 2 front, 3 back\nbolts: 9\nbolt-size: M6 x 40\ncast-volume: 2000 ml\n" +
  "service-every: 12 casts\nnever: Höchstens 60 °C";

test("the code on a card is read out of pictures, kept once, and found again", async (t) => {
  const app = await openApp(t, { now: MORNING, hash: "#/jobs" });
  const { page } = app;
  await page.getByRole("link", { name: "Read a card" }).click();
  const choose = page.locator('input[type="file"]').last();
  const look = async (file) => {
    await choose.setInputFiles(file);
    await page.waitForFunction(() => !/^(|Looking…)$/.test(document.querySelector('main [role="status"]').innerText.trim()));
    return page.locator('main [role="status"]').innerText();
  };
  const tally = { ours: 0, theirs: 0 };
  const pictures = 12;
  for (let seed = 0; seed < pictures; seed += 1) {
    const file = join(folder, `code-${seed}.jpg`);
    tally.theirs += ask(CARD, "code", file, String(seed)).theirs;
    const began = Date.now();
    const said = await look(file);
    t.diagnostic(`picture ${seed}: ${Date.now() - began} ms, ${said.slice(0, 40).replace(/\n/g, " ")}`);
    if (/It says/.test(said)) {
      assert.ok(CARD.split("\n").every((line) => said.includes(line)), said);
      tally.ours += 1;
    }
    // The next answer must not be taken for this one.
    await page.goto(`${app.server.url}#/jobs`);
    await page.getByRole("link", { name: "Read a card" }).click();
  }
  t.diagnostic(`of ${pictures} pictures ours read ${tally.ours}, the independent reader ${tally.theirs}`);
  assert.ok(tally.ours >= pictures * 0.9, `${tally.ours} of ${pictures}`);

  await look(join(folder, "code-0.jpg"));
  await page.getByRole("button", { name: "Keep it as a mould" }).click();
  await page.getByRole("link", { name: "To this mould" }).waitFor();
  await page.goto(`${app.server.url}#/shop`);
  const kept = events(await all(page, "kept.json"));
  assert.equal(kept[0].what, "mould-made");
  assert.equal(kept[0].with.name, "Finial, left gate pier");
  const entry = (field) => kept.find((event) => event.with.field === field)?.with.entry;
  assert.equal(entry("cast-volume"), "2000");
  assert.equal(entry("never"), "Höchstens 60 °C");
  await page.goto(`${app.server.url}#/read`);
  await look(join(folder, "code-1.jpg"));
  await page.getByRole("link", { name: "To this mould" }).waitFor();

  // What is no card, no code, no picture.
  await page.goto(`${app.server.url}#/jobs`);
  await page.goto(`${app.server.url}#/read`);
  const other = join(folder, "other.jpg");
  ask("Hello, bench", "code", other, "3");
  assert.match(await look(other), /Hello, bench[\s\S]*can't be kept/);
  await page.goto(`${app.server.url}#/jobs`);
  await page.goto(`${app.server.url}#/read`);
  assert.match(await look({ name: "x.png", mimeType: "image/png", buffer: Buffer.from("no picture") }), /This is no picture/);
});

test("a printed mould card is read by both, and leads back to its mould", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  const id = "0195f4a2-7c11-7d3e-9a40-1b2c3d4e5f60";
  const fields = {
    number: "12", pieces: "3", open: "1 cap, 2 front, 3 back", bolts: "9", "bolt-size": "M6 x 40",
    "cast-volume": "2000", "service-every": "12", "retire-at": "60", never: "Höchstens 60 °C",
  };
  const lines = [["mould-made", { name: "Finial, left gate pier" }]];
  for (const [field, entry] of Object.entries(fields)) {
    lines.push(["sheet-filled", { job: id, sheet: "mould", field, entry }]);
  }
  const all = lines.map(([what, fields], n) => ({
    v: 1, id: n ? id.replace(/..$/, String(10 + n)) : id, seq: n + 1, at: Date.parse(MORNING), what, with: fields,
  }));
  const file = { name: "x.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify({ benchtide: "journal", version: 1, events: all })) };
  await take(app, file);
  await page.goto(`${app.server.url}#/mould/${id}/paper`);
  await page.locator(".paper-code svg").waitFor();
  await page.pdf({ path: join(folder, "card.pdf"), preferCSSPageSize: true });
  const { theirs } = ask("", "print", join(folder, "card.pdf"), join(folder, "card.png"));
  assert.equal(theirs.length, 1);
  for (const line of [`mould: ${id}`, "name: Finial, left gate pier", "cast-volume: 2000 ml", "never: Höchstens 60 °C"]) {
    assert.ok(theirs[0].split("\n").includes(line), `${line} in ${theirs[0]}`);
  }
  await page.goto(`${app.server.url}#/read`);
  await page.locator('input[type="file"]').last().setInputFiles(join(folder, "card.png"));
  await page.getByRole("link", { name: "To this mould" }).click();
  await page.getByRole("heading", { level: 1, name: "Finial, left gate pier" }).waitFor();
});
