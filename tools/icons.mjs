// Draws the PNG icons from public/icons/icon.svg, for home screens that take
// no SVG. The results are committed: run this only when the mark changes.
//
//   node tools/icons.mjs

import { readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { launchChromium } from "../tests/e2e/harness.mjs";

const folder = new URL("../public/icons/", import.meta.url);
const svg = await readFile(new URL("icon.svg", folder), "utf8");

// `scale` shrinks the mark about the middle: a maskable icon may be cropped to
// the circle of 80 % width, and both it and the touch icon fill their square.
const SIZES = [
  { file: "icon-192.png", size: 192, scale: 1, square: false },
  { file: "icon-512.png", size: 512, scale: 1, square: false },
  { file: "maskable-512.png", size: 512, scale: 0.76, square: true },
  { file: "apple-touch-icon.png", size: 180, scale: 0.9, square: true },
];

const browser = await launchChromium();
try {
  const page = await browser.newPage();
  for (const { file, size, scale, square } of SIZES) {
    const shift = (512 * (1 - scale)) / 2;
    const drawing = svg
      .replace('rx="96"', square ? "" : 'rx="96"')
      .replace('<g id="mark">', `<g transform="translate(${shift} ${shift}) scale(${scale})">`);
    await page.setViewportSize({ width: size, height: size });
    await page.setContent(`<style>body{margin:0}svg{display:block;width:100vw}</style>${drawing}`);
    const png = await page.screenshot({ omitBackground: true });
    await writeFile(new URL(file, folder), png);
    console.log(`${fileURLToPath(new URL(file, folder))}: ${png.length} bytes`);
  }
} finally {
  await browser.close();
}
