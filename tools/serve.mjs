// A small static server on the loopback address: for trying the app out, and
// for the tests. It does what any static host does and nothing more.
//
//   node tools/serve.mjs [folder] [--port N] [--path /sub/]

import { createServer } from "node:http";
import { readFile, stat } from "node:fs/promises";
import { extname, join, resolve, sep } from "node:path";
import { fileURLToPath } from "node:url";

const TYPES = {
  ".css": "text/css; charset=utf-8",
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".txt": "text/plain; charset=utf-8",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
};

/** "/some/sub" -> "/some/sub/"; "" -> "/". */
export function normalBase(base = "/") {
  return `/${base}/`.replace(/\/+/g, "/");
}

/**
 * Serves `dir` below the path `base`; port 0 takes any free one.
 * `intercept(path, response)` may answer a request itself by returning true
 * (tests use it to break one file); `path` is relative to the base.
 * Returns { url, origin, port, requests, close }: `requests` lists the paths
 * asked for, `close` also cuts the connections that are open.
 */
export async function startServer({ dir, base = "/", port = 0, intercept = () => false }) {
  const root = resolve(dir);
  const prefix = normalBase(base);
  const requests = [];

  const server = createServer(async (request, response) => {
    const fail = (status, text) => {
      response.writeHead(status, { "content-type": "text/plain; charset=utf-8" });
      response.end(`${text}\n`);
    };
    try {
      if (request.method !== "GET" && request.method !== "HEAD") {
        return fail(405, "Only GET and HEAD are answered here.");
      }
      const url = new URL(request.url, "http://localhost");
      const path = decodeURIComponent(url.pathname);
      requests.push(path);
      if (`${path}/` === prefix) {
        response.writeHead(308, { location: prefix });
        return response.end();
      }
      if (!path.startsWith(prefix)) return fail(404, "Nothing is here.");
      const inside = path.slice(prefix.length);
      if (await intercept(inside, response)) return;
      const file = resolve(join(root, inside.replace(/(^|\/)$/, "$1index.html")));
      if (file !== root && !file.startsWith(root + sep)) return fail(404, "Nothing is here.");
      const found = await stat(file).catch(() => undefined);
      if (!found?.isFile()) return fail(404, "Nothing is here.");
      const body = await readFile(file);
      response.writeHead(200, {
        "content-type": TYPES[extname(file)] ?? "application/octet-stream",
        "content-length": body.length,
        // Nothing may come from the browser's own cache: what works offline
        // here works by the service worker alone.
        "cache-control": "no-store",
        "x-content-type-options": "nosniff",
      });
      response.end(request.method === "HEAD" ? undefined : body);
    } catch (error) {
      if (response.headersSent) response.destroy(error);
      else fail(400, "That address can't be read.");
    }
  });

  await new Promise((done, broken) => {
    server.once("error", broken);
    server.listen(port, "127.0.0.1", done);
  });
  const origin = `http://127.0.0.1:${server.address().port}`;
  return {
    origin,
    url: origin + prefix,
    port: server.address().port,
    requests,
    close: () =>
      new Promise((done) => {
        server.close(done);
        server.closeAllConnections();
      }),
  };
}

async function main(words) {
  const options = { dir: "dist", port: 8417, base: "/" };
  while (words.length > 0) {
    const word = words.shift();
    if (word === "--port") options.port = Number(words.shift());
    else if (word === "--path") options.base = words.shift() ?? "/";
    else options.dir = word;
  }
  if (!Number.isInteger(options.port) || options.port < 0 || options.port > 65535) {
    throw new Error("--port takes a whole number from 0 to 65535.");
  }
  const server = await startServer(options);
  console.log(`
Benchtide is open at  ${server.url}   (Ctrl-C stops it)

To put it on a phone:
  1. Copy everything in ${options.dir}/ to any static host that serves HTTPS; a sub-path is fine.
  2. Open its address on the phone, once, with the network on.
  3. In the browser's menu choose "Add to home screen". From then on it needs no network.`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  main(process.argv.slice(2)).catch((error) => {
    const taken = error.code === "EADDRINUSE";
    console.error(taken ? "That port is taken: choose another with --port." : error.message);
    process.exit(1);
  });
}
