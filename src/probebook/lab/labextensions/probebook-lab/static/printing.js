// @ts-check
// Printing shows the notebook alone, as it stands, with what was typed; nothing is fetched or converted.

/** @typedef {import("./host").Panel} Panel */

/**
 * Mark the way down to the notebook for the style sheet.
 * @param {Panel} panel
 * @returns {() => void} takes the marks away
 */
function prepare(panel) {
  /** @type {Element[]} */
  const path = [];
  for (let node = /** @type {Element|null} */ (panel.content.node); node !== null; node = node.parentElement) {
    path.push(node);
  }
  for (const node of path) node.classList.add("pb-print-path");
  return () => {
    for (const node of path) node.classList.remove("pb-print-path");
  };
}

/**
 * However a print is asked for, print the workbook in front.
 * @param {import("./host").Tracker} tracker
 */
export function preparePrints(tracker) {
  let undo = () => {};
  window.addEventListener("beforeprint", () => {
    undo();
    const panel = tracker.currentWidget;
    undo = panel?.hasClass("pb-workbook") && panel.isVisible ? prepare(panel) : () => {};
  });
  window.addEventListener("afterprint", () => {
    undo();
    undo = () => {};
  });
}

/**
 * JupyterLab's own command prints a workbook as the browser does; every other notebook as ever.
 * @param {Panel} panel
 * @param {symbol} printing the name under which a window says how it prints
 */
export function printAsSeen(panel, printing) {
  const asEver = panel[printing]?.bind(panel);
  panel[printing] = () => (panel.hasClass("pb-workbook") ? async () => window.print() : (asEver?.() ?? null));
}
