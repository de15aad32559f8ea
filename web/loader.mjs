// What trunk's start-up script tells while it fetches and starts the viewer.

const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

/** Whether `reason` is winit's way of leaving a function for good while the program goes on. */
const isOnlyControlFlow = (reason) => String(reason?.message ?? reason).startsWith("Using exceptions for control flow");

export default function loader() {
  const state = document.documentElement.dataset;
  const says = document.getElementById("loader-says");
  const bar = document.getElementById("loader-bar");
  return {
    onStart() {
      // Spares a phone megabytes it has no use for. The message is on the screen already.
      if (keelsteadShell.lacking) throw new Error(keelsteadShell.lacking);
    },
    /** In bytes after decompression. */
    onProgress({ current: received, total }) {
      if (state.keelstead !== "loading") return;
      const current = Math.min(received, total);
      bar.max = total;
      bar.value = current;
      says.textContent = `Loading: ${megabytes(current)} of ${megabytes(total)} MB`;
      if (current < total) return;
      state.keelstead = "starting";
      says.textContent = "Starting…";
      bar.removeAttribute("value"); // how long this takes is not known
    },
    onFailure(reason) {
      if (!isOnlyControlFlow(reason)) keelsteadShell.failed(reason);
    },
  };
}
