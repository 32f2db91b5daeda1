// Trunk's last step: turns its output into what is shipped.
//
//   1. wasm-opt, short names of imports and the script's shrinking (release builds
//      only), the tools from pinned npm packages. -O2 and not -Oz: it makes the
//      module larger, but its pack smaller;
//   2. the module is packed by squeeze/ (release builds only; see DEVELOPERS.md), and
//      ships with its unpacker in place of itself;
//   3. the inline start-up script moves to a file, so that the content security
//      policy needs no exception; nonce placeholders go;
//   4. scripts, styles, the pack and the unpacker are named by their content;
//   5. sw.js is written with the list of all files and their hashes.
//
// The same input gives the same output, byte for byte. Trunk sets
// TRUNK_STAGING_DIR, TRUNK_SOURCE_DIR and TRUNK_PROFILE; ./dev has built the packer
// and the unpacker by then.

import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync, writeFileSync } from "node:fs";
import { copyFileSync, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { minify } from "terser";
import { shortenImports } from "./imports.mjs";

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
 * What `make(file)` writes for `key`, kept in .tools/`name`/ with the latest only: it
 * takes a while. Gives back the kept file.
 */
function keep(name, key, make) {
  const folder = join(project, ".tools", name);
  const kept = join(folder, hash(JSON.stringify(key), "hex"));
  if (!existsSync(kept)) {
    rmSync(folder, { recursive: true, force: true });
    mkdirSync(folder, { recursive: true });
    const fresh = join(folder, "fresh");
    make(fresh);
    renameSync(fresh, kept);
  }
  return kept;
}

/** Shrinks a module in place; `kind` is the name under which the result is kept. */
function optimise(path, kind, level) {
  const tool = join(project, "node_modules/binaryen");
  if (!existsSync(tool)) throw new Error("wasm-opt is missing: run ./dev build, which fetches it.");
  const { version } = JSON.parse(readFileSync(join(tool, "package.json"), "utf8"));
  const features = WASM_FEATURES.map((feature) => `--enable-${feature}`);
  const flags = [level, "--strip-debug", "--strip-producers", "--strip-target-features", ...features];
  const kept = keep(kind, [version, flags, hash(readFileSync(path), "hex")], (fresh) =>
    execFileSync(process.execPath, [join(tool, "bin/wasm-opt"), path, ...flags, "-o", fresh], {
      stdio: ["ignore", "ignore", "inherit"],
    }),
  );
  copyFileSync(kept, path);
}

/** Where ./dev has built the packer and the unpacker. */
function squeezeParts() {
  const target = process.env.CARGO_TARGET_DIR ?? join(project, "target");
  const packer = join(target, "release/squeeze");
  const unpacker = join(target, "wasm32-unknown-unknown/release/squeeze.wasm");
  for (const part of [packer, unpacker]) {
    if (!existsSync(part)) throw new Error(`${part} is missing: run ./dev build, which makes it.`);
  }
  return { packer, unpacker };
}

/**
 * Puts the packed module in place of the module `name`, with its unpacker and what
 * starts them. Others go on naming the module, by its content: the service worker
 * unpacks it under that name.
 */
function ship(folder, name) {
  const { packer, unpacker } = squeezeParts();
  const path = join(folder, name);
  const plain = readFileSync(path);
  const key = [hash(plain, "hex"), hash(readFileSync(packer), "hex")];
  const kept = keep("packed", key, (fresh) =>
    execFileSync(packer, ["pack", path, fresh], { stdio: ["ignore", "ignore", "inherit"] }),
  );
  copyFileSync(kept, path.replace(/\.wasm$/, ".pack"));
  rmSync(path);
  copyFileSync(unpacker, join(folder, "unpack.wasm"));
  optimise(join(folder, "unpack.wasm"), "wasm-opt-unpacker", "-Os");
  const sources = ["unpack.js", "unpack-worker.js"].map(publicText);
  writeFileSync(join(folder, "unpack-worker.js"), sources.join("\n"));
  writeFileSync(join(folder, "start.js"), publicText("start.js"));
  for (const script of [name.replace(/_bg\.wasm$/, ".js"), "start.js"]) {
    const text = readFileSync(join(folder, script), "utf8");
    writeFileSync(join(folder, script), text.replace(mentionOf(name), namedByContent(name, plain)));
  }
}

const publicText = (name) => readFileSync(join(project, "public", name), "utf8");

/** A file's name with the beginning of its content's hash. */
function namedByContent(name, bytes) {
  return name.replace(/(\.[a-z]+)$/, `-${hash(bytes, "hex").slice(0, 16)}$1`);
}

/** Gives the imports of a module short names, in its script too, and shrinks that. */
async function shrinkScript(path, script) {
  const { module, names } = shortenImports(readFileSync(path));
  writeFileSync(path, module);
  const text = readFileSync(script, "utf8");
  const short = text.replace(/\b__wb\w+/g, (long) => names.get(long) ?? long);
  await shrink(script, short, { module: true, compress: { passes: 2 } });
}

async function shrink(path, text = readFileSync(path, "utf8"), options = {}) {
  writeFileSync(path, (await minify(text, options)).code);
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
  const top = readdirSync(folder).filter((name) => /\.(wasm|pack|js|css)$/.test(name));
  const texts = () => listFiles(folder).filter((name) => /\.(js|css|html)$/.test(name));
  const waiting = new Set(top);
  while (waiting.size > 0) {
    const mentions = (name, other) =>
      !/\.(wasm|pack)$/.test(name) && mentionOf(other).test(readFileSync(join(folder, name), "utf8"));
    const next = [...waiting].sort().find((name) =>
      [...waiting].every((other) => other === name || !mentions(name, other)),
    );
    if (!next) throw new Error(`These files refer to each other in a ring: ${[...waiting]}.`);
    waiting.delete(next);
    const named = namedByContent(next, readFileSync(join(folder, next)));
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

/** What the pack in `folder` becomes, as sw.js wants to know it; tries it out. */
async function describePack(folder, names) {
  const pack = names.find((name) => name.endsWith(".pack"));
  if (!pack) return null;
  const unpacker = names.find((name) => /^unpack\b.*\.wasm$/.test(name));
  const unpackModule = new Function(`${publicText("unpack.js")}; return unpackModule;`)();
  const [packed, program] = [pack, unpacker].map((name) => readFileSync(join(folder, name)));
  const plain = Buffer.from(await unpackModule(packed, program));
  const name = namedByContent(pack.replace(/(-[0-9a-f]{16})?\.pack$/, ".wasm"), plain);
  const start = names.find((name) => /^start\b.*\.js$/.test(name));
  if (!readFileSync(join(folder, start), "utf8").includes(name)) {
    throw new Error(`${start} doesn't ask for what the pack holds: ${name}.`);
  }
  const [address, ...parts] = [name, pack, unpacker].map((part) => `./${part}`);
  return { address, hash: hash(plain, "base64"), pack: parts[0], unpacker: parts[1] };
}

/** Writes sw.js for all other files that are in `folder` by now. */
export async function writeServiceWorker(folder) {
  const names = listFiles(folder).filter((name) => name !== "sw.js");
  const files = names.map((name) => [
    // Some hosts redirect "/index.html" to "/": it is kept under the latter.
    name === "index.html" ? "./" : `./${name}`,
    hash(readFileSync(join(folder, name)), "base64"),
  ]);
  const template = publicText("unpack.js") + publicText("sw.template.js");
  const list = JSON.stringify(files);
  const version = hash(list + template, "hex").slice(0, 16);
  const module = JSON.stringify(await describePack(folder, names));
  const script = template
    // Lines that are comments: phones need none.
    .replace(/^ *(\/\/|\/\*\*|\*).*\n/gm, "")
    .replace("__FILES__", () => list)
    .replace("__MODULE__", () => module)
    .replace("__VERSION__", version);
  writeFileSync(join(folder, "sw.js"), script);
}

async function main() {
  const folder = process.env.TRUNK_STAGING_DIR;
  if (!folder) throw new Error("Trunk runs this: use ./dev build.");
  const page = join(folder, "index.html");
  const { html, script } = moveInlineScript(readFileSync(page, "utf8"));
  refuseInline(html);
  writeFileSync(page, html);
  writeFileSync(join(folder, "start.js"), script);
  if (process.env.TRUNK_PROFILE === "release") {
    const name = listFiles(folder).find((one) => one.endsWith(".wasm"));
    const path = join(folder, name);
    optimise(path, "wasm-opt", "-O2");
    await shrinkScript(path, join(folder, name.replace(/_bg\.wasm$/, ".js")));
    ship(folder, name);
    // The module is asked for by start.js alone, which knows its right address.
    writeFileSync(page, html.replace(/<link rel="preload"[^>]*as="fetch"[^>]*>/, ""));
    for (const script of ["start.js", "scan.js"]) {
      await shrink(join(folder, script), undefined, { module: true });
    }
    for (const plain of ["recover.js", "unpack-worker.js"]) await shrink(join(folder, plain));
  }
  nameByContent(folder);
  await writeServiceWorker(folder);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  try {
    await main();
  } catch (error) {
    console.error(error.message);
    process.exit(1);
  }
}
