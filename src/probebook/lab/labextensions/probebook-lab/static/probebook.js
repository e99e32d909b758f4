// @ts-check
// Probebook in JupyterLab: a workbook runs when it is opened and looks like a workbook, not like code.
//
// JupyterLab loads this file as a federated extension, as a plain script. There is nothing to compile: the container
// below takes JupyterLab's own modules from the shared scope and loads the modules beside this file, and it is the one
// place that knows how that is done. What it hands on is described in host.d.ts.

(() => {
  const NAME = "probebook-lab";

  /** @type {import("./host").ShareScope} */
  let scope = {};

  /**
   * One of JupyterLab's own modules: the version that is loaded, else any.
   * @param {string} name of the package
   * @returns {Promise<any>}
   */
  async function shared(name) {
    const versions = Object.values(scope[name] ?? {});
    const chosen = versions.find((version) => version.loaded) ?? versions[0];
    if (chosen === undefined) throw new Error(`${name} is not shared by this front end`);
    return (await chosen.get())();
  }

  /** The plugin that is told of the notebooks opened. */
  async function plugin() {
    const [notebook, cells, apputils, { attend }, { loadStyle }, { loadWords }] = await Promise.all([
      shared("@jupyterlab/notebook"),
      shared("@jupyterlab/cells"),
      shared("@jupyterlab/apputils"),
      import("./attending.js"),
      import("./looks.js"),
      import("./says.js"),
    ]);
    const [words] = await Promise.all([loadWords(), loadStyle()]);
    /** @type {import("./host").Host} */
    const host = {
      execute: (cell, session) => cells.CodeCell.execute(cell, session),
      onScheduled: (slot) => notebook.NotebookActions.executionScheduled?.connect(slot),
      printing: apputils.Printing.symbol,
    };
    return {
      id: `${NAME}:workbooks`,
      description: "Runs Probebook's workbooks as they are opened.",
      autoStart: true,
      requires: [notebook.INotebookTracker],
      /** @type {(app: import("./host").App, tracker: import("./host").Tracker) => void} */
      activate: (app, tracker) => attend(app, tracker, host, words),
    };
  }

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB[NAME] = {
    init: (shareScope) => {
      scope = shareScope;
    },
    get: async (name) => {
      if (name !== "./extension") throw new Error(`${NAME} has no module ${name}`);
      const made = await plugin();
      return () => ({ __esModule: true, default: made });
    },
  };
})();
