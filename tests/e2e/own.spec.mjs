// Methods of the shop's own: copied, changed, used by a job up to its second
// stage, saved as a file, and opened again on a phone that has nothing.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, test } from "node:test";
import { closeBrowser, openApp, shown } from "./harness.mjs";
import { enterOnPad, openJob, tickAll } from "./bench.mjs";

after(closeBrowser);

const MORNING = "2026-03-02T08:00:00Z";
const METHODS = "#/methods";

/** Answers the question that is open with words of one's own, or one of its offers. */
async function write(page, words) {
  const dialog = page.getByRole("dialog");
  await dialog.getByRole("textbox").fill(words);
  await dialog.getByRole("button", { name: /Write it down|Use this reason/ }).click();
}
const choose = (page, offer) => page.getByRole("dialog").getByRole("button", { name: offer }).first().click();
const key = (page, text) => page.locator("button.reading", { hasText: text }).first().click();
const said = (page, text) => page.getByText(text).first().waitFor();
const heading = (page, name) => page.getByRole("heading", { level: 1, name }).waitFor();

/** Copies a method under a name. */
async function copy(page, title, name) {
  await page.locator("a.job-line", { hasText: title }).first().click();
  await page.getByRole("button", { name: "Copy it" }).click();
  assert.notEqual(await page.getByRole("dialog").getByRole("textbox").inputValue(), "");
  await write(page, name);
  await heading(page, name);
}

test("a copy is changed, a job walks it, and its file opens where nothing is", async (t) => {
  const app = await openApp(t, { now: MORNING, hash: METHODS });
  const { page } = app;
  await copy(page, "Solid plaster casts", "Rosettes our way");

  // The first stage gets other words and minutes, and a line of the shop's own.
  await page.locator(".ladder a").first().click();
  const first = await page.locator("h1").innerText();
  await key(page, "What is done");
  assert.equal(await page.getByRole("dialog").getByRole("textbox").inputValue(), first);
  await write(page, "Lay out the bench");
  await heading(page, "Lay out the bench");
  await key(page, "Hands-on time");
  await enterOnPad(page, "7");
  await page.locator("button.reading", { hasText: "Hands-on time" }).getByText("7 min").waitFor();
  await key(page, "Another line");
  await write(page, "Radio on");
  await key(page, "Radio on");
  await choose(page, "It must be ticked");
  await page.locator("button.reading", { hasText: "Radio on" }).getByText("must").waitFor();

  // A new stage comes behind it, and waits for it.
  await page.getByRole("button", { name: "A new stage after it" }).click();
  await write(page, "Photograph the mould");
  await said(page, "Stage added");
  await page.getByRole("link", { name: "The method" }).click();
  await heading(page, "Rosettes our way");
  const stages = () => page.locator(".ladder .rung-title").allInnerTexts();
  const before = await stages();
  assert.deepEqual(before.slice(0, 2), ["Lay out the bench", "Photograph the mould"]);
  await page.locator(".ladder a").nth(1).click();
  await page.locator("button.reading", { hasText: "Lay out the bench" }).getByText("waits for").waitFor();
  // Undo takes a change back: it goes later, and comes home.
  await page.getByRole("button", { name: "One place later" }).click();
  await said(page, "Moved");
  await page.getByRole("button", { name: "Undo" }).click();
  await said(page, "Undone");
  await page.getByRole("link", { name: "The method" }).click();
  assert.deepEqual(await stages(), before);

  // A job of it, to its second stage.
  await openJob(page, "Rosettes", "Rosettes our way");
  await said(page, "Rosettes our way".slice(0, 4));
  await page.getByRole("link", { name: "Next: Lay out the bench" }).click();
  await page.locator(".check", { hasText: "Radio on" }).getByText("Must").waitFor();
  await tickAll(page);
  await page.getByRole("button", { name: /done|finish/i }).last().click();
  await heading(page, "Photograph the mould");
  const job = page.url();

  // The job keeps its form while the method changes.
  await page.goto(`${app.server.url}${METHODS}`);
  await page.locator("a.job-line", { hasText: "Rosettes our way" }).click();
  await page.locator(".ladder a").first().click();
  await key(page, "What is done");
  await write(page, "Something else");
  await heading(page, "Something else");
  await page.goto(job.replace(/\/[^/]*$/, ""));
  await said(page, "Lay out the bench");

  // Saved, wiped, opened.
  await page.goto(`${app.server.url}${METHODS}`);
  await page.locator("a.job-line", { hasText: "Rosettes our way" }).click();
  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save it as a file" }).click();
  const file = await (await download).path();
  const saved = JSON.parse(readFileSync(file, "utf8"));
  assert.equal(saved.base, "M9a");
  assert.equal(saved.name, "Rosettes our way");
  assert.ok(readFileSync(file, "utf8").split("\n").length > 20, "it is laid out in lines");

  const empty = await openApp(t, { now: MORNING, hash: METHODS });
  const other = empty.page;
  assert.equal(await other.getByText("Rosettes our way").count(), 0);
  await other.getByLabel("Open a method file").setInputFiles(file);
  await heading(other, "Rosettes our way");
  assert.deepEqual((await other.locator(".ladder .rung-title").allInnerTexts())[0], "Something else");
  await other.getByRole("button", { name: "Offer it no more" }).click();
  await heading(other, "Methods");
  assert.equal(await other.locator("a.job-line", { hasText: "Rosettes our way" }).count(), 0);
});

