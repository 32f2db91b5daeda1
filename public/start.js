// Starts the app from its packed module: takes the place of Trunk's own start-up
// script in release builds.
//
// A phone that has the app stored has its module stored unpacked, by the service
// worker, and never does that work again.

/** The module as this build's own service worker keeps it, if one answers this page. */
async function stored() {
  // Below a sub-path, the one that answers may be another copy's.
  const worker = navigator.serviceWorker?.controller?.scriptURL;
  if (worker !== new URL("./sw.js", import.meta.url).href) return undefined;
  try {
    const response = await fetch("./benchtide_bg.wasm");
    const type = response.headers.get("content-type");
    return response.ok && type === "application/wasm" ? response : undefined;
  } catch {
    return undefined; // Not stored, and out of reach: the pack may yet be there.
  }
}

async function bytes(address) {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address}: ${response.status}`);
  return response.arrayBuffer();
}

async function unpacked() {
  const parts = ["./benchtide_bg.pack", "./unpack.wasm"].map(bytes);
  const [pack, unpacker] = await Promise.all(parts);
  const worker = new Worker("./unpack-worker.js");
  try {
    return await new Promise((done, broken) => {
      worker.onmessage = ({ data: { module, trouble } }) =>
        module ? done(module) : broken(new Error(trouble));
      worker.onerror = (event) =>
        broken(new Error(event.message || "The program could not be unpacked."));
      worker.postMessage({ pack, unpacker }, [pack, unpacker]);
    });
  } finally {
    worker.terminate();
  }
}

async function load() {
  return (await stored()) ?? unpacked();
}

const [bindings, module] = await Promise.all([import("./benchtide.js"), load()]);
const wasm = await bindings.default({ module_or_path: module });
window.wasmBindings = bindings;
dispatchEvent(new CustomEvent("TrunkApplicationStarted", { detail: { wasm } }));
