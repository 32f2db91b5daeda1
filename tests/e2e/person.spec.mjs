// Beside a living person: the screen shows the time, the next step and Stop,
// and nothing rings over it. The emergency card is a tap away everywhere.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { closeBrowser, openApp } from "./harness.mjs";
import { doStage, enterOnPad, openJob, read, stageTitle } from "./bench.mjs";

after(closeBrowser);

/** Opens a life cast and brings it to the mixing of the alginate. */
async function lifeCast(t) {
  const app = await openApp(t, { now: "2026-03-02T08:00:00Z" });
  const { page } = app;
  await read(page, { Air: "22", Humidity: "45", Surface: "22" });
  await openJob(page, "Face", "Alginate life cast");
  const job = page.url().match(/jobs\/([^/]+)/)[1];
  await page.getByRole("link", { name: /^Next:/ }).click();
  for (let stages = 0; (await stageTitle(page)) !== "Mix the alginate"; stages += 1) {
    assert.ok(stages < 8, await stageTitle(page));
    await doStage(app, {});
  }
  await page.goto(`${app.server.url}#/person/${job}`);
  await page.locator(".person").waitFor();
  return { app, page, job };
}

/** Taps the one next step until the clock of the person runs. */
async function untilOnPerson(app) {
  const { page } = app;
  for (let steps = 0; steps < 30; steps += 1) {
    if (!/not begun/.test(await page.locator(".person-time").innerText())) return;
    const before = await page.locator(".person-step").innerText();
    const key = page.locator(".person-step button").first();
    await key.tap();
    const pad = page.getByRole("dialog");
    if (await pad.count()) await enterOnPad(page, await pad.getByRole("textbox").inputValue());
    await page.waitForFunction(
      (before) => document.querySelector(".person-step")?.innerText !== before,
      before,
    );
  }
  assert.fail("the clock of the person never began");
}

test("beside a person there is the time, one next step and Stop, and they are talked to", async (t) => {
  const { app, page, job } = await lifeCast(t);
  // Neither the other screens nor the room's line are there.
  assert.equal(await page.locator("nav.foot").count(), 0);
  assert.equal(await page.locator(".room").count(), 0);
  await untilOnPerson(app);
  assert.equal(await page.locator(".person-talk").count(), 0);
  await app.clock.skip(5 * 60_000 + 1_000);
  await app.clock.run(2_000);
  await page.locator(".person-talk").waitFor();
  // What the other clocks have to say must wait.
  assert.equal(await page.getByRole("alertdialog").count(), 0);
  await page.getByRole("button", { name: "They answered" }).tap();
  await page.locator(".person-talk").waitFor({ state: "detached" });
  await app.clock.skip(16 * 60_000);
  await app.clock.run(2_000);
  await page.getByText("Longer than meant. Take it off now.").waitFor();
  for (const key of await page.locator(".person button:visible, .person a:visible").all()) {
    const box = await key.boundingBox();
    assert.ok(box.height >= 72, `${await key.innerText()} is ${box.height} px tall`);
  }
  await page.getByRole("button", { name: "Stop", exact: true }).tap();
  await page.getByText("Take it off now").first().waitFor();
  await page.getByRole("button", { name: "They are free" }).tap();
  await page.waitForFunction((job) => location.hash === `#/jobs/${job}`, job);
});

test("the emergency card is on every screen, with the shop's own words", async (t) => {
  const { page } = await openApp(t, { hash: "#/sheets/shop/emergency" });
  await page.locator("button.reading", { hasText: "Number to call" }).tap();
  await page.getByRole("textbox").fill("112, gate B");
  await page.getByRole("button", { name: "Write it down" }).tap();
  for (const hash of ["#/", "#/jobs", "#/mix", "#/shelf", "#/shop", "#/help"]) {
    await page.goto(page.url().replace(/#.*/, hash));
    await page.getByRole("button", { name: "Emergency" }).tap();
    const card = page.getByRole("dialog", { name: "Emergency" });
    assert.match(await card.innerText(), /Eye[\s\S]*Skin[\s\S]*Breathing[\s\S]*Fire[\s\S]*Spill/);
    assert.match(await card.innerText(), /112, gate B/);
    // One screen, nothing to scroll.
    const [full, seen] = await card
      .locator(".sheet-card")
      .evaluate((element) => [element.scrollHeight, element.clientHeight]);
    assert.ok(full <= seen + 1, `${full} px of text on ${seen} px`);
    await card.getByRole("button", { name: "Back" }).tap();
  }
});

test("in the evening after mixing the Bench asks for tubs, rags and peroxide, once", async (t) => {
  // Source: trade reference 6, "end of day".
  const app = await openApp(t, { now: "2026-03-02T17:30:00Z" });
  const { page } = app;
  const card = page.locator(".evening");
  await read(page, { Air: "17", Surface: "15.5" });
  await page.goto(`${app.server.url}#/`);
  await page.getByRole("link", { name: "Start a clock" }).waitFor();
  assert.equal(await card.count(), 0, "nothing was mixed");
  await page.goto(`${app.server.url}#/start`);
  await page.getByRole("button", { name: /gel coat/i }).first().click();
  await page.getByRole("button", { name: /Catalyst in/ }).first().click();
  await page.goto(`${app.server.url}#/`);
  await card.waitFor();
  assert.match(await card.innerText(), /Tubs cold[\s\S]*Rags wet[\s\S]*Peroxide shut/);
  // It stands below what is live.
  const top = async (part) => (await part.first().boundingBox()).y;
  assert.ok((await top(card)) > (await top(page.locator("article.live"))));
  for (const line of await card.getByRole("button").all()) await line.click();
  await card.waitFor({ state: "detached" });
  await app.reopen();
  await app.page.locator("article.live").waitFor();
  assert.equal(await app.page.locator(".evening").count(), 0);
});

test("the emergency card opens over a ringing alarm", async (t) => {
  const app = await openApp(t, { now: "2026-03-02T10:00:00Z" });
  const { page } = app;
  await read(page, { Air: "17", Surface: "15.5" });
  await page.goto(`${app.server.url}#/start`);
  await page.getByRole("button", { name: /gel coat/i }).first().click();
  await page.getByRole("button", { name: /Catalyst in/ }).first().click();
  const alarm = page.getByRole("alertdialog");
  for (let waited = 0; waited < 60 && !(await alarm.count()); waited += 2) {
    await app.clock.skip(2 * 60_000);
    await app.clock.run(2_000);
  }
  await alarm.getByRole("button", { name: "Emergency" }).click();
  const emergency = page.getByRole("dialog", { name: "Emergency" });
  await emergency.getByText("Rinse with water at once").waitFor();
  await emergency.getByRole("button", { name: "Back" }).click();
  await alarm.getByRole("button", { name: "Heard" }).click();
});
