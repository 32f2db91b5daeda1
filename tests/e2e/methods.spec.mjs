// Every method from its first stage to its last, driven by the data: whatever
// the table holds is walked through line by line, value by value, clock by clock.

import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import { after, test } from "node:test";
import { closeBrowser, openApp } from "./harness.mjs";
import { doStage, openJob, read, stageTitle } from "./bench.mjs";

after(closeBrowser);

const MORNING = "2026-03-02T08:00:00Z";

/** A room in which everything may be done; other values come from the pads. */
const ROOM = {
  "Temperature of the surface": "22",
  "Temperature of the face": "22",
  "Temperature of the layer before": "22",
  "Temperature of the mould": "22",
  "Temperature of both parts": "22",
  "Temperature of the room": "22",
  "Relative humidity of the room": "45",
};

/** The titles of all methods, as a new job offers them. */
async function titles(t) {
  const { page } = await openApp(t, { hash: "#/jobs/new" });
  await page.locator(".methods .choice b").first().waitFor();
  return page.locator(".methods .choice b").allInnerTexts();
}

/** Follows a link to another stage, and waits until that stands there. */
async function follow(page, link) {
  const before = await stageTitle(page);
  await link.click();
  await page.waitForFunction((title) => document.querySelector("h1")?.innerText !== title, before);
}

test("every method can be walked to its end", async (t) => {
  const methods = await titles(t);
  const files = readdirSync(new URL("../../trade/methods/", import.meta.url));
  assert.equal(methods.length, files.length, `${methods}`);
  for (const method of methods) {
    await t.test(method, async (t) => {
      const app = await openApp(t, { now: MORNING });
      const { page } = app;
      await read(page, { Air: "22", Humidity: "45", Surface: "22" });
      await openJob(page, "Trial", method);
      await follow(page, page.getByRole("link", { name: /^Next:/ }));
      const done = [];
      for (;;) {
        if ((await stageTitle(page)) === "Trial") break;
        done.push(await doStage(app, ROOM));
        assert.ok(done.length < 90, `no end: ${done.slice(-5)}`);
        if (await page.locator(".done-note").count()) {
          const next = page.getByRole("link", { name: /^Next:/ });
          if (!(await next.count())) break;
          await follow(page, next);
        }
      }
      await page.goto(`${app.server.url}#/jobs`);
      const line = await page.locator(".job-line").innerText();
      assert.match(line, /All \d+ stages done/, `stopped after: ${done.join(" > ")}`);
    });
  }
});