test("what guards leaves only with a reason that stands at the stage; mistakes are said", async (t) => {
  const app = await openApp(t, { now: MORNING, hash: METHODS });
  const { page } = app;
  await copy(page, "Poured silicone over a clay blanket", "Ours");
  await page.locator(".ladder a").first().click();
  await key(page, "Permission held");
  await choose(page, "It need not be ticked");
  const why = page.getByRole("dialog", { name: /stands at the stage/ });
  await why.waitFor();
  await write(page, "The shop owns all originals");
  await page.locator(".caution", { hasText: "The shop owns all originals" }).waitFor();
  // Taken out, and put back.
  await key(page, "Permission held");
  await choose(page, "Take it out");
  await choose(page, "Not needed in this shop");
  await page.locator(".caution", { hasText: "Left out here" }).waitFor();
  await key(page, "Put back");
  await said(page, "Back in");
  await page.locator("button.reading", { hasText: "Permission held" }).waitFor();
  // A stage goes, with its reason at the next one.
  await page.getByRole("button", { name: "Take this stage out" }).click();
  await choose(page, "Done another way");
  await heading(page, "Ours");
  await page.locator(".ladder a").first().click();
  await page.locator(".caution", { hasText: "Done another way" }).waitFor();
  // A clock of another material brings its cautions.
  await key(page, "Another clock");
  await choose(page, "Polyester gel coat");
  await choose(page, /pot/);
  await page.locator(".caution", { hasText: /peroxide/i }).waitFor();

  // Files that are none, or wrong, are refused in words, and nothing is taken.
  await page.goto(`${app.server.url}${METHODS}`);
  await page.locator("a.job-line").first().waitFor();
  const rows = await page.locator("a.job-line").count();
  const open = async (text, sentence) => {
    await page.getByLabel("Open a method file").setInputFiles({
      name: "m.json", mimeType: "application/json", buffer: Buffer.from(text),
    });
    await page.locator(".notice.trouble", { hasText: sentence }).waitFor();
    await page.getByRole("button", { name: "Seen" }).click();
  };
  await open("{\n\"a\": ", "line 2");
  await open("[1]", "no method file");
  await open('{"benchtide":"method","version":9}', "newer");
  await open('{"benchtide":"method","version":1,"base":"M1","name":"x","stages":{"M1.99":{"minutes":3}}}', "M1.99");
  assert.equal(await page.locator("a.job-line").count(), rows);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
  assert.ok(!wide, "no sideways scroll");
});
