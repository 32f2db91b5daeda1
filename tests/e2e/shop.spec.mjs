// What surrounds the work: the demo, units, own tins, backup, nonsense, several
// tabs, and the failure of the app itself.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, test } from "node:test";
import { closeBrowser, openApp, shown } from "./harness.mjs";
import { enterOnPad, openJob, quiet, read } from "./bench.mjs";

after(closeBrowser);

const MORNING = "2026-03-02T08:00:00Z";
const tab = (page, name) => page.getByRole("link", { name, exact: true }).click();

test("the demo comes with one tap, runs three cures, and goes without touching real jobs", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await page.getByRole("button", { name: "Show me the demo" }).click();
  await page.getByRole("button", { name: "Remove the demo" }).waitFor();
  await quiet(page);
  await page.waitForFunction(() => document.querySelectorAll(".live").length === 3);
  assert.equal(await page.locator(".live .invented").count(), 3, "each is marked invented");

  await openJob(page, "Real bust", "Poured silicone over a clay blanket");
  await tab(page, "Bench");
  await page.getByRole("button", { name: "Remove the demo" }).click();
  await page.waitForFunction(() => !document.querySelector(".live"));
  await tab(page, "Jobs");
  // A screen comes a moment after its tab; a list that is read too soon is empty.
  await page.locator(".job-line").first().waitFor();
  assert.deepEqual(await page.locator(".job-line .live-name").allInnerTexts(), ["Real bust"]);
});

test("inches, ounces and Fahrenheit mix with metric, field by field", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await tab(page, "Shop");
  await page.getByRole("button", { name: "°F" }).click();
  await page.getByRole("button", { name: "°F", pressed: true }).waitFor();
  await page.getByRole("button", { name: "oz", exact: true }).click();
  await page.getByRole("button", { name: "oz", exact: true, pressed: true }).waitFor();
  // Typed without a unit it is Fahrenheit, with one it is what it says.
  await read(page, { Air: "68" });
  assert.match(await page.locator(".room-now").innerText(), /68 °F/);
  await page.getByRole("group", { name: "New reading" }).getByText("Air").click();
  await enterOnPad(page, "15 °C");
  await page.getByText("59 °F").first().waitFor();
  await tab(page, "Mix");
  await page.locator(".tile", { hasText: "Silicone, tin cure" }).first().click();
  await page.getByText("Mass of the tub").click();
  await enterOnPad(page, "1 lb 1.6 oz");
  // 17.6 oz at 10:1 is 16 oz of base and 1.6 oz of catalyst.
  assert.match(await page.locator(".weighing").innerText(), /16 oz[\s\S]*1\.6 oz/);
});

test("two numbers off a sheet make a tin whose card counts before the family's", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await read(page, { Air: "23", Surface: "23" });
  await tab(page, "Shelf");
  await page.locator(".tile", { hasText: "Silicone, tin cure" }).first().click();
  await page.getByRole("link", { name: "Add my tin" }).click();
  await page.getByRole("textbox").first().fill("Blue drum");
  await page.getByRole("button", { name: /^Sheet temperature/ }).click();
  await enterOnPad(page, "23 °C");
  await page.locator("button.reading", { hasText: "rubber pot" }).first().click();
  await enterOnPad(page, "80 min");
  await page.getByRole("button", { name: "Put it on the Shelf" }).click();
  const card = page.locator(".tin");
  await card.waitFor();
  assert.match(await card.innerText(), /1 h 20 min \(1 h 4 min to 1 h 36 min\) Blue drum: off its data sheet/);
  assert.match(await card.innerText(), /Blue drum: scaled from its data sheet/);
  await tab(page, "Bench");
  await page.getByRole("link", { name: "Start a clock" }).click();
  await page.locator(".tile", { hasText: "Blue drum" }).click();
  await page.locator("button.main", { hasText: "Catalyst in" }).first().click();
  await page.locator(".live .row-link").first().click();
  await page.getByText("What this stands on").waitFor();
  assert.match(await page.locator("main").innerText(), /Blue drum: off its data sheet/);
});

test("a backup saved, the phone wiped, and read again brings everything back", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await openJob(page, "Kept", "Solid plaster casts");
  await read(page, { Air: "19" });
  const saving = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save all records to a file" }).click();
  const file = await (await saving).path();
  const saved = JSON.parse(readFileSync(file, "utf8"));
  assert.equal(saved.benchtide, "journal");
  assert.equal(saved.events.length, 2);

  const fresh = await openApp(t, { now: MORNING, server: app.server });
  await tab(fresh.page, "Shop");
  await fresh.page.locator('input[type="file"]').setInputFiles(file);
  await fresh.page.getByText("2 records added, 0 were here already.").waitFor();
  await fresh.page.locator('input[type="file"]').setInputFiles(file);
  await fresh.page.getByText("0 records added, 2 were here already.").waitFor();
  await fresh.page.locator('input[type="file"]').setInputFiles({
    name: "cut.json",
    mimeType: "application/json",
    buffer: readFileSync(file).subarray(0, 100),
  });
  await fresh.page.getByText("damaged or cut short. Nothing was taken from it").waitFor();
  await fresh.reopen("#/jobs");
  await fresh.page.getByText("Kept").waitFor();
});

