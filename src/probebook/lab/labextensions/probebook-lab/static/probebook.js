// Probebook in JupyterLab: a workbook runs when it is opened and looks like a workbook, not like code.
//
// JupyterLab loads this file as a federated extension. There is nothing to compile: the container at the end takes
// JupyterLab's own modules from the shared scope.
//
// Opening a notebook must never run a stranger's code. A notebook runs by itself only when it lies in the folder that
// is served, carries our mark in its metadata, and every code cell in it is one of the lines Probebook writes. The
// kernel then stops looking for modules beside the notebook, so that a stray probebook.py there is not imported.

(() => {
  "use strict";

  const NAME = "probebook-lab";

  // Any other line, down to a space, means that the notebook is not run.
  const NAMED = /^[A-Za-z0-9][A-Za-z0-9 ._-]*$/;
  const FIRST = /^from probebook\.workbook import open_workbook; book = open_workbook\("([^"\\\r\n]*)"\)$/;
  const OTHERS = /^book\.(?:ask\("[a-z0-9-]+"\)|(?:progress|practice)\(\))$/;

  const GUARD = "import sys; sys.path[:] = [place for place in sys.path if place]";

  /**
   * Judge a notebook as plain data.
   * @param {unknown} mark metadata.probebook of the notebook
   * @param {string[]} lines the source of each code cell, in order
   * @returns {"other"|"ours"|"altered"} somebody else's; safe to run; ours once, but with other code in it
   */
  function judge(mark, lines) {
    const name = mark !== null && typeof mark === "object" ? mark.workbook : undefined;
    if (typeof name !== "string") return "other";
    const first = FIRST.exec(lines[0] ?? "");
    const isOurs =
      NAMED.test(name) && first !== null && first[1] === name && lines.slice(1).every((line) => OTHERS.test(line));
    return isOurs ? "ours" : "altered";
  }

  const isLine = (text) => FIRST.test(text) || OTHERS.test(text);

  /** In a form the keys are the form's: on a button or a tick box, too, no letter may cut cells or add them. */
  function keepKeys(node) {
    if (node.closest(".pb-line .jp-Cell-outputWrapper") !== null) {
      node.setAttribute("data-lm-suppress-shortcuts", "true");
    }
  }

  /** Everything known of one open notebook. */
  class Opened {
    constructor(panel, isServed, CodeCell, onDressed) {
      this.panel = panel;
      this.isServed = isServed;
      this.CodeCell = CodeCell;
      this.onDressed = onDressed;
      this.isRunning = false;
      this.note = null;
      this.hasDied = false;
    }

    sources() {
      return this.panel.content.widgets.map((cell) => cell.model.sharedModel.getSource());
    }

    codeCells() {
      return this.panel.content.widgets.filter((cell) => cell.model.type === "code");
    }

    judge() {
      const model = this.panel.content.model;
      const lines = this.codeCells().map((cell) => cell.model.sharedModel.getSource());
      return model === null ? "other" : judge(model.getMetadata("probebook"), lines);
    }

    async begin() {
      await this.panel.context.ready;
      await this.panel.revealed;
      const verdict = this.judge();
      if (verdict === "other") return;
      this.dress();
      this.onDressed();
      this.panel.node.addEventListener("keydown", () => this.panel.addClass("pb-keys"), { once: true });
      this.panel.node.addEventListener("focusin", (event) => keepKeys(event.target));
      this.panel.content.model.cells.changed.connect(() => requestAnimationFrame(() => this.dress()));
      if (!this.isServed) return;
      if (verdict === "altered") {
        this.say(
          0,
          "This notebook was not started by itself: it holds code that Probebook did not write. " +
            "Read the code, and choose Run → Run All Cells if you trust it.",
        );
        return;
      }
      await this.run();
      this.panel.sessionContext.statusChanged.connect((_, status) => this.onStatus(status));
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

    async run() {
      const { content, context, sessionContext } = this.panel;
      if (this.isRunning) return;
      this.isRunning = true;
      const open = content.widgets.indexOf(this.codeCells()[0]);
      this.panel.addClass("pb-starting");
      this.say(open, "Getting the questions ready …");
      let failure = "";
      try {
        await sessionContext.ready;
        const kernel = sessionContext.session?.kernel;
        const info = await kernel?.info;
        const before = this.sources();
        if (info?.language_info.name !== "python") {
          failure = "The questions need a Python kernel. Choose one in the menu Kernel, then Run → Run All Cells.";
        } else {
          await kernel.requestExecute({ code: GUARD, silent: true, store_history: false }).done;
          if (this.judge() !== "ours") return;
          if (!(await this.runLines(sessionContext))) {
            failure = "The questions did not start; the message below says why. Then choose Run → Run All Cells.";
          }
        }
        // What the run put into the notebook is nothing to save; what the learner wrote is.
        const after = this.sources();
        const isUntouched = after.length === before.length && after.every((text, place) => text === before[place]);
        if (isUntouched && !this.panel.isDisposed) context.model.dirty = false;
      } catch (error) {
        console.error("probebook:", error);
        failure = "The questions did not start. Choose Kernel → Restart Kernel and Run All Cells.";
      } finally {
        this.isRunning = false;
        if (!this.panel.isDisposed) {
          this.panel.removeClass("pb-starting");
          this.say(open, failure);
          this.dress();
        }
      }
    }

    /** Run the lines in order, as far as they succeed; unlike Run All this moves neither the page nor the focus. */
    async runLines(sessionContext) {
      for (const cell of this.codeCells()) {
        cell.model.trusted = true;
        const reply = await this.CodeCell.execute(cell, sessionContext);
        if (reply?.content.status !== "ok") return false;
      }
      return true;
    }

    /** A kernel that died has started again with nothing in it: bring the forms and the answers back. */
    onStatus(status) {
      if (status === "autorestarting") this.hasDied = true;
      if (status === "idle" && this.hasDied) {
        this.hasDied = false;
        if (this.judge() === "ours") void this.run();
      }
    }

    /** Say something above a cell; an empty text takes it away. */
    say(place, text) {
      this.note?.remove();
      this.note = null;
      const cell = this.panel.content.widgets[place];
      if (!text || cell === undefined) return;
      this.note = document.createElement("p");
      this.note.className = "pb-note-above";
      this.note.setAttribute("role", "status");
      this.note.textContent = text;
      cell.node.prepend(this.note);
    }
  }

  /** Printing shows the notebook alone, as it stands, with what was typed; nothing is fetched or converted. */
  function preparePrint(panel) {
    const path = [];
    for (let node = panel.content.node; node !== null; node = node.parentElement) path.push(node);
    for (const node of path) node.classList.add("pb-print-path");
    return () => path.forEach((node) => node.classList.remove("pb-print-path"));
  }

  function* within(widget) {
    for (const child of widget.children()) {
      yield child;
      yield* within(child);
    }
  }

  function activate(app, tracker, modules) {
    const { CodeCell } = modules.cells;
    const { Printing } = modules.apputils;
    let undo = () => {};
    window.addEventListener("beforeprint", () => {
      undo();
      const panel = tracker.currentWidget;
      undo = panel?.hasClass("pb-workbook") && panel.isVisible ? preparePrint(panel) : () => {};
    });
    window.addEventListener("afterprint", () => {
      undo();
      undo = () => {};
    });

    // A workbook alone in its window needs no side bars. They are taken out by the style sheet, so that the layout that
    // JupyterLab remembers for the user stays as it is; what holds them has only to be measured anew.
    const showFront = () => {
      const front = app.shell.currentWidget;
      const isFront = front !== null && tracker.has(front) && front.hasClass("pb-workbook");
      document.body.classList.toggle("pb-front", isFront);
      for (const widget of within(app.shell)) if (widget.hasClass("jp-SideBar")) widget.parent?.fit();
    };
    app.shell.currentChanged?.connect(showFront);
    app.shell.modeChanged?.connect(showFront);

    const attend = (panel) => {
      const drive = app.serviceManager.contents.driveName(panel.context.path);
      const opened = new Opened(panel, drive === "" || drive === "RTC", CodeCell, showFront);
      const printAsEver = panel[Printing.symbol]?.bind(panel);
      panel[Printing.symbol] = () =>
        panel.hasClass("pb-workbook") ? async () => window.print() : (printAsEver?.() ?? null);
      opened.begin().catch((error) => console.error("probebook:", error));
    };
    tracker.widgetAdded.connect((_, panel) => attend(panel));
    tracker.forEach(attend);
  }

  /** Load the looks beside this file and wait for them, so that nothing is seen undressed. */
  function loadStyle(address) {
    return new Promise((resolve) => {
      const link = document.createElement("link");
      link.rel = "stylesheet";
      link.href = address;
      link.onload = link.onerror = () => resolve();
      document.head.append(link);
    });
  }

  const script = document.currentScript?.src;
  let scope = {};

  /** One of JupyterLab's own modules: the version that is loaded, else any. */
  async function shared(name) {
    const versions = Object.values(scope[name] ?? {});
    const chosen = versions.find((version) => version.loaded) ?? versions[0];
    if (chosen === undefined) throw new Error(`${name} is not shared by this front end`);
    return (await chosen.get())();
  }

  const container = {
    init: (shareScope) => {
      scope = shareScope;
    },
    get: async (name) => {
      if (name !== "./extension") throw new Error(`${NAME} has no module ${name}`);
      const [notebook, cells, apputils] = await Promise.all([
        shared("@jupyterlab/notebook"),
        shared("@jupyterlab/cells"),
        shared("@jupyterlab/apputils"),
        script ? loadStyle(script.replace("probebook.js", "style.css")) : undefined,
      ]);
      const plugin = {
        id: `${NAME}:workbooks`,
        description: "Runs Probebook's workbooks as they are opened.",
        autoStart: true,
        requires: [notebook.INotebookTracker],
        activate: (app, tracker) => activate(app, tracker, { cells, apputils }),
      };
      return () => ({ __esModule: true, default: plugin, judge });
    },
  };
  (window._JUPYTERLAB ??= {})[NAME] = container;
})();
