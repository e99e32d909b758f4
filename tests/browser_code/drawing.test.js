// Reading a drawing in a stand-in for a browser: what is marked, what is told, where it is folded.
import assert from "node:assert/strict";
import { test } from "node:test";
import { JSDOM } from "jsdom";
import { drawingOf } from "../../src/probebook/workbook/static/form/bench-svg.js";
import { makeReader, toldOf } from "../../src/probebook/workbook/static/form/drawing.js";
import { foldedText } from "../../src/probebook/workbook/static/form/drawing-fold.js";
import { mark } from "../../src/probebook/workbook/static/form/drawing-path.js";

const { window } = new JSDOM("");
Object.assign(globalThis, { document: window.document, DOMParser: window.DOMParser, addEventListener: () => {} });
window.Element.prototype.scrollTo = () => {};

const READING = {
  title: "grill",
  closed: ["S1.a"],
  flow: { "S1.a": 1, W1: -1, "E1.outer": 1 },
  told: "E1 works.",
  loads: [
    { part: "E1", label: "E1 outer", on: ["S1.a", "W1", "E1.outer"], told: "By S1.a." },
    { part: "H1", label: "H1 lamp", on: ["W1"], told: "By W1." },
  ],
};
const WORDS = {
  path: "Show the current at",
  "as-drawn": "as drawn",
  whole: "whole",
  follow: "Follow",
  larger: "Larger",
};
const TOLD = { words: WORDS, readings: [READING] };
const TEXT =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1200 500" width="1200" height="500">' +
  `<metadata>${JSON.stringify(TOLD).replaceAll("&", "&amp;").replaceAll("<", "&lt;")}</metadata>` +
  '<g class="wire" data-wire="W1"><g class="run" data-flow="W1" opacity="0.3"><path class="band" d="M0 0 L9 0"/></g>' +
  '<g class="arrow to" data-of="W1" display="none"/><g class="arrow fro" data-of="W1" display="none"/></g>' +
  '<g class="wire" data-wire="W2"><g class="run" data-flow="W2"><path class="band" d="M0 9 L9 9"/></g></g>' +
  '<g class="moving" data-contact="S1.a"><g class="shut" display="none"/><g class="ajar"/></g>' +
  '<g class="moving" data-contact="S1.b"><g class="shut"/><g class="ajar" display="none"/></g>' +
  '<g class="part" data-part="E1"><g class="branch" data-branch="E1.outer" data-flow="E1.outer"/></g></svg>';

test("what carries current is marked, arrows show its sense, contacts stand as they are said to", () => {
  const svg = drawingOf(TEXT);
  mark(svg, READING, null);
  const is = (/** @type {string} */ selector) => svg.querySelectorAll(selector).length;
  assert.equal(is('[data-flow="W1"].pb-live:not(.pb-idle):not([opacity])'), 1);
  assert.equal(is('[data-flow="W2"].pb-idle:not(.pb-live)'), 1);
  assert.equal(is(".arrow.fro:not([display])"), 1);
  assert.equal(is('.arrow.to[display="none"]'), 1);
  assert.equal(is('[data-contact="S1.a"] .shut:not([display])'), 1);
  assert.equal(is('[data-contact="S1.b"] .ajar:not([display])'), 1);
  mark(svg, READING, new Set(["W1"]));
  assert.equal(is('[data-flow="E1.outer"].pb-idle'), 1);
});

test("a drawing tells what can be done with it; one that tells nothing, or nonsense, is left a picture", () => {
  assert.deepEqual(toldOf(TEXT), TOLD);
  assert.equal(toldOf('<svg xmlns="http://www.w3.org/2000/svg"/>'), null);
  assert.equal(toldOf("<svg><metadata>{}</metadata></svg>"), null);
  assert.throws(() => toldOf("<svg><metadata>no</metadata></svg>"));
});

/** A reader of the drawing above. */
function reader() {
  const picture = document.createElement("img");
  picture.alt = "The circuit.";
  document.body.replaceChildren(picture);
  const node = makeReader(picture, TEXT, TOLD);
  const button = (/** @type {string} */ text) => {
    const found = [...node.querySelectorAll("button")].find((one) => one.textContent === text);
    assert.ok(found, text);
    return /** @type {HTMLButtonElement} */ (found);
  };
  return { node, button, told: () => node.querySelector(".pb-reader-told")?.textContent };
}

test("a position shows its path and says it; 'as drawn' brings the picture back", () => {
  const { node, button, told } = reader();
  assert.ok(node.querySelector("img"));
  assert.equal(node.querySelector("svg"), null);
  button("grill").click();
  assert.equal(node.querySelector("img"), null);
  assert.equal(node.querySelector("svg")?.getAttribute("aria-label"), "The circuit.");
  assert.equal(told(), "E1 works.");
  assert.equal(button("grill").getAttribute("aria-pressed"), "true");
  button("as drawn").click();
  assert.ok(node.querySelector("img"));
  assert.equal(told(), "");
});

test("one load is followed alone, and pressed again the whole path is back", () => {
  const { node, button, told } = reader();
  button("grill").click();
  button("H1 lamp").click();
  assert.equal(told(), "By W1.");
  assert.equal(node.querySelectorAll(".pb-live").length, 1);
  button("H1 lamp").click();
  assert.equal(told(), "E1 works.");
  button("E1 outer").click();
  button("whole").click();
  assert.equal(told(), "E1 works.");
});

test("each row of buttons is one Tab stop", () => {
  const { node, button } = reader();
  button("grill").click();
  for (const row of node.querySelectorAll(".pb-row"))
    assert.equal(row.querySelectorAll('button[tabindex="0"]').length, 1);
});

test("a folded drawing holds its two halves, says what crosses the fold, and is well-formed", () => {
  const fold = /** @type {const} */ ({ at: 600, box: [0, 0, 1200, 500], rule: 400, marks: [["W1", 40]] });
  const folded = new DOMParser().parseFromString(foldedText(TEXT, fold), "image/svg+xml").documentElement;
  assert.equal(folded.tagName, "svg");
  const views = [...folded.querySelectorAll(":scope > svg")].map((one) =>
    (one.getAttribute("viewBox") ?? "").split(" "),
  );
  assert.deepEqual(views[0]?.map(Number), [0, 0, 606, 400]);
  assert.deepEqual(views[1]?.map(Number), [594, 0, 606, 400]);
  assert.equal(folded.querySelectorAll("use").length, 3);
  const said = [...folded.querySelectorAll(":scope > text")].map((one) => one.textContent);
  assert.deepEqual(said, ["W1 ›", "‹ W1"]);
  assert.ok(Number(folded.getAttribute("width")) < 720);
  // Taken into the page, each half holds the drawing itself.
  assert.equal(drawingOf(foldedText(TEXT, fold)).querySelectorAll('[data-flow="W1"]').length, 4);
});
