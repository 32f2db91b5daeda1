// Take-off as its user does it: measure, see the sum, take the result into the
// job, correct what went into an amount, print.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { closeBrowser, openApp } from "./harness.mjs";
import { enterOnPad, openJob } from "./bench.mjs";

after(closeBrowser);

/** The key of a field, by its name. */
const field = (page, name) =>
  page.locator("button.reading").filter({ has: page.locator(`.reading-name:has-text("${name}")`) }).first();

/** Fills a field on the pad. */
async function fill(page, name, entry) {
  await field(page, name).tap();
  await enterOnPad(page, entry);
  await page.locator(".sheet").waitFor({ state: "detached" });
}

/** Chooses a word of a field. */
async function choose(page, name, word) {
  await field(page, name).tap();
  await page.getByRole("button", { name: word, exact: true }).tap();
}

/** A result, as it is read. */
const result = (page, text) =>
  page.locator("details.result", { has: page.locator(`summary span:text-is("${text}")`) }).first();

test("a piece is measured, its sum read, and its area taken into the job", async (t) => {
  const { page } = await openApp(t);
  await openJob(page, "Finial", "Poured silicone over a clay blanket");
  await page.getByRole("link", { name: /^Take-off/ }).tap();
  await page.getByRole("link", { name: /^.*Size of the piece/ }).tap();
  await choose(page, "Shape", "Box or slab");
  await fill(page, "Front to back", "500 mm");
  await fill(page, "Left to right", "1 ft");
  await fill(page, "Bottom to top", "200 mm");
  // 500 x 304.8 x 200 mm, the base left out: 0.1524 + 2 x (0.1 + 0.06096) m².
  const area = result(page, "Area to cover");
  await area.waitFor();
  assert.match(await area.locator("b").innerText(), /^0\.4743 m²$/);
  await area.locator("summary").tap();
  assert.match(await area.locator(".sum").innerText(), /305 mm/);
  await area.getByRole("button", { name: "Area of the front blanket" }).tap();
  await page.getByText("Area of the front blanket: taken from").waitFor();
  await page.reload();
  await result(page, "Area to cover").waitFor();
});

test("a volume found twice that differs asks why, and the answer stays", async (t) => {
  const app = await openApp(t, { hash: "#/sheets/shop/ways" });
  const { page } = app;
  await fill(page, "Every scrap of the clay", "5.4 kg");
  await page.locator("h2", { hasText: "Second way" }).waitFor();
  const second = page.locator("button.reading", { hasText: "None" });
  await second.tap();
  await page.getByRole("button", { name: "Known already", exact: true }).tap();
  await fill(page, "Volume", "3.6 l");
  await page.getByText("Ask why before anything is mixed").waitFor();
  await choose(page, "Why they differ", "Blanket is not even");
  await app.reopen("#/sheets/shop/ways");
  assert.match(await field(app.page, "Why they differ").innerText(), /Blanket is not even/);
  await app.page.getByRole("button", { name: "Clear this sheet" }).tap();
  await app.page.getByText("Enter what is open").waitFor();
  await app.page.getByRole("button", { name: "Undo" }).tap();
  await app.page.getByText("Ask why before anything is mixed").waitFor();
});

test("a factor is the shop's own wherever it is changed", async (t) => {
  const { page } = await openApp(t, { hash: "#/sheets/shop/amounts" });
  await choose(page, "What", "Rubber, poured");
  await fill(page, "Volume", "1 l");
  const rubber = result(page, "Rubber, poured");
  const before = await rubber.locator("b").innerText();
  await fill(page, "Silicone poured, waste", "20");
  await page.waitForFunction(
    (before) => document.querySelector("details.result b")?.innerText !== before,
    before,
  );
  await page.goto(page.url().replace(/sheets.*/, "sheets/shop/factors"));
  assert.match(await field(page, "Silicone poured, waste").innerText(), /20 %/);
});

test("nonsense is refused in words and leaves no entry", async (t) => {
  const { page } = await openApp(t, { hash: "#/sheets/shop/piece" });
  for (const entry of ["0", "-5", "1e9", "abc"]) {
    await field(page, "Front to back").tap();
    await page.getByRole("dialog").getByRole("textbox").fill(entry);
    await page.getByRole("dialog").getByRole("button", { name: "Enter" }).click();
    await page.locator(".trouble").waitFor();
    await page.getByRole("button", { name: "Back", exact: true }).tap();
  }
  assert.match(await field(page, "Front to back").innerText(), /enter/);
});
