// Pieces of the bench in a stand-in for a browser: where probes go, how the log is laid over, what a drawing may hold.
import assert from "node:assert/strict";
import { test } from "node:test";
import { JSDOM } from "jsdom";
import { pictureAt } from "../../src/probebook/workbook/static/form/bench-log.js";
import { makeProbes } from "../../src/probebook/workbook/static/form/bench-probes.js";
import { kernelService } from "../../src/probebook/workbook/static/form/bench-service.js";
import { drawingOf } from "../../src/probebook/workbook/static/form/bench-svg.js";

/** Probes, and the pairs that were read. */
function held() {
  /** @type {string[]} */
  const read = [];
  return {
    read,
    probes: makeProbes(
      (a, b) => read.push(`${a} ${b}`),
      () => {},
    ),
  };
}

test("the free probe goes first to red, then to black, and a reading is taken once both stand", () => {
  const { read, probes } = held();
  probes.place("E2.1");
  assert.deepEqual(probes.at(), { red: "E2.1", black: null });
  assert.deepEqual(read, []);
  probes.place("E2.2");
  assert.deepEqual(read, ["E2.1 E2.2"]);
});

test("a new pair takes no reading before it is whole, even where it begins on a terminal of the last", () => {
  const { read, probes } = held();
  for (const terminal of ["A", "B", "B", "C"]) probes.place(terminal);
  assert.deepEqual(read, ["A B", "B C"]);
});

test("a probe that is chosen or named moves alone", () => {
  const { read, probes } = held();
  probes.place("A");
  probes.place("B");
  probes.choose("black");
  probes.place("C");
  probes.place("D", "red");
  assert.deepEqual(read, ["A B", "A C", "D C"]);
});

test("a terminal that holds the only probe lets it go; one under a cover lets go of any", () => {
  const { probes } = held();
  probes.place("A");
  probes.place("A");
  assert.deepEqual(probes.at(), { red: null, black: null });
  probes.place("A");
  probes.place("B");
  probes.keep(["B"]);
  assert.deepEqual(probes.at(), { red: null, black: "B" });
});

test("pictures of the log are laid over one another, and taken apart by no later step", () => {
  const log = [
    { act: "", seen: "", picture: { isolated: true, minutes: 2 } },
    { act: "", seen: "", picture: { minutes: 3, display: "OL" } },
    { act: "", seen: "", picture: { display: "" } },
  ];
  const state = /** @type {any} */ ({ log });
  assert.equal(pictureAt(state, 1).display, "OL");
  assert.equal(pictureAt(state, 0).display, "");
  assert.deepEqual([pictureAt(state, 2).minutes, pictureAt(state, 2).isolated], [3, true]);
});

test("a drawing takes over what drawings are made of, and nothing that acts or fetches", () => {
  const { window } = new JSDOM("");
  Object.assign(globalThis, { document: window.document, DOMParser: window.DOMParser });
  const svg = drawingOf(
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" onload="x()"><script>x()</script><image href="x"/>' +
      '<g class="wire" data-wire="W1" id="w" onclick="x()" style="fill:url(x)"><path d="M0 0" fill="red"/></g></svg>',
  );
  assert.equal(
    svg.outerHTML,
    '<svg viewBox="0 0 9 9"><g class="wire" data-wire="W1">' + '<path d="M0 0" fill="red"></path></g></svg>',
  );
});

test("the kernel's service presses acts and listens to the state until it is told not to", () => {
  /** @type {unknown[]} */
  const done = [];
  const model = /** @type {any} */ ({
    get: (/** @type {string} */ name) => name,
    send: (/** @type {unknown} */ content) => done.push(content),
    on: (/** @type {string} */ name) => done.push(`on ${name}`),
    off: (/** @type {string} */ name) => done.push(`off ${name}`),
  });
  const service = kernelService(model);
  service.watch(() => {})();
  service.act("isolate");
  service.conclude([2]);
  service.restart();
  assert.deepEqual(done, [
    "on change:state",
    "off change:state",
    { press: "act", act: "isolate" },
    { press: "conclude", faults: [2] },
    { press: "restart" },
  ]);
});
