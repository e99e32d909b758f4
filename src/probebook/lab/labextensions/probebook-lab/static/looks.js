// @ts-check
// The looks of a workbook are all in style.css; here they are put on and taken off.

/** Load the style sheet beside this file and wait for it, so that nothing is seen undressed. */
export function loadStyle() {
  return /** @type {Promise<void>} */ (
    new Promise((resolve) => {
      const link = document.createElement("link");
      link.rel = "stylesheet";
      link.href = new URL("style.css", import.meta.url).href;
      link.onload = () => resolve();
      link.onerror = () => resolve();
      document.head.append(link);
    })
  );
}

/**
 * @param {import("./host").Widget} widget
 * @returns {Generator<import("./host").Widget>}
 */
function* within(widget) {
  for (const child of widget.children()) {
    yield child;
    yield* within(child);
  }
}

/**
 * A workbook alone in its window needs no side bars. They are taken out by the style sheet, so that the layout that
 * JupyterLab remembers for the user stays as it is; what holds them has only to be measured anew.
 * @param {import("./host").App} app
 * @param {import("./host").Tracker} tracker
 */
export function showFront(app, tracker) {
  const front = app.shell.currentWidget;
  const isFront = front !== null && tracker.has(front) && front.hasClass("pb-workbook");
  document.body.classList.toggle("pb-front", isFront);
  for (const widget of within(app.shell)) if (widget.hasClass("jp-SideBar")) widget.parent?.fit?.();
}
