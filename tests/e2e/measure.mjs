// Prints what the app is measured by: shipped bytes, a cold offline start on a
// slow phone, thirty running cures, a journal of ten thousand events. Prints
// only; no test fails by time.

import { brotliCompressSync } from "node:zlib";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { startServer } from "../../tools/serve.mjs";
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

for (const [what, measured, aim] of rows) {
  console.log(`${what.padEnd(36)}${measured.padStart(18)}   aim ${aim}`);
}
await closeBrowser();
await server.close();
