// What a mould maker does with the app, as steps that the end-to-end tests share.

import assert from "node:assert/strict";

/** Answers whatever rings, by "Heard", until nothing does. */
export async function quiet(page) {
  const alarm = page.getByRole("alertdialog");
  while (await alarm.count()) {
    const name = await alarm.first().getAttribute("aria-label");
    await alarm.first().getByRole("button", { name: "Heard" }).click();
    await page.waitForFunction(
      (before) =>
        document.querySelector('[role="alertdialog"]')?.getAttribute("aria-label") !== before,
      name,
    );
  }
}

/** Types an entry on the open pad and enters it. */
export async function enterOnPad(page, text) {
  const pad = page.getByRole("dialog");
  await pad.getByRole("textbox").fill(text);
  await pad.getByRole("button", { name: "Enter" }).click();
  const trouble = pad.locator(".trouble");
  if (await trouble.count()) assert.fail(`the pad refused "${text}": ${await trouble.innerText()}`);
}

/** Enters a reading in the Shop: { Air: "17", Humidity: "58", Surface: "15.5" }. */
export async function read(page, values) {
  await page.getByRole("link", { name: "Shop", exact: true }).click();
  for (const [kind, value] of Object.entries(values)) {
    await page.getByRole("group", { name: "New reading" }).getByText(kind, { exact: true }).click();
    await enterOnPad(page, value);
    await page.getByText("Reading noted").first().waitFor();
    await page.getByRole("group", { name: "New reading" }).getByText(value).first().waitFor();
  }
}

/** Opens a new job by name and method title. */
export async function openJob(page, name, method, options = []) {
  await page.getByRole("link", { name: "Jobs", exact: true }).click();
  await page.getByRole("link", { name: "New job" }).click();
  await page.getByRole("textbox").fill(name);
  await page.getByRole("button", { name: method }).click();
  for (const option of options) await page.getByRole("button", { name: option }).click();
  await page.getByRole("button", { name: "Open the job" }).click();
  await page.getByRole("heading", { level: 1, name }).waitFor();
}

/** The title of the stage in view. */
export const stageTitle = (page) => page.locator("h1").innerText();

/** A value that fits a pad: what it offers, else the middle of its range. */
async function fitting(pad, values) {
  const title = await pad.getAttribute("aria-label");
  if (values[title] !== undefined) return values[title];
  const offered = await pad.getByRole("textbox").inputValue();
  if (offered) return offered;
  const hint = await pad.locator(".hint").innerText();
  const range = hint.match(/^Between ([-−\d.]+) ?(.*?) and ([-−\d.]+) ?(.*)$/);
  assert.ok(range, `the pad "${title}" tells its range: ${hint}`);
  const [low, high] = [range[1], range[3]].map((text) => Number(text.replace("−", "-")));
  if (range[2] !== range[4]) return `${low + 1} ${range[2]}`;
  return `${Math.round(Math.sqrt(Math.max(low, 0.1) * high)) || low} ${range[2]}`;
}

/** Ticks every open line of the stage in view, entering what each asks for. */
export async function tickAll(page, values = {}) {
  const ids = await page
    .locator('.check[data-word="open"], .check[data-word="must"]')
    .evaluateAll((lines) => lines.map((line) => line.dataset.check));
  for (const id of ids) {
    await quiet(page);
    const line = page.locator(`.check[data-check="${id}"]`);
    await line.getByRole("checkbox").click();
    const done = page.locator(`.check[data-check="${id}"][data-word="done"]`);
    const pad = page.getByRole("dialog");
    // A line either asks for values, one pad after the other, or is ticked at once.
    for (;;) {
      await done.or(pad).first().waitFor();
      if (await done.count()) break;
      const title = await pad.getAttribute("aria-label");
      await enterOnPad(page, await fitting(pad, values));
      await page.waitForFunction(
        ([last, check]) =>
          document.querySelector('[role="dialog"]')?.getAttribute("aria-label") !== last ||
          document.querySelector(`.check[data-check="${check}"][data-word="done"]`),
        [title, id],
      );
      await page.waitForFunction(
        (check) =>
          document.querySelector('[role="dialog"]') ||
          document.querySelector(`.check[data-check="${check}"][data-word="done"]`),
        id,
      );
    }
  }
}

/** Starts every clock of the stage in view. */
export async function startClocks(page) {
  const acts = page.locator("section.start");
  for (let index = 0; index < (await acts.count()); index += 1) {
    await quiet(page);
    const act = acts.nth(index);
    const running = await act.locator("a").count();
    if (running) continue;
    await act.locator("button.main").click();
    await act.locator("a").first().waitFor();
  }
}

/** Lets time pass until the stage in view waits for nothing more. */
export async function waitOut(app, most = 60 * 24 * 30) {
  const { page } = app;
  const waits = page.getByRole("heading", { name: "This waits for" });
  let passed = 0;
  let step = 10;
  while (await waits.count()) {
    assert.ok(passed < most, `still waiting after ${passed} min: ${await page.locator("main").innerText()}`);
    await app.clock.skip(step * 60_000);
    await app.clock.run(2_000);
    passed += step;
    if (passed > 120) step = 60;
    await quiet(page);
  }
  return passed;
}

/** A stage with a must-line that is not ticked can't be finished, and says so. */
async function refuseUnticked(page) {
  const musts = page.locator('.check[data-word="must"]');
  if (!(await musts.count())) return;
  await quiet(page);
  await page.getByRole("button", { name: "Stage done" }).click();
  const refusal = page.locator(".notice.trouble");
  await refusal.filter({ hasText: "tick" }).waitFor();
  assert.ok(await musts.count(), "nothing was ticked by it");
  await page.getByRole("button", { name: "Stage done" }).waitFor();
  await refusal.getByRole("button").click();
}

/** Does the stage in view from top to bottom and goes to the next one. */
export async function doStage(app, values = {}) {
  const { page } = app;
  const title = await stageTitle(page);
  await waitOut(app);
  await refuseUnticked(page);
  await tickAll(page, values);
  await startClocks(page);
  await quiet(page);
  await page.getByRole("button", { name: "Stage done" }).click();
  await page.waitForFunction(
    (before) => document.querySelector("h1")?.innerText !== before || document.querySelector(".done-note"),
    title,
  );
  return title;
}
