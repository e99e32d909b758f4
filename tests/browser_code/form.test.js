// The form of a question in a stand-in for a browser, with a stand-in for its model: what it shows, sends and keeps.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { beforeEach, mock, test } from "node:test";
import { JSDOM } from "jsdom";
import form from "../../src/probebook/workbook/static/form/form.js";

/** @typedef {import("../../src/probebook/workbook/static/form/model").QuestionTraits} Traits */

const CSS = new URL("../../src/probebook/workbook/static/form.css", import.meta.url);
const WORDS = {
  check: "Check",
  "check-hint": "Check the answer to: Oven",
  "show-working": "Show",
  "hide-working": "Hide",
  up: "Up",
  down: "Down",
  earlier: "About the one before.",
  marking: "Marking",
  silent: "No verdict yet.",
  gone: "Gone.",
  restarted: "It comes back.",
};
const VIEW = {
  language: "en",
  title: "Oven",
  words: WORDS,
  fields: [
    { kind: "quantity", label: "Resistance", unit: "Ω", hint: "A number", longest: 200 },
    { kind: "choice", label: "Which", options: ["a <b>b</b>", "c"] },
    { kind: "choices", label: "Live", hint: "All", options: ["x", "y", "z"] },
    {
      kind: "order",
      label: "Steps",
      options: ["one", "two", "three"],
      moves: [
        ["Up one", "Down one"],
        ["Up two", "Down two"],
        ["Up three", "Down three"],
      ],
      places: ["place 1", "place 2", "place 3"],
    },
  ],
};
const STATE = { checks: 0, checked: null, changed: false, score: "3 marks", working: "", open: false };
const VERDICT = {
  tone: "wrong",
  sign: "✘",
  word: "Not right.",
  message: "<strong>Look</strong> again <img src=x onerror=1>",
  parts: [],
  next: "Again.",
  note: "",
};

/** A model as every host gives it. */
function stand() {
  /** @type {any} */
  const traits = structuredClone({ view: VIEW, answer: ["", null, [], []], state: STATE, verdict: {} });
  /** @type {Map<string, Set<() => void>>} */
  const slots = new Map();
  /** @type {any[]} */
  const sent = [];
  const tell = (/** @type {string} */ event) => {
    for (const slot of [...(slots.get(event) ?? [])]) slot();
  };
  const model = {
    get: (/** @type {string} */ name) => traits[name],
    set: (/** @type {string} */ name, /** @type {unknown} */ value) => {
      traits[name] = value;
      tell(`change:${name}`);
    },
    save_changes: () => sent.push({ draft: structuredClone(traits.answer) }),
    send: (/** @type {unknown} */ content) => sent.push(content),
    on: (/** @type {string} */ event, /** @type {() => void} */ slot) =>
      slots.set(event, (slots.get(event) ?? new Set()).add(slot)),
    off: (/** @type {string} */ event, /** @type {() => void} */ slot) => slots.get(event)?.delete(slot),
  };
  return { model, sent, tell, slots };
}

/** @type {HTMLElement} */
let el;

beforeEach(() => {
  const { window } = new JSDOM("<!doctype html><body><div id='el'></div>", { pretendToBeVisual: true });
  Object.assign(globalThis, {
    window,
    document: window.document,
    DOMParser: window.DOMParser,
    Element: window.Element,
  });
  el = /** @type {HTMLElement} */ (window.document.querySelector("#el"));
});

/** @param {string} selector */
const all = (selector) => /** @type {any[]} */ ([...el.querySelectorAll(selector)]);
/** @param {any} node @param {string} name */
const fire = (node, name) =>
  node.dispatchEvent(new /** @type {any} */ (globalThis).window.Event(name, { bubbles: true }));

function drawn() {
  const found = stand();
  const end = form.render(/** @type {any} */ ({ model: found.model, el }));
  return { ...found, end };
}

test("every field is native, named and empty; no string becomes markup", () => {
  drawn();
  assert.equal(all("form[aria-label='Oven'][lang='en']").length, 1);
  assert.deepEqual(
    all("fieldset legend").map((node) => node.textContent),
    ["Which", "Live", "Steps"],
  );
  assert.equal(all("label")[0].textContent, "Resistance");
  assert.equal(all(`input[id="${all("label")[0].getAttribute("for")}"]`).length, 1);
  assert.equal(all("input:checked").length, 0);
  assert.equal(all(".pb-option")[0].textContent, "a <b>b</b>");
  assert.equal(all("form b").length, 0);
});

test("where a verdict is said stands there, empty, before it is asked for", () => {
  const region = () => all("form > [role=status]").map((node) => node.textContent);
  for (const event of ["focusin", "pointerdown", "change", "submit"]) {
    const { end } = drawn();
    assert.deepEqual(region(), []);
    fire(event === "submit" ? all("form")[0] : all(".pb-box")[0], event);
    assert.deepEqual(region(), [""]);
    end();
    el.replaceChildren();
  }
  const { model } = stand();
  model.get("view").fields = []; // a bench stands outside its form, and is marked when its job is ended
  form.render(/** @type {any} */ ({ model, el }));
  assert.deepEqual(region(), [""]);
});

