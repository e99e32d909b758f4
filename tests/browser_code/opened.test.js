// One open notebook, played by stand-ins: what is thrown away before anything runs, and when it runs again.
import assert from "node:assert/strict";
import { mock, test } from "node:test";
import { discardSaved, Opened } from "../../src/probebook/lab/labextensions/probebook-lab/static/opened.js";

const OPENING = 'from probebook.workbook import open_workbook; book = open_workbook("a")';

/**
 * A stand-in for a notebook's window; `log` tells in order what was done to it.
 * @param {string[]} sources of its code cells, after one of text
 * @param {Record<string, unknown>} metadata
 */
function play(sources, metadata = { probebook: { workbook: "a" }, widgets: { state: {} } }, language = "python") {
  /** @type {string[]} */
  const log = [];
  const looks = { toggleClass() {}, addClass() {}, removeClass() {}, hide() {}, hasClass: () => false };
  const node = { addEventListener() {}, prepend() {} };
  const cell = (/** @type {string} */ type, /** @type {string} */ source, /** @type {number} */ place) => ({
    ...looks,
    node,
    model: {
      type,
      sharedModel: { getSource: () => source },
      ...(type === "code" ? { outputs: { clear: () => log.push(`clear ${place}`) } } : {}),
    },
  });
  /** @type {((sender: unknown, status: string) => void)[]} */
  const slots = [];
  const kernel = {
    info: Promise.resolve({ language_info: { name: language } }),
    requestExecute: () => {
      log.push("guard");
      return { done: Promise.resolve() };
    },
  };
  const panel = {
    ...looks,
    node,
    isDisposed: false,
    toolbar: looks,
    revealed: Promise.resolve(),
    context: { ready: Promise.resolve(), model: { dirty: true } },
    content: {
      widgets: [cell("markdown", "Text", 0), ...sources.map((source, place) => cell("code", source, place + 1))],
      model: {
        cells: { changed: { connect() {} } },
        getMetadata: (/** @type {string} */ key) => metadata[key],
        deleteMetadata: (/** @type {string} */ key) => log.push(`delete ${key}`),
      },
    },
    sessionContext: {
      ready: Promise.resolve(),
      session: { kernel },
      statusChanged: { connect: (/** @type {any} */ slot) => slots.push(slot) },
    },
  };
  const host = {
    execute: async (/** @type {any} */ run) => {
      log.push(`run ${panel.content.widgets.indexOf(run)}`);
      return { content: { status: "ok" } };
    },
    onScheduled() {},
    printing: Symbol("printing"),
  };
  const given = { host, words: () => () => "", isServed: true, onDressed() {} };
  const opened = new Opened(/** @type {any} */ (panel), /** @type {any} */ (given));
  const status = (/** @type {string} */ name) => {
    for (const slot of slots) slot(null, name);
  };
  return { log, opened, panel, status };
}

/**
 * Tell an open notebook of states of its kernel, and let the time that it waits for be over.
 * @param {string[]} names
 * @param {(name: string) => void} tell
 * @param {() => void} meanwhile what happens before the time is over
 */
async function pass(names, tell, meanwhile = () => {}) {
  /** @type {(() => void)[]} */
  const waiting = [];
  const timeout = mock.method(globalThis, "setTimeout", (/** @type {() => void} */ then) => waiting.push(then));
  for (const name of names) tell(name);
  timeout.mock.restore();
  meanwhile();
  for (const then of waiting) then();
  await new Promise((then) => setTimeout(then, 1)); // whatever has been promised is kept by now
}

test("everything saved is thrown away before any cell runs", async () => {
  const { log, opened, panel } = play([OPENING, "book.progress()"]);
  await opened.begin();
  assert.deepEqual(log, ["guard", "clear 1", "clear 2", "delete widgets", "run 1", "run 2"]);
  assert.equal(panel.context.model.dirty, false);
});

test("throwing away leaves cells of text alone and needs no model", () => {
  const { log, panel } = play([OPENING]);
  discardSaved(/** @type {any} */ ({ ...panel.content, model: null }));
  assert.deepEqual(log, ["clear 1"]);
});

test("a notebook that is altered, of others, or without Python is left as it is", async () => {
  const cases = [
    play([OPENING, "print(1)"]),
    play([OPENING], {}),
    play([OPENING], { probebook: { workbook: "a" } }, "julia"),
  ];
  for (const { log, opened } of cases) {
    await opened.begin();
    assert.deepEqual(log, []);
  }
});

for (const status of ["restarting", "autorestarting"]) {
  test(`after ${status} the lines run again, once`, async () => {
    const { log, opened, status: tell } = play([OPENING]);
    await opened.begin();
    log.length = 0;
    await pass([status, "starting", "idle", "busy", "idle"], tell);
    assert.deepEqual(log, ["guard", "clear 1", "delete widgets", "run 1"]);
  });
}

test("an idle kernel is no new one, and one whose cells the user runs is left to the user", async () => {
  const { log, opened, status: tell } = play([OPENING]);
  await opened.begin();
  log.length = 0;
  await pass(["busy", "idle"], tell);
  await pass(["restarting", "idle"], tell, () => opened.onScheduled());
  assert.deepEqual(log, []);
});
