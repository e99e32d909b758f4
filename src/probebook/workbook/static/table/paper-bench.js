// @ts-check
// The bench of a paper: it runs from its table in the page, and the kernel keeps what was done. What was done stays
// done; a conclusion alone can be taken back.

import bench from "../form/bench.js";
import { TableBench } from "./table-bench.js";
import { isOver } from "./table-standing.js";

/** @typedef {import("./table-types").BenchTable} BenchTable */
/** @typedef {{ view: unknown, table: BenchTable, acts: readonly string[], over: boolean }} Traits */

/**
 * Draw a bench into an element.
 * @param {{ model: import("../form/model").Model<Traits>, el: HTMLElement }} given
 * @returns {() => void} what ends it
 */
function render({ model, el }) {
  const job = new TableBench(model.get("table"), model.get("view"), { stays: true });
  const tell = () => {
    model.set("acts", [...job.acts]);
    model.set("over", isOver(job.stand));
    model.save_changes();
  };
  const follow = () => {
    const acts = model.get("acts");
    if (acts.length === job.acts.length && acts.every((act, at) => act === job.acts[at])) return;
    job.set(acts);
  };
  job.set(model.get("acts"));
  job.told = tell;
  if (isOver(job.stand) !== model.get("over")) tell();
  model.on("change:acts", follow);
  const end = bench.render({ model: job.model, el });
  return () => {
    model.off("change:acts", follow);
    end();
  };
}

export default { render };