test("one press sends the answer that stands, once, until it is answered", () => {
  const { model, sent } = drawn();
  all(".pb-box")[0].value = "46";
  all("input[type=radio]")[1].checked = true;
  for (const place of [2, 0]) all("input[type=checkbox]")[place].checked = true;
  all("button[aria-label='Up two']")[0].click();
  for (let times = 0; times < 3; times += 1) fire(all("form")[0], "submit");
  const answer = ["46", 1, [0, 2], [1, 0, 2]];
  assert.deepEqual(sent, [{ draft: answer }, { press: "check", answer }]);
  model.set("verdict", VERDICT);
  model.set("state", { ...STATE, checks: 1, checked: answer });
  assert.equal(all(".pb-word")[0].textContent, "✘ Not right.");
  assert.equal(all("[role=status][aria-live=polite] .pb-message strong").length, 1);
  assert.equal(all("img, [onerror]").length, 0);
  assert.equal(all(".pb-check")[0].getAttribute("aria-disabled"), "false");
  fire(all("form")[0], "submit");
  assert.equal(sent.length, 3);
});

test("an order counts once it was moved, and its ends lead nowhere", () => {
  const { model } = drawn();
  const texts = () => all(".pb-step-text").map((node) => node.textContent);
  all("button[aria-label='Up one']")[0].click();
  all("button[aria-label='Down three']")[0].click();
  assert.deepEqual(texts(), ["one", "two", "three"]);
  all("button[aria-label='Down one']")[0].click();
  assert.deepEqual(texts(), ["two", "one", "three"]);
  assert.equal(all("fieldset p[role=status]")[0].textContent, "place 2");
  model.set("answer", ["", null, [], [2, 1, 0]]);
  assert.deepEqual(texts(), ["three", "two", "one"]);
  model.set("answer", ["", null, [], [0, 0]]);
  assert.deepEqual(texts(), ["one", "two", "three"]);
});

test("what was changed since says so, and no more when it is as it was", () => {
  const { model } = drawn();
  const earlier = () => all(".pb-earlier")[0]?.textContent ?? "";
  all(".pb-box")[0].value = "46";
  model.set("verdict", VERDICT);
  model.set("state", { ...STATE, checks: 1, checked: ["46", null, [], []] });
  assert.equal(earlier(), "");
  all(".pb-box")[0].value = "47";
  fire(all(".pb-box")[0], "input");
  assert.equal(earlier(), WORDS.earlier);
  all(".pb-box")[0].value = "46";
  fire(all(".pb-box")[0], "input");
  assert.equal(earlier(), "");
  model.set("state", { ...STATE, checks: 1, checked: ["46", null, [], []], changed: true });
  assert.equal(earlier(), WORDS.earlier);
});

test("a draft is written back after a pause, and nothing when nothing changed", (context) => {
  context.mock.timers.enable({ apis: ["setTimeout"] });
  const { sent } = drawn();
  for (const text of ["4", "46"]) {
    all(".pb-box")[0].value = text;
    fire(all(".pb-box")[0], "input");
    context.mock.timers.tick(100);
  }
  context.mock.timers.tick(1000);
  fire(all("form")[0], "focusout");
  assert.deepEqual(sent, [{ draft: ["46", null, [], []] }]);
});

test("typing goes on while a verdict comes", () => {
  const { model } = drawn();
  all(".pb-box")[0].value = "46";
  fire(all("form")[0], "submit");
  all(".pb-box")[0].value = "467";
  model.set("verdict", VERDICT);
  model.set("state", { ...STATE, checks: 1, checked: ["46", null, [], []] });
  assert.equal(all(".pb-box")[0].value, "467");
  assert.equal(all(".pb-earlier")[0].textContent, WORDS.earlier);
});

test("the working is there once it is earned, and opens and closes in the page", () => {
  const { model, sent } = drawn();
  assert.equal(all(".pb-toggle, .pb-working").length, 0);
  model.set("state", { ...STATE, working: "<p>46 Ω</p><script>1</script>", open: false });
  assert.equal(all(".pb-working")[0].hidden, true);
  all(".pb-toggle")[0].click();
  assert.equal(all(".pb-working")[0].hidden, false);
  assert.equal(all(".pb-working")[0].innerHTML, "<p>46 Ω</p>");
  assert.equal(all(".pb-toggle")[0].getAttribute("aria-expanded"), "true");
  assert.deepEqual(sent, []);
});

test("where nobody answers it says so and lets go of the button", (context) => {
  context.mock.timers.enable({ apis: ["setTimeout"] });
  drawn();
  fire(all("form")[0], "submit");
  context.mock.timers.tick(1000);
  assert.equal(all(".pb-check")[0].textContent, WORDS.marking);
  context.mock.timers.tick(9000);
  assert.equal(all("[role=alert]")[0].textContent, WORDS.silent);
  assert.equal(all(".pb-check")[0].textContent, WORDS.check);
});

test("a host that has lost the kernel is believed, and so is one that found it again", () => {
  const { tell } = drawn();
  el.classList.add("jupyter-widgets-disconnected");
  tell("comm_live_update");
  assert.equal(all("[role=alert]")[0].textContent, `${WORDS.gone} ${WORDS.restarted}`);
  el.classList.remove("jupyter-widgets-disconnected");
  tell("comm_live_update");
  assert.equal(all("[role=alert]")[0].textContent, "");
});

test("a form that ends listens to nothing any more", () => {
  const { end, slots } = drawn();
  end();
  assert.equal(
    [...slots.values()].reduce((sum, found) => sum + found.size, 0),
    0,
  );
});

test("motion, forced colours and the focus are all provided for", () => {
  const css = readFileSync(CSS, "utf8");
  for (const wanted of ["prefers-reduced-motion", "forced-colors", ":focus-visible", "light-dark("]) {
    assert.ok(css.includes(wanted), wanted);
  }
  assert.ok(!/url\(|@import|http/.test(css));
});

mock.reset();
