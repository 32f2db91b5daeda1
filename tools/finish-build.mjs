// Trunk's last step: turns its output into what is shipped.
//
//   1. wasm-opt and the script's shrinking (release builds only), from pinned npm
//      packages. -O1 and not -Oz: it makes the module larger, but smaller in brotli;
//   2. the inline start-up script moves to a file, so that the content security
//      policy needs no exception; nonce placeholders go;
//   3. scripts, styles and the module are named by their content;
//   4. sw.js is written with the list of all files and their hashes.
//
// The same input gives the same output, byte for byte. Trunk sets
// TRUNK_STAGING_DIR, TRUNK_SOURCE_DIR and TRUNK_PROFILE.

import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync, writeFileSync } from "node:fs";
import { copyFileSync, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { minify } from "terser";

const project = fileURLToPath(new URL("..", import.meta.url));

/** The features that Rust's WASM target uses; wasm-opt refuses unlisted ones. */
const WASM_FEATURES = [
  "bulk-memory",
  "bulk-memory-opt",
  "call-indirect-overlong",
  "multivalue",
  "mutable-globals",
  "nontrapping-float-to-int",
  "reference-types",
  "sign-ext",
];

const hash = (bytes, encoding) => createHash("sha256").update(bytes).digest(encoding);

/** Every file below `folder`, as sorted relative paths with "/". */
export function listFiles(folder) {
  return readdirSync(folder, { recursive: true })
    .map((name) => name.replaceAll("\\", "/"))
    .filter((name) => statSync(join(folder, name)).isFile())
    .sort();
}

/**
 * Shrinks a module in place, the names of its imports too: gives back the lines
 * "long => short" for its script. A result is kept, for it takes a while.
 */
function optimise(path) {
  const tool = join(project, "node_modules/binaryen");
  if (!existsSync(tool)) throw new Error("wasm-opt is missing: run ./dev build, which fetches it.");
  const { version } = JSON.parse(readFileSync(join(tool, "package.json"), "utf8"));
  const flags = ["-O1", "--minify-imports", ...WASM_FEATURES.map((feature) => `--enable-${feature}`)];
  const key = hash(JSON.stringify([version, flags, hash(readFileSync(path), "hex")]), "hex");
  const keep = join(project, ".tools/wasm-opt");
  const kept = join(keep, `${key}.wasm`);
  if (!existsSync(kept)) {
    rmSync(keep, { recursive: true, force: true });
    mkdirSync(keep, { recursive: true });
    const fresh = join(keep, "fresh");
    const names = execFileSync(
      process.execPath,
      [join(tool, "bin/wasm-opt"), path, ...flags, "-o", fresh],
      { encoding: "utf8", stdio: ["ignore", "pipe", "inherit"], maxBuffer: 1 << 24 },
    );
    writeFileSync(`${kept}.names`, names);
    renameSync(fresh, kept);
  }
  copyFileSync(kept, path);
  return readFileSync(`${kept}.names`, "utf8");
}

/** Gives a module's script the short names of its imports, and shrinks it. */
async function shrinkScript(path, names) {
  let text = readFileSync(path, "utf8");
  const short = new Map();
  for (const line of names.split("\n")) {
    const [long, name] = line.split(/\s*=>\s*/);
    if (name) short.set(long.trim(), name.trim());
  }
  text = text.replace(/\b__wb\w+/g, (long) => short.get(long) ?? long);
  const { code } = await minify(text, { module: true, compress: { passes: 2 } });
  writeFileSync(path, code);
}

/** Moves the one inline script of `html` into start.js; drops nonces. */
export function moveInlineScript(html) {
  const scripts = [];
  const moved = html
    .replace(/\s+nonce="[^"]*"/g, "")
    .replace(/<script\b([^>]*)>([\s\S]*?)<\/script>/g, (whole, attributes, body) => {
      if (/\bsrc=/.test(attributes)) return whole;
      scripts.push(body.trim());
      return `<script${attributes} src="./start.js"></script>`;
    });
  if (scripts.length !== 1) {
    throw new Error(`index.html should have one inline script, not ${scripts.length}.`);
  }
  return { html: moved, script: `${scripts[0]}\n` };
}

/** Fails on anything that the content security policy would block. */
export function refuseInline(html) {
  const inline = [
    [/<script\b(?![^>]*\bsrc=)[^>]*>/i, "an inline script"],
    [/<style\b/i, "an inline style sheet"],
    [/<[^>]+\sstyle\s*=/i, "a style attribute"],
    [/<[^>]+\son[a-z]+\s*=/i, "an event attribute"],
    [/\{\{/, "a placeholder"],
  ];
  for (const [pattern, what] of inline) {
    if (pattern.test(html)) throw new Error(`index.html has ${what}: the policy forbids it.`);
  }
}

/**
 * Names the files at the top of `folder` by content, those that others refer to
 * first, and patches the references. index.html keeps its name, and so does
 * what is found by a fixed name from elsewhere (manifest, icons).
 */
function nameByContent(folder) {
  const top = readdirSync(folder).filter((name) => /\.(wasm|js|css)$/.test(name));
  const texts = () => listFiles(folder).filter((name) => /\.(js|css|html)$/.test(name));
  const waiting = new Set(top);
  while (waiting.size > 0) {
    const mentions = (name, other) =>
      !name.endsWith(".wasm") && mentionOf(other).test(readFileSync(join(folder, name), "utf8"));
    const next = [...waiting].sort().find((name) =>
      [...waiting].every((other) => other === name || !mentions(name, other)),
    );
    if (!next) throw new Error(`These files refer to each other in a ring: ${[...waiting]}.`);
    waiting.delete(next);
    const digest = hash(readFileSync(join(folder, next)), "hex").slice(0, 16);
    const named = next.replace(/(\.[a-z]+)$/, `-${digest}$1`);
    renameSync(join(folder, next), join(folder, named));
    for (const name of texts()) {
      const path = join(folder, name);
      const text = readFileSync(path, "utf8");
      const patched = text.replace(mentionOf(next), named);
      if (patched !== text) writeFileSync(path, patched);
    }
  }
}

/** A file's name where it is one: not as the end of a longer name. */
function mentionOf(name) {
  return new RegExp(`(?<![\\w.-])${name.replaceAll(".", "\\.")}(?![\\w-])`, "g");
}

/** Writes sw.js for all other files that are in `folder` by now. */
export function writeServiceWorker(folder) {
  const names = listFiles(folder).filter((name) => name !== "sw.js");
  const files = names.map((name) => [
    // Some hosts redirect "/index.html" to "/": it is kept under the latter.
    name === "index.html" ? "./" : `./${name}`,
    hash(readFileSync(join(folder, name)), "base64"),
  ]);
  const template = readFileSync(join(project, "public/sw.template.js"), "utf8");
  const list = JSON.stringify(files);
  const version = hash(list + template, "hex").slice(0, 16);
  const script = template.replace("__FILES__", () => list).replace("__VERSION__", version);
  writeFileSync(join(folder, "sw.js"), script);
}

async function main() {
  const folder = process.env.TRUNK_STAGING_DIR;
  if (!folder) throw new Error("Trunk runs this: use ./dev build.");
  if (process.env.TRUNK_PROFILE === "release") {
    for (const name of listFiles(folder)) {
      if (!name.endsWith(".wasm")) continue;
      const script = join(folder, name.replace(/_bg\.wasm$/, ".js"));
      await shrinkScript(script, optimise(join(folder, name)));
    }
  }
  if (process.env.TRUNK_PROFILE === "release") {
    for (const name of ["recover.js", "scan.js"]) {
      const path = join(folder, name);
      const text = readFileSync(path, "utf8");
      writeFileSync(path, (await minify(text, { module: name === "scan.js" })).code);
    }
  }
  const page = join(folder, "index.html");
  const { html, script } = moveInlineScript(readFileSync(page, "utf8"));
  refuseInline(html);
  writeFileSync(page, html);
  writeFileSync(join(folder, "start.js"), script);
  nameByContent(folder);
  writeServiceWorker(folder);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  try {
    await main();
  } catch (error) {
    console.error(error.message);
    process.exit(1);
  }
}
