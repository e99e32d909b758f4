// @ts-check
// One open notebook: it is judged, dressed, run and, when its kernel begins anew, run again.
//
// A notebook runs by itself only when it lies in the folder that is served, carries our mark in its metadata, and every
// code cell in it is one of the lines Probebook writes. What was saved with it is then thrown away before anything of it
// is trusted, and the kernel stops looking for modules beside the notebook.

import { held } from "./data.js";
import { isLine, judge } from "./judge.js";

/** @typedef {import("./host").Cell} Cell */
/** @typedef {import("./host").Notebook} Notebook */
/** @typedef {import("./host").Panel} Panel */

const GUARD = "import sys; sys.path[:] = [place for place in sys.path if place]";

/** How long a restarted kernel may wait for somebody else to run the cells, in milliseconds. */
const GRACE = 500;

/**
 * Throw away what was saved with a notebook beside its sources: outputs and the state of widgets may hold a script of
 * anybody's, and running a cell makes JupyterLab trust what is in it.
 * @param {Notebook} notebook
 */
export function discardSaved(notebook) {
  for (const cell of notebook.widgets) cell.model.outputs?.clear();
  notebook.model?.deleteMetadata("widgets");
}

/**
 * In a form the keys are the form's: on a button or a tick box, too, no letter may cut cells or add them.
 * @param {EventTarget | null} node
 */
function keepKeys(node) {
  if (node instanceof Element && node.closest(".pb-line .jp-Cell-outputWrapper") !== null) {
    node.setAttribute("data-lm-suppress-shortcuts", "true");
  }
}

/** Everything known of one open notebook. */
export class Opened {
  isRunning = false;
  /** Whether the kernel has started again with nothing in it. */
  isEmpty = false;
  /** @type {HTMLElement | null} */
  note = null;

  /**
   * @param {Panel} panel
   * @param {object} given
   * @param {import("./host").Host} given.host
   * @param {(language: unknown) => import("./says.js").Words} given.words
   * @param {boolean} given.isServed whether the notebook lies in the folder that is served
   * @param {() => void} given.onDressed
   */
  constructor(panel, { host, words, isServed, onDressed }) {
    this.panel = panel;
    this.host = host;
    this.words = words;
    this.isServed = isServed;
    this.onDressed = onDressed;
  }

  codeCells() {
    return this.panel.content.widgets.filter((cell) => cell.model.type === "code");
  }

  sources() {
    return this.panel.content.widgets.map((cell) => cell.model.sharedModel.getSource());
  }

  judge() {
    const model = this.panel.content.model;
    const lines = this.codeCells().map((cell) => cell.model.sharedModel.getSource());
    return model === null ? "other" : judge(model.getMetadata("probebook"), lines);
  }

  async begin() {
    const { content, context, node, revealed, sessionContext } = this.panel;
    await context.ready;
    await revealed;
    const verdict = this.judge();
    if (verdict === "other") return;
    this.dress();
    this.onDressed();
    node.addEventListener("keydown", () => this.panel.addClass("pb-keys"), { once: true });
    node.addEventListener("focusin", (event) => keepKeys(event.target));
    content.model?.cells.changed.connect(() => requestAnimationFrame(() => this.dress()));
    if (!this.isServed) return;
    if (verdict === "altered") {
      this.say(0, "altered");
      return;
    }
    sessionContext.statusChanged.connect((_, status) => this.onStatus(status));
    await this.run();
  }

  /** Give the notebook its looks; code that is not ours keeps everything JupyterLab shows of it. */
  dress() {
    if (this.panel.isDisposed) return;
    this.panel.addClass("pb-workbook");
    this.panel.toolbar.hide();
    for (const cell of this.panel.content.widgets) {
      const isOurs = cell.model.type === "code" && isLine(cell.model.sharedModel.getSource());
      cell.toggleClass("pb-line", isOurs);
    }
  }

  /** Run the notebook and say how that goes. */
  async run() {
    const { content, context } = this.panel;
    const first = this.codeCells()[0];
    if (this.isRunning || first === undefined) return;
    this.isRunning = true;
    const place = content.widgets.indexOf(first);
    this.panel.addClass("pb-starting");
    this.say(place, "starting");
    /** @type {import("./says.js").Saying | null} */
    let failure = null;
    try {
      const before = this.sources();
      failure = await this.runLines();
      // What the run put into the notebook is nothing to save; what the learner wrote is.
      const after = this.sources();
      const isUntouched = after.length === before.length && after.every((text, place) => text === before[place]);
      if (isUntouched && !this.panel.isDisposed) context.model.dirty = false;
    } catch (error) {
      console.error("probebook:", error);
      failure = "not-started";
    } finally {
      this.isRunning = false;
      if (!this.panel.isDisposed) {
        this.panel.removeClass("pb-starting");
        this.say(place, failure);
        this.dress();
        if (this.isEmpty) this.refillSoon();
      }
    }
  }

  /**
   * Run the lines in order, as far as they succeed; unlike Run All this moves neither the page nor the focus.
   * @returns {Promise<import("./says.js").Saying | null>} what to say of it
   */
  async runLines() {
    const { content, sessionContext } = this.panel;
    await sessionContext.ready;
    const kernel = sessionContext.session?.kernel;
    const info = await kernel?.info;
    if (!kernel || info?.language_info.name !== "python") return "other-kernel";
    await kernel.requestExecute({ code: GUARD, silent: true, store_history: false }).done;
    if (this.judge() !== "ours") return null;
    discardSaved(content);
    for (const cell of this.codeCells()) {
      const reply = await this.host.execute(cell, sessionContext);
      if (reply?.content.status !== "ok") return "a-line-failed";
    }
    return null;
  }

  /**
   * A kernel that was restarted, or that died and came back, has nothing in it: bring the forms and the answers back.
   * @param {string} status of the kernel
   */
  onStatus(status) {
    if (status === "restarting" || status === "autorestarting") this.isEmpty = true;
    if (status === "idle" && this.isEmpty) this.refillSoon();
  }

  /** The user has a cell run: the kernel is theirs, and what it holds is what they ask of it. */
  onScheduled() {
    this.isEmpty = false;
  }

  /** Run the lines again, unless the user has just asked for the same ("Restart Kernel and Run All Cells"). */
  refillSoon() {
    setTimeout(() => {
      if (!this.isEmpty || this.isRunning || this.panel.isDisposed) return;
      this.isEmpty = false;
      if (this.judge() === "ours") void this.run();
    }, GRACE);
  }

  /**
   * Say something above a cell; nothing takes it away.
   * @param {number} place of the cell
   * @param {import("./says.js").Saying | null} saying
   */
  say(place, saying) {
    this.note?.remove();
    this.note = null;
    const cell = this.panel.content.widgets[place];
    const language = held(this.panel.content.model?.getMetadata("probebook"), "language");
    const text = saying && this.words(language)(saying);
    if (!text || cell === undefined) return;
    this.note = document.createElement("p");
    this.note.className = "pb-note-above";
    this.note.setAttribute("role", "status");
    this.note.textContent = text;
    cell.node.prepend(this.note);
  }
}