test("nonsense gets a clear sentence and changes nothing", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  await tab(page, "Shop");
  const air = page.getByRole("group", { name: "New reading" }).getByText("Air", { exact: true });
  for (const [typed, sentence] of [
    ["", /Type|Enter|nothing/i],
    ["abc", /number/i],
    ["400", /400|°C|workshop/],
    ["-90", /°C|workshop|below/],
  ]) {
    await air.click();
    const pad = page.getByRole("dialog");
    await pad.getByRole("textbox").fill(typed);
    await pad.getByRole("button", { name: "Enter" }).click();
    assert.match(await pad.locator(".trouble").innerText(), sentence, `for "${typed}"`);
    await pad.getByRole("button", { name: "Back", exact: true }).click();
  }
  await read(page, { Air: "20" });
  await page.getByRole("group", { name: "New reading" }).getByText("Humidity").click();
  await page.getByRole("dialog").getByRole("textbox").fill("130");
  await page.getByRole("button", { name: "Enter" }).click();
  assert.match(await page.locator(".sheet .trouble").innerText(), /100 %/);
  await page.getByRole("button", { name: "Back", exact: true }).click();

  // Catalyst down to nothing: refused in words, and no batch.
  await tab(page, "Mix");
  await page.locator(".tile", { hasText: "Polyester laminating resin" }).first().click();
  await page.getByText("Resin to mix").click();
  await enterOnPad(page, "500 g");
  for (let step = 0; step < 25; step += 1) {
    await page.getByRole("button", { name: "Less catalyst" }).click();
  }
  await page.getByRole("alert").first().waitFor();
  assert.match(await page.getByRole("alert").first().innerText(), /catalyst/i);
  await page.getByRole("button", { name: /^Catalyst in/ }).click();
  await tab(page, "Bench");
  await page.getByText("Nothing is curing").waitFor();
  assert.equal(await page.locator(".live").count(), 0);
});

test("a damaged record is said, harms no other, and is kept", async (t) => {
  const app = await openApp(t, { now: MORNING });
  await openJob(app.page, "Whole", "Solid plaster casts");
  await app.page.evaluate(
    () =>
      new Promise((done, fail) => {
        const opening = indexedDB.open("benchtide");
        opening.onerror = fail;
        opening.onsuccess = () => {
          const writing = opening.result.transaction("events", "readwrite");
          writing.objectStore("events").put({ id: "zz", text: '{"v":1,"id":' });
          writing.oncomplete = () => {
            opening.result.close();
            done();
          };
        };
      }),
  );
  const page = await app.reopen("#/jobs");
  await page.getByText("1 record could not be read. Nothing else is harmed.").waitFor();
  await page.getByText("Whole").waitFor();
  await tab(page, "Shop");
  const saving = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save all records to a file" }).click();
  const saved = JSON.parse(readFileSync(await (await saving).path(), "utf8"));
  assert.deepEqual(saved.unread, ['{"v":1,"id":']);
});

test("two tabs stay in step", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const other = await app.context.newPage();
  await other.goto(`${app.server.url}#/jobs`);
  await shown(other);
  await openJob(app.page, "Seen elsewhere", "Solid plaster casts");
  await other.getByText("Seen elsewhere").waitFor();
});

test("a trap of the module brings the recovery screen, which still offers the records", async (t) => {
  // With the real clock: what a test's clock calls does not reach the page's error event.
  const app = await openApp(t, {
    expected: [/./],
    before: (context) =>
      context.addInitScript(() => {
        addEventListener("TrunkApplicationStarted", (event) => {
          window.moduleExports = event.detail.wasm;
        });
      }),
  });
  await openJob(app.page, "Before the fall", "Solid plaster casts");
  await app.page.evaluate(() => {
    // More memory than there is: Rust gives up with the trap that any panic ends in.
    setTimeout(() => window.moduleExports.__wbindgen_malloc(0x7fffff00, 0x7fffff00));
  });
  await app.page.getByText(/Nothing that was ticked is lost/).waitFor();
  const saving = app.page.waitForEvent("download");
  await app.page.getByRole("button", { name: /Save my records/ }).click();
  const saved = readFileSync(await (await saving).path(), "utf8");
  assert.match(saved, /Before the fall/);
});

test("every main key is large enough for a knuckle, and no screen scrolls sideways", async (t) => {
  const app = await openApp(t, { now: MORNING });
  const { page } = app;
  for (const place of ["#/", "#/jobs", "#/jobs/new", "#/mix", "#/shelf", "#/shop", "#/start", "#/help"]) {
    await page.goto(app.server.url + place);
    await shown(page);
    const small = await page.locator(".big, .tile, .choice, .foot a").evaluateAll((keys) =>
      keys.filter((key) => key.getBoundingClientRect().height < 71.5).map((key) => key.innerText),
    );
    assert.deepEqual(small, [], `keys too small on ${place}`);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
    assert.equal(wide, false, `${place} scrolls sideways`);
  }
});
