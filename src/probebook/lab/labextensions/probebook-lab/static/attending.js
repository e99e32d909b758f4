// @ts-check
// From the start of JupyterLab to its end: attends to every notebook that is opened.

import { showFront } from "./looks.js";
import { Opened } from "./opened.js";
import { preparePrints, printAsSeen } from "./printing.js";

/**
 * @param {import("./host").App} app
 * @param {import("./host").Tracker} tracker
 * @param {import("./host").Host} host
 * @param {(language: unknown) => import("./says.js").Words} words
 */
export function attend(app, tracker, host, words) {
  const show = () => showFront(app, tracker);
  app.shell.currentChanged?.connect(show);
  app.shell.modeChanged?.connect(show);
  preparePrints(tracker);

  /** @type {WeakMap<import("./host").Notebook, Opened>} */
  const all = new WeakMap();
  host.onScheduled((_, { notebook }) => all.get(notebook)?.onScheduled());

  /** @param {import("./host").Panel} panel */
  const begin = (panel) => {
    const drive = app.serviceManager.contents.driveName(panel.context.path);
    const opened = new Opened(panel, { host, words, isServed: drive === "" || drive === "RTC", onDressed: show });
    all.set(panel.content, opened);
    printAsSeen(panel, host.printing);
    opened.begin().catch((error) => console.error("probebook:", error));
  };
  tracker.widgetAdded.connect((_, panel) => begin(panel));
  tracker.forEach(begin);
}
