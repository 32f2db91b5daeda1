// What the end-to-end tests share: the built app on a loopback port, opened in
// Chromium as a phone would open it, with a clock that the test holds.
//
// A test that opens the app through `openApp` also fails on anything that must
// never happen: an error on the page or in the console, a breach of the
// content security policy, a request to another origin.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { startServer } from "../../tools/serve.mjs";

/** The folder with the built app. */
export const DIST = fileURLToPath(new URL("../../dist/", import.meta.url));

/** A middling phone held upright. */
export const PHONE = {
  viewport: { width: 390, height: 844 },
  deviceScaleFactor: 2,
  isMobile: true,
  hasTouch: true,
  locale: "en-GB",
  timezoneId: "UTC",
};

const ARGS = [
  "--headless=new",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-dev-shm-usage",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The browser's program: $CHROMIUM, or the one on PATH. */
function chromiumPath() {
  if (process.env.CHROMIUM) return process.env.CHROMIUM;
  const names = "chromium chromium-browser google-chrome";
  const script = `for name in ${names}; do command -v "$name" && exit; done; exit 1`;
  try {
    return execFileSync("sh", ["-c", script], { encoding: "utf8" }).trim();
  } catch {
    throw new Error("Chromium is missing: install it, or name its program in CHROMIUM.");
  }
}

/** Starts Chromium without a window. */
export function launchChromium() {
  return chromium.launch({ executablePath: chromiumPath(), args: ARGS });
}

let shared;

/** One browser for all tests of a file; `closeBrowser` in an `after` hook ends it. */
export function browser() {
  shared ??= launchChromium();
  return shared;
}

/** Ends the browser of this file. */
export async function closeBrowser() {
  const running = shared;
  shared = undefined;
  await (await running)?.close();
}

/** The contexts of each test: pages go before their host (see `serveApp`). */
const contexts = new WeakMap();

/** Ends all pages of the test `t`. */
async function closePages(t) {
  for (const context of contexts.get(t) ?? []) await context.close();
}

/** Serves the built app until the test `t` ends. Options as for `startServer`. */
export async function serveApp(t, options = {}) {
  const server = await startServer({ dir: DIST, ...options });
  t.after(async () => {
    // Hooks run in the order in which they were set: without this a page would
    // outlive its host, and its last requests would meet a closed door.
    await closePages(t);
    await server.close();
  });
  return server;
}

/**
 * Opens the app for the test `t`. Options:
 *  - `server`: one made by `serveApp`; made here when left out, with `base`;
 *  - `hash`: where to go, such as "#/shop";
 *  - `now`: the instant at which the page's clock starts (ISO); left out, the
 *    clock is the real one;
 *  - `context`: more Playwright context options ({ colorScheme: "dark" });
 *  - `expected`: patterns of problems that this test provokes on purpose;
 *  - `before(context)`: called before the first page opens;
 *  - `ready`: false does not wait for the app's first screen.
 * Returns { page, context, server, problems, clock, reopen }.
 */
export async function openApp(t, options = {}) {
  const { base = "/", hash = "", now, expected = [], ready = true } = options;
  const server = options.server ?? (await startServer({ dir: DIST, base }));
  const context = await (await browser()).newContext({ ...PHONE, ...options.context });
  const problems = await watch(context, server.origin, expected);
  contexts.set(t, [...(contexts.get(t) ?? []), context]);
  t.after(async () => {
    await closePages(t);
    if (!options.server) await server.close();
    assert.deepEqual(problems, [], "the page reported problems");
  });
  if (now) await context.clock.install({ time: new Date(now) });
  await options.before?.(context);

  const app = { context, server, problems, page: undefined, clock: clockOf(context) };
  /** Ends the page without any farewell, and opens a new one: a killed app. */
  app.reopen = async (place = hash) => {
    await app.page?.close();
    app.page = await context.newPage();
    await app.page.goto(server.url + place, { waitUntil: ready ? "load" : "commit" });
    if (ready) await shown(app.page);
    return app.page;
  };
  await app.reopen();
  return app;
}

/** Waits for a screen of the app. */
export async function shown(page) {
  await page.locator("main[data-screen]").waitFor();
}

/** Waits until the service worker of this page's own folder has stored everything. */
export async function readyForOffline(page) {
  await page.evaluate(async () => {
    // Not `serviceWorker.ready`: below a sub-path that may be another copy's.
    const scope = new URL("./", location.href).href;
    const active = async () => {
      const all = await navigator.serviceWorker.getRegistrations();
      return all.find((one) => one.scope === scope)?.active?.state === "activated";
    };
    while (!(await active())) await new Promise((done) => requestAnimationFrame(done));
  });
}

/** The precache list of a built app: pairs of relative address and hash. */
export function precached(folder) {
  const script = readFileSync(join(folder, "sw.js"), "utf8");
  return JSON.parse(script.match(/^const FILES = (.*);$/m)[1]);
}

/**
 * What a built app's pack becomes on the phone: { address, hash, pack, unpacker }, the
 * addresses relative, the hash that of the plain module.
 */
export function packed(folder) {
  const script = readFileSync(join(folder, "sw.js"), "utf8");
  return JSON.parse(script.match(/^const MODULE = (.*);$/m)[1]);
}

/** What the service workers of this origin hold, as sorted addresses. */
export function storedAddresses(page) {
  return page.evaluate(async () => {
    const addresses = [];
    for (const name of await caches.keys()) {
      const requests = await (await caches.open(name)).keys();
      addresses.push(...requests.map((request) => request.url));
    }
    return addresses.sort();
  });
}

/** The clock of all pages of a context; needs `now` at `openApp`. */
function clockOf(context) {
  return {
    /** Jumps ahead, firing each timer that is due at most once (a locked phone). */
    skip: (milliseconds) => context.clock.fastForward(milliseconds),
    /** Runs ahead, firing every timer on the way. */
    run: (milliseconds) => context.clock.runFor(milliseconds),
    /** Sets what the wall clock says, leaving timers alone (a corrected clock). */
    set: (instant) => context.clock.setSystemTime(new Date(instant)),
    /** Holds the clock still at an instant; timers go on. */
    hold: (instant) => context.clock.setFixedTime(new Date(instant)),
    /** Stops the clock at an instant, until `skip` or `run`. */
    pause: (instant) => context.clock.pauseAt(new Date(instant)),
  };
}

/** Collects what must never happen, but for what the test expects. */
async function watch(context, origin, expected) {
  const problems = [];
  const note = (text) => {
    if (!expected.some((pattern) => pattern.test(text))) problems.push(text);
  };
  context.on("weberror", (error) => note(`page error: ${error.error()?.stack ?? error.error()}`));
  context.on("console", (message) => {
    if (message.type() === "error") note(`console: ${message.text()}`);
  });
  context.on("request", (request) => {
    const url = new URL(request.url());
    const local = url.origin === origin || ["blob:", "data:", "about:"].includes(url.protocol);
    if (!local) note(`request to another origin: ${url.href}`);
  });
  await context.addInitScript(() => {
    document.addEventListener("securitypolicyviolation", (event) => {
      console.error(`policy breach: ${event.violatedDirective} ${event.blockedURI}`);
    });
  });
  return problems;
}
