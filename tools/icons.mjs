// Draws the PNG icons from public/icons/icon.svg, for home screens that take
// no SVG. The results are committed: run this only when the mark changes.
//
//   node tools/icons.mjs

import { readFile, writeFile } from "node:fs/promises";
import { crc32, deflateSync } from "node:zlib";
import { fileURLToPath } from "node:url";
import { launchChromium } from "../tests/e2e/harness.mjs";

const folder = new URL("../public/icons/", import.meta.url);
const svg = await readFile(new URL("icon.svg", folder), "utf8");

// `scale` shrinks the mark about the middle: a maskable icon may be cropped to
// the circle of 80 % width, and both it and the touch icon fill their square.
const SIZES = [
  { file: "icon-192.png", size: 192, scale: 1, square: false },
  { file: "maskable-512.png", size: 512, scale: 0.76, square: true },
  { file: "apple-touch-icon.png", size: 180, scale: 0.9, square: true },
];

/** In the page: the colours of a picture, four bytes a pixel. */
async function readPixels(base64) {
  const picture = new Image();
  picture.src = `data:image/png;base64,${base64}`;
  await picture.decode();
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  const drawing = canvas.getContext("2d");
  drawing.drawImage(picture, 0, 0);
  return Array.from(drawing.getImageData(0, 0, picture.width, picture.height).data);
}

/** The four colours that occur most; soft edges take the nearest of them. */
function palette(pixels) {
  const counts = new Map();
  for (let at = 0; at < pixels.length; at += 4) {
    const colour = pixels.slice(at, at + 4).join();
    counts.set(colour, (counts.get(colour) ?? 0) + 1);
  }
  const common = [...counts].sort((a, b) => b[1] - a[1]).slice(0, 4);
  return common.map(([colour]) => colour.split(",").map(Number));
}

/** A PNG of two bits a pixel (PNG specification, colour type 3). */
function indexedPng(size, pixels) {
  const colours = palette(pixels);
  const nearest = (at) => {
    // A grey edge between dark and light is no rust: how red a colour is counts more.
    const red = (list, from) => list[from] - list[from + 2];
    const away = (colour) =>
      colour.reduce((sum, c, i) => sum + (c - pixels[at + i]) ** 2, 0) +
      2 * (red(colour, 0) - red(pixels, at)) ** 2;
    return colours.reduce((best, colour, i) => (away(colour) < away(colours[best]) ? i : best), 0);
  };
  const line = 1 + size / 4;
  const rows = Buffer.alloc(line * size);
  for (let y = 0; y < size; y += 1) {
    for (let x = 0; x < size; x += 1) {
      rows[y * line + 1 + (x >> 2)] |= nearest((y * size + x) * 4) << (6 - 2 * (x & 3));
    }
  }
  const chunk = (name, body) => {
    const named = Buffer.concat([Buffer.from(name), body]);
    const frame = Buffer.alloc(8);
    frame.writeUInt32BE(body.length, 0);
    frame.writeUInt32BE(crc32(named), 4);
    return Buffer.concat([frame.subarray(0, 4), named, frame.subarray(4)]);
  };
  const head = Buffer.from([0, 0, 0, 0, 0, 0, 0, 0, 2, 3, 0, 0, 0]);
  head.writeUInt32BE(size, 0);
  head.writeUInt32BE(size, 4);
  return Buffer.concat([
    Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
    chunk("IHDR", head),
    chunk("PLTE", Buffer.from(colours.flatMap((colour) => colour.slice(0, 3)))),
    chunk("tRNS", Buffer.from(colours.map((colour) => colour[3]))),
    chunk("IDAT", deflateSync(rows, { level: 9 })),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

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
    const shot = await page.screenshot({ omitBackground: true });
    const pixels = await page.evaluate(readPixels, shot.toString("base64"));
    const png = indexedPng(size, Uint8Array.from(pixels));
    await writeFile(new URL(file, folder), png);
    console.log(`${fileURLToPath(new URL(file, folder))}: ${png.length} bytes`);
  }
} finally {
  await browser.close();
}
