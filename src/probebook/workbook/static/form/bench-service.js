// @ts-check
// Who takes acts and tells how the job stands. Here it is the kernel behind a model; the page knows no more of it than
// these few functions, so that a table of what would be read can stand in its place.

/**
 * @param {import("./bench-types").BenchModel} model
 * @returns {import("./bench-types").Service}
 */
export function kernelService(model) {
  return {
    view: () => model.get("view"),
    state: () => model.get("state"),
    curve: () => model.get("curve") ?? {},
    act: (act) => model.send({ press: "act", act }),
    conclude: (faults) => model.send({ press: "conclude", faults }),
    restart: () => model.send({ press: "restart" }),
    watch: (slot) => {
      model.on("change:state", slot);
      return () => model.off("change:state", slot);
    },
  };
}
