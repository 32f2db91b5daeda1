// Unpacks the module beside the page, so that the page stays alive meanwhile. The
// build puts unpack.js in front of this.

self.onmessage = async ({ data: { pack, unpacker } }) => {
  try {
    const module = await unpackModule(pack, unpacker);
    self.postMessage({ module }, [module]);
  } catch (error) {
    self.postMessage({ trouble: String(error?.message || error) });
  }
};
