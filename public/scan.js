// The helper of `src/device/scan.rs`: the app's own module once more, away from the
// page. The page sends it compiled; without a page it serves scans.

import init from "./benchtide.js";

// A trap in a promise would otherwise go unheard.
addEventListener("unhandledrejection", () => postMessage(false));
onmessage = ({ data }) => {
  onmessage = null;
  init({ module_or_path: data }).catch(() => postMessage(false));
};
