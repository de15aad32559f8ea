// Runs the program once more, without a window, for work that takes its time. It says "ready" itself.
//
// The page posts the address of the program's glue and the program as it compiled it: nothing is fetched or compiled a
// second time.
onmessage = async ({ data: [glue, module] }) => {
  try {
    const { default: start } = await import(glue);
    await start({ module_or_path: module });
  } catch (error) {
    postMessage(["failed", String(error?.message ?? error)]);
  }
};
