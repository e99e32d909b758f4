// The page of a workbook in a stand-in for a browser: models, drafts, places, and what is asked of the kernel.
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { JSDOM } from "jsdom";
import { Banner } from "../../src/probebook/page/static/banner.js";
import { openContents, showStandings } from "../../src/probebook/page/static/contents.js";
import { Drafts } from "../../src/probebook/page/static/drafts.js";
import { Host } from "../../src/probebook/page/static/host.js";
import { Model } from "../../src/probebook/page/static/model.js";

/** @typedef {import("../../src/probebook/page/static/told").Asked} Asked */
/** @typedef {import("../../src/probebook/page/static/told").Told} Told */

const KEY = "q01/form.js";
const BODY = `<div id="pb-trouble"></div><button id="pb-open-contents" aria-expanded="false"></button>
<nav id="pb-contents"><ul><li class="pb-listed" data-question="q01" data-state="open"><a href="#q01" data-sign="o" aria-label="1: Ohms, not answered">1: Ohms</a></li></ul></nav>
<progress id="pb-done" max="2" value="0"></progress><span id="pb-stand"></span><a id="pb-go-on" href="#q01"></a>
<div data-place="q01"><p class="pb-coming"></p></div>`;
/** @type {any} */
const WORDS = {
  stopped: "Stopped.",
  restarted: "Restarted.",
  back: "Well.",
  again: "Again",
  right: "right",
  open: "open",
};
/** @type {any} */
const TOLD = { home: "home", static: "./", words: WORDS, signs: { right: "+", open: "o" }, forms: {} };

beforeEach(() => {
  const { window } = new JSDOM(`<!doctype html><body>${BODY}</body>`, { url: "http://localhost/" });
  const { document, localStorage, Element, CSS } = window;
  Object.assign(globalThis, { document, localStorage, Element, CSS: CSS ?? { escape: String } });
});

/** A host whose kernel hears what is asked, or not. */
function stand(hears = true) {
  /** @type {Asked[]} */
  const asked = [];
  const host = new Host(/** @type {Told} */ (TOLD), (one) => {
    if (hears) asked.push(structuredClone(one));
    return hears;
  });
  return { host, asked };
}

/** Holds a model as a drawn component would have it. @param {Host} host @param {any} traits */
function hold(host, traits) {
  const model = new Model(KEY, traits, (one) => host.ask(one));
  host.held.set(KEY, { model, place: "q01", node: document.createElement("div"), end: Promise.resolve(() => {}) });
  return model;
}

test("a model says what was written once, and is told of changes when all of them stand", () => {
  /** @type {Asked[]} */
  const asked = [];
  const model = new Model(KEY, { answer: [""], state: 1, verdict: 1 }, (one) => asked.push(one));
  /** @type {unknown[]} */
  const seen = [];
  model.on("change:state", () => seen.push(["state", model.get("verdict")]));
  const slot = () => seen.push("gone");
  model.on("change:verdict", slot);
  model.off("change:verdict", slot);
  model.set("answer", ["4"]);
  model.save_changes();
  model.save_changes();
  assert.deepEqual(asked, [{ key: KEY, traits: { answer: ["4"] } }]);
  model.take({ state: 2, verdict: 2 });
  model.take({ state: 2, verdict: 2 });
  assert.deepEqual(seen, [["state", 2]]);
});

test("drafts outlive a page, and two pages do not lose each other's", () => {
  const [one, other] = [new Drafts("x"), new Drafts("x")];
  one.keep("a", ["1"]);
  other.keep("b", [2]);
  assert.deepEqual(new Drafts("x").kept, { a: ["1"], b: [2] });
  one.drop("a");
  assert.deepEqual(new Drafts("x").kept, { b: [2] });
  assert.deepEqual(new Drafts("y").kept, {});
  localStorage.setItem("probebook z", "[1");
  assert.deepEqual(new Drafts("z").kept, {});
});

test("a draft is kept until it is checked and the check is done", () => {
  const { host, asked } = stand();
  const model = hold(host, { answer: [""] });
  model.set("answer", ["4"]);
  model.save_changes();
  host.done(1);
  assert.deepEqual(host.drafts.of(KEY), ["4"]);
  model.send({ press: "check" });
  host.done(2);
  assert.equal(host.drafts.of(KEY), undefined);
  assert.deepEqual(
    asked.map(({ n }) => n),
    [1, 2],
  );
});

test("what was typed stays when the kernel begins anew, and is told to it", () => {
  const { host, asked } = stand();
  const model = hold(host, { answer: [""], state: { checked: null } });
  model.set("answer", ["4"]);
  model.save_changes();
  const traits = { answer: [""], state: { checked: null, score: "2 marks" } };
  host.mount("q01", [{ key: KEY, module: "form/form.js", sheets: [], traits }]);
  assert.deepEqual(model.get("answer"), ["4"]);
  assert.deepEqual(model.get("state"), traits.state);
  assert.deepEqual(asked.at(-1)?.traits, { answer: ["4"] });
  // A draft that was checked meanwhile is none any more.
  const checked = { answer: ["4"], state: { checked: ["4"] } };
  host.mount("q01", [{ key: KEY, module: "form/form.js", sheets: [], traits: checked }]);
  assert.equal(host.drafts.of(KEY), undefined);
});

test("a check that nobody did is asked again, and an act that may not be done twice is not", () => {
  const { host, asked } = stand();
  const model = hold(host, { answer: [""] });
  model.send({ press: "check" });
  model.send({ press: "act" });
  model.send({ press: "check" });
  host.done(3);
  asked.length = 0;
  host.askAgain();
  assert.deepEqual(
    asked.map(({ press }) => press?.press),
    ["check"],
  );
});

test("the banner says what is amiss after a while, and that all is well only when something was said", (context) => {
  context.mock.timers.enable({ apis: ["setTimeout"] });
  let tries = 0;
  const banner = new Banner(WORDS, () => (tries += 1));
  const node = /** @type {HTMLElement} */ (document.getElementById("pb-trouble"));
  banner.trouble("stopped");
  banner.well();
  context.mock.timers.tick(5000);
  assert.equal(node.textContent, "");
  banner.trouble("stopped");
  context.mock.timers.tick(5000);
  assert.match(node.textContent ?? "", /^Stopped\. Again$/);
  node.querySelector("button")?.click();
  assert.equal(tries, 1);
  banner.well();
  assert.equal(node.textContent, "Well.");
  context.mock.timers.tick(10_000);
  assert.equal(node.textContent, "");
});

test("contents follow the standings, open and close", () => {
  openContents();
  const button = /** @type {HTMLButtonElement} */ (document.getElementById("pb-open-contents"));
  button.click();
  assert.equal(button.getAttribute("aria-expanded"), "true");
  /** @type {HTMLAnchorElement} */ (document.querySelector("#pb-contents a")).click();
  assert.equal(button.getAttribute("aria-expanded"), "false");
  /** @type {any} */
  const standings = {
    states: { q01: "right" },
    answered: 1,
    questions: 2,
    following: "q02",
    stand: "1 of 2",
    goOn: "Go",
  };
  showStandings(standings, TOLD);
  const line = /** @type {HTMLElement} */ (document.querySelector(".pb-listed"));
  assert.equal(line.dataset.state, "right");
  assert.equal(line.querySelector("a")?.dataset.sign, "+");
  assert.equal(line.querySelector("a")?.getAttribute("aria-label"), "1: Ohms, right");
  assert.equal(document.getElementById("pb-stand")?.textContent, "1 of 2");
  assert.equal(/** @type {HTMLAnchorElement} */ (document.getElementById("pb-go-on")).hash, "#q02");
});
