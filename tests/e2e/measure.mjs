// Prints what the app is measured by: shipped bytes, a cold offline start on a
// slow phone, thirty running cures, a journal of ten thousand events. Prints
// only; no test fails by time.

import { brotliCompressSync } from "node:zlib";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { startServer } from "../../tools/serve.mjs";
import { FORMATS, scan } from "./scans.mjs";
import { DIST, PHONE, browser, closeBrowser, precached, readyForOffline, shown } from "./harness.mjs";

const rows = [];
const bytes = precached(DIST)
  .map(([name]) => (name === "./" ? "index.html" : name))
  .concat("sw.js")
  .map((name) => readFileSync(join(DIST, name)))
  .reduce((sum, file) => sum + Math.min(file.length, brotliCompressSync(file).length), 0);
rows.push(["shipped, brotli", `${(bytes / 1000).toFixed(1)} kB`, "350 kB"]);

const server = await startServer({ dir: DIST });
const context = await (await browser()).newContext(PHONE);
const page = await context.newPage();
await page.goto(server.url);
await shown(page);
await readyForOffline(page);

/** Milliseconds from the start of the navigation to the first screen. */
async function start(slower) {
  const fresh = await context.newPage();
  const session = await context.newCDPSession(fresh);
  await session.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await fresh.addInitScript(() => {
    new MutationObserver(() => {
      if (document.querySelector("main[data-screen]")) window.firstScreen ??= performance.now();
    }).observe(document, { childList: true, subtree: true });
  });
  await fresh.goto(server.url);
  await shown(fresh);
  const time = await fresh.evaluate(() => window.firstScreen);
  await fresh.close();
  return time;
}

/** The middle of several starts. */
async function middle(slower, times = 5) {
  const all = [];
  for (let n = 0; n < times; n += 1) all.push(await start(slower));
  return all.sort((a, b) => a - b)[times >> 1];
}

await context.setOffline(true);
rows.push(["cold offline start, 4x slower", `${Math.round(await middle(4))} ms`, "1000 ms"]);
await context.setOffline(false);

/** Puts events into the store as the app would have. */
async function fill(events) {
  await page.evaluate(
    (records) =>
      new Promise((done, fail) => {
        const opening = indexedDB.open("benchtide");
        opening.onerror = fail;
        opening.onsuccess = () => {
          const writing = opening.result.transaction("events", "readwrite");
          for (const text of records) {
            writing.objectStore("events").put({ id: JSON.parse(text).id, text });
          }
          writing.oncomplete = () => {
            opening.result.close();
            done();
          };
        };
      }),
    events,
  );
}

let seq = 0;
function record(what, fields) {
  seq += 1;
  const id = `01900000-0000-7000-8000-${seq.toString(16).padStart(12, "0")}`;
  const at = Date.now() - 3_600_000 + seq;
  return { id, text: JSON.stringify({ v: 1, id, seq, at, what, with: fields }) };
}

const started = Date.now() - 60_000;
const cures = Array.from({ length: 30 }, (_, n) =>
  record("cure-started", {
    title: `coat ${n}`,
    material: { family: ["UP-GEL", "UP-LAM", "SI-TIN", "GY-B"][n % 4] },
    profile: ["film", "laminate", "cast", "mix"][n % 4],
    started,
    place: "bench",
  }),
);
const readings = Array.from({ length: 1000 }, (_, n) =>
  record("reading-taken", {
    place: "bench",
    air: 17 + (n % 7) / 3,
    humidity: 55,
    surface: 16 + (n % 5) / 3,
    taken: started - 1000 + n,
  }),
);
await fill([...cures, ...readings].map((one) => one.text));
const busy = await context.newPage();
await busy.goto(server.url);
await shown(busy);
await busy.locator(".live").first().waitFor();
const session = await context.newCDPSession(busy);
await session.send("Performance.enable");
const used = async () => {
  const { metrics } = await session.send("Performance.getMetrics");
  return metrics.find((metric) => metric.name === "TaskDuration").value;
};
const before = await used();
await busy.waitForTimeout(10_000);
const share = ((await used()) - before) * 10;
rows.push(["30 cures over 1,000 readings", `${share.toFixed(2)} % of a core`, "2 %"]);
await busy.close();

const jobs = Array.from({ length: 500 }, (_, n) =>
  record("job-opened", {
    name: `Job ${n}`,
    method: "M1",
    switches: {},
    materials: {},
    place: "bench",
    invented: false,
  }),
);
const ticks = Array.from({ length: 10_000 - jobs.length - cures.length - readings.length }, (_, n) =>
  record("check-ticked", {
    job: jobs[n % 500].id,
    stage: "M1.01",
    check: `c${n % 17}`,
    values: {},
  }),
);
await fill([...jobs, ...ticks].map((one) => one.text));
rows.push(["10,000 events in 500 jobs, start", `${Math.round(await middle(1))} ms`, "300 ms"]);

/** What the reference library takes for the same, if Python has it. */
const PYTHON = `
import sys, time, trimesh
began = time.time()
m = trimesh.load_mesh(sys.argv[1])
m.area, m.volume, m.is_watertight, m.is_winding_consistent
m.integral_mean_curvature, m.body_count
print(round((time.time() - began) * 1000), "ms")
`;
function byLibrary(path) {
  try {
    return execFileSync(process.env.PYTHON ?? "python3", ["-c", PYTHON, path], {
      encoding: "utf8",
      stdio: ["ignore", "pipe", "ignore"],
    }).trim();
  } catch {
    return "no trimesh here";
  }
}

/** Milliseconds until `done` is there. */
async function until(done, act) {
  const began = performance.now();
  await act();
  await done.waitFor({ timeout: 120_000 });
  return performance.now() - began;
}

/** Opens a scan of a million triangles in each format. */
async function scans() {
  const folder = mkdtempSync(join(tmpdir(), "scans-"));
  const glue = readdirSync(DIST).find((name) => /^benchtide-\w+\.js$/.test(name));
  for (const [format, ending] of Object.entries(FORMATS)) {
    const path = join(folder, `ball.${ending}`);
    const parts = [...scan(format, 1_000_000)].map((part) => Buffer.from(part));
    writeFileSync(path, Buffer.concat(parts));
    const one = await context.newPage();
    await one.goto(`${server.url}#/scan/shop`);
    await shown(one);
    const question = one.getByRole("heading", { name: /^Is its longest side/ });
    const first = await until(question, () =>
      one.locator('input[type="file"]').setInputFiles(path),
    );
    const figures = await until(one.locator('[data-figure="share"]', { hasText: "locks" }), () =>
      one.getByRole("button", { name: "Yes, millimetres" }).click(),
    );
    // The helper's own script gives what is there already.
    const memory = await one.workers()[0].evaluate(async (name) => {
      const bindings = await import(new URL(name, self.location));
      return (await bindings.default()).memory.buffer.byteLength;
    }, glue);
    const size = `${Math.round(statSync(path).size / 1e6)} MB`;
    rows.push([`scan, ${format}, ${size}: picture`, `${Math.round(first)} ms`, "2000 ms"]);
    rows.push(["  figures, memory", `${Math.round(figures)} ms, ${memory >> 20} MiB`, "-"]);
    rows.push(["  by trimesh, without picture", byLibrary(path), "-"]);
    await one.close();
  }
  rmSync(folder, { recursive: true });
}
await scans();

for (const [what, measured, aim] of rows) {
  console.log(`${what.padEnd(40)}${measured.padStart(22)}   aim ${aim}`);
}
await closeBrowser();
await server.close();
