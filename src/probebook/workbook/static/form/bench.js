// @ts-check
// The bench in pictures: the appliance beside the meter, the supply, the controls, the log and the conclusion. It shows
// what it is told and presses acts; it knows no fault. Any host that gives a model and an element can show it.

import { makeControls } from "./bench-controls.js";
import { makeCompared, makeCurve } from "./bench-curve.js";
import { makeDrawing } from "./bench-drawing.js";
import { makeBanner, makeConclusion } from "./bench-end.js";
import { makeLists } from "./bench-lists.js";
import { makeLog, pictureAt, pictureNow } from "./bench-log.js";
import { makeMeter } from "./bench-meter.js";
import { makeProbes } from "./bench-probes.js";
import { kernelService } from "./bench-service.js";
import { makeSupply } from "./bench-supply.js";
import { make, write } from "./dom.js";

/** So long without an answer, in milliseconds, and the bench says so. */
const PATIENCE = 6000;

/**
 * Draw a bench into an element.
 * @param {{ model: import("./bench-types").BenchModel, el: HTMLElement }} given
 * @returns {() => void} what ends it
 */
function render({ model, el }) {
  let shown = makeBench(kernelService(model));
  el.append(shown.node);
  const redraw = () => {
    shown.end();
    const next = makeBench(kernelService(model));
    shown.node.replaceWith(next.node);
    shown = next;
  };
  model.on("change:view", redraw);
  return () => {
    model.off("change:view", redraw);
    shown.end();
  };
}

/** @param {import("./bench-types").Service} service */
function makeBench(service) {
  const view = service.view();
  const { words } = view;
  /** @type {number | null} */
  let back = null;
  let awaited = service.state().answers;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let patience;

  /** @type {import("./bench-types").Hands} */
  const hands = {
    can: (act) => service.state().job.acts.includes(act),
    act: (act) => ask(() => service.act(act)),
    conclude: (faults) => ask(() => service.conclude(faults)),
    restart: () => ask(() => service.restart()),
    look: (place) => {
      back = place === null || place >= service.state().log.length - 1 ? null : Math.max(0, place);
      show();
    },
  };

  /** @param {() => void} send */
  function ask(send) {
    if (back !== null) return;
    awaited = Math.max(awaited, service.state().answers) + 1;
    clearTimeout(patience);
    patience = setTimeout(() => {
      awaited = service.state().answers;
      show();
      write(said, words.slow ?? "");
    }, PATIENCE);
    show();
    send();
  }

  const read = (/** @type {string} */ a, /** @type {string} */ b) => hands.act(`probe ${a} ${b}`);
  const probes = makeProbes(read, () => show());
  const drawing = makeDrawing(view, hands, probes);
  const meter = makeMeter(view, hands, probes);
  for (const { which, handle } of meter.handles) drawing.drag(handle, which, () => probes.choose(which));
  const said = make("p", { class: "pb-said", role: "status" });
  const banner = makeBanner(view);
  const supply = makeSupply(view, hands);
  const controls = makeControls(view, hands);
  const conclusion = makeConclusion(view, hands);
  const log = makeLog(view, hands);
  const curve = makeCurve(service);
  const compared = makeCompared(view);
  const lists = makeLists(view, hands, (a, b) => {
    probes.adopt([a, b]);
    read(a, b);
  });
  const pieces = [banner, supply, controls, drawing, meter, conclusion, curve, compared, log, lists];
  const node = make(
    "section",
    { class: "pb-bench", lang: view.language, "aria-label": view.title, "data-lm-suppress-shortcuts": "true" },
    banner.node,
    make(
      "div",
      { class: "pb-desk" },
      make("div", { class: "pb-left" }, controls.node, drawing.node),
      make("div", { class: "pb-side" }, supply.node, meter.node, said),
    ),
    curve.node,
    conclusion.node,
    compared.node,
    log.node,
    lists.node,
  );

  function show() {
    const state = service.state();
    if (back !== null && back >= state.log.length - 1) back = null;
    const picture = back === null ? pictureNow(state) : pictureAt(state, back);
    const waits = state.answers < awaited;
    node.classList.toggle("pb-back", back !== null);
    node.classList.toggle("pb-waits", waits);
    for (const piece of pieces) piece.show({ state, picture, back, waits });
    const text = back === null ? state.said.text || state.status : (state.log[back]?.seen ?? "");
    if (!waits) write(said, text);
    said.classList.toggle("pb-no", state.said.tone === "no");
  }

  function onState() {
    const state = service.state();
    if (state.answers >= awaited) clearTimeout(patience);
    if (state.log.length === 0) probes.keep([]);
    else probes.keep(state.job.terminals);
    const placed = probes.at();
    if (placed.red === null && placed.black === null) probes.adopt(state.reading);
    show();
  }

  const unwatch = service.watch(onState);
  onState();
  return {
    node,
    end: () => {
      clearTimeout(patience);
      drawing.end();
      unwatch();
    },
  };
}

export default { render };
