// Unpacks the shipped module: `squeeze/` packed it when the app was built.
//
// This file is used three times: by a worker of the page at the first visit, in the
// service worker when it stores a build (tools/finish-build.mjs puts it into sw.js),
// and by the build itself, which tries out what it ships.

/** The bytes that were packed into `pack`, by the unpacker; both are byte buffers. */
async function unpackModule(pack, unpacker) {
  const { instance } = await WebAssembly.instantiate(unpacker);
  const { memory, room, unpack } = instance.exports;
  const address = room(pack.byteLength);
  new Uint8Array(memory.buffer, address, pack.byteLength).set(new Uint8Array(pack));
  const outcome = unpack(address, pack.byteLength);
  if (!outcome) throw new Error("The packed program is damaged.");
  const [length, start] = new Uint32Array(memory.buffer, outcome, 2);
  return memory.buffer.slice(start, start + length);
}
