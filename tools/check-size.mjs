// Adds up what a phone downloads at the first visit, with brotli as a good host
// would send it, and fails when that is more than the limit.
//
//   node tools/check-size.mjs [folder]

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants } from "node:zlib";
import { listFiles } from "./finish-build.mjs";

/** In bytes: everything together (design limit). */
const LIMIT = 350_000;

const folder = process.argv[2] ?? "dist";

function sent(bytes) {
  const squeezed = brotliCompressSync(bytes, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: constants.BROTLI_MAX_QUALITY,
      [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length,
    },
  });
  // Pictures are packed already: hosts send them as they are.
  return Math.min(squeezed.length, bytes.length);
}

const rows = listFiles(folder).map((name) => {
  const bytes = readFileSync(join(folder, name));
  return { name, raw: bytes.length, sent: sent(bytes) };
});
rows.sort((a, b) => b.sent - a.sent);
const total = (key) => rows.reduce((sum, row) => sum + row[key], 0);
rows.push({ name: `all (limit ${LIMIT})`, raw: total("raw"), sent: total("sent") });

const width = Math.max(...rows.map((row) => row.name.length));
console.log(`${"file".padEnd(width)}  ${"bytes".padStart(9)}  ${"brotli".padStart(9)}`);
for (const row of rows) {
  const [raw, small] = [row.raw, row.sent].map((value) => String(value).padStart(9));
  console.log(`${row.name.padEnd(width)}  ${raw}  ${small}`);
}
if (rows.at(-1).sent > LIMIT) {
  console.error(`The app is over its limit by ${rows.at(-1).sent - LIMIT} bytes (brotli).`);
  process.exit(1);
}
