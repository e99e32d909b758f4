// A question of a static page: what was kept is brought back whole, marks are rounded and benches marked as the core does.
import assert from "node:assert/strict";
import { test } from "node:test";
import { markedBench } from "../../src/probebook/site/static/bench-mark.js";
import { marked } from "../../src/probebook/site/static/marking.js";
import { StaticQuestion } from "../../src/probebook/site/static/question.js";
import { rounded } from "../../src/probebook/workbook/static/table/table-words.js";

/** @param {string} standing @param {number} marks */
const outcome = (standing, marks) => ({ standing, marks, part: "", alone: "", first: "" });

const WORDS = /** @type {any} */ ({
  verdicts: {},
  next: {},
  notes: { "same-answer": "", "from-saved": "" },
  critical: "",
  decimal: ",",
});

const TABLE = /** @type {any} */ ({
  id: "q01",
  view: { title: "", fields: [] },
  marks: 2,
  score: { open: "2 marks", scored: "{marks} of 2 after {attempts}" },
  fields: [
    {
      kind: "quantity",
      key: "volts",
      ids: [],
      label: "",
      marks: 2,
      band: [46, 48],
      slips: [],
      blank: outcome("blank", 0),
      right: outcome("right", 2),
      wrong: {},
      unread: {},
      reads: {
        unit: "V",
        prefix: "",
        prefixes: false,
        units: { V: [0, 1, 0] },
        degrees: {},
        open: false,
        opens: [],
        beyond: 1e9,
        least: null,
      },
    },
  ],
  right: [],
  hints: [],
  working: "",
});

/** @param {StaticQuestion} question */
const score = (question) => /** @type {any} */ (question.model.get("state")).score;

/** @param {StaticQuestion} question @param {unknown[]} answer */
function check(question, answer) {
  question.model.send(/** @type {any} */ ({ press: "check", answer }));
}

test("a mark stays when a blank is checked after it, and is there again when brought back", () => {
  const question = new StaticQuestion(TABLE, WORDS, () => {});
  check(question, ["47"]);
  assert.equal(score(question), "2 of 2 after 1");
  check(question, [""]);
  assert.equal(score(question), "2 of 2 after 1");
  const kept = structuredClone(question.kept());
  const fresh = new StaticQuestion(TABLE, WORDS, () => {});
  fresh.restore(kept);
  assert.equal(score(fresh), score(question));
  assert.equal(fresh.standing(), "right");
  assert.deepEqual(fresh.kept(), kept);
});

test("a half of the last figure goes to the even neighbour", () => {
  const halves = /** @type {const} */ ([
    [0.125, 2, 0.12],
    [0.375, 2, 0.38],
    [0.625, 2, 0.62],
    [0.145, 2, 0.14],
    [0.25, 1, 0.2],
    [0.75, 1, 0.8],
    [0.5, 0, 0],
    [1.5, 0, 2],
    [0.5, 1, 0.5],
    [0.25, 2, 0.25],
  ]);
  for (const [value, decimals, wanted] of halves) assert.equal(rounded(value, decimals), wanted, String(value));
});

test("one right tick of eight earns 0.12 of one mark, as in the core", () => {
  const wanted = ["a", "b", "c", "d", "e", "f", "g", "h"];
  const field = {
    ...{ kind: "choices", key: "ticks", label: "", ids: wanted, wanted, marks: 1, slips: [], counts: {} },
    ...{ blank: outcome("blank", 0), right: outcome("right", 1) },
  };
  assert.equal(marked({ ...TABLE, marks: 1, fields: [field] }, [[0]], WORDS).marks, 0.12);
});

const KEY = {
  right: ["element-open"],
  outside: [],
  par: { trials: 1, minutes: 1 },
  grading: {
    ...{ safety: 2, support: 0, economy: 1, conclusion: 2, thrifty: 1, fair: 2, spare_trials: 0, spare_minutes: 0 },
  },
};
const SAID = {
  ...{ "nothing-done": "", "go-on": "", right: "Right.", wrong: "", unproved: "", "left-on": "", "not-weighed": "" },
  ...{ parts: "{safety} {economy} {conclusion}", ended: "{step}: {act}: {what}", advice: { slip: "<b>Mind.</b>" } },
};

/** @param {Record<string, unknown>} stand @param {unknown} [state] */
function job(stand, state) {
  const whole = { failure: "", conclusion: null, isolated: true, provedDead: true, ...stand };
  const counts = { trials: 5, safetyTrials: 3, minutes: 4, safetyMinutes: 2 };
  const table = { says: { list: { decimal: "," } } };
  return /** @type {any} */ ({ table, acts: ["a"], stand: { ...counts, ...whole }, state: () => state });
}

test("half a mark is written with the sign of the language", () => {
  const found = markedBench(/** @type {any} */ ({ key: KEY, words: SAID }), job({ conclusion: "element-open" }));
  assert.equal(found.message, "Right. 2 0,5 2");
  assert.equal(found.marks, 4.5);
});

test("words of a bench are text in a sentence of ours that is HTML", () => {
  const bench = job({ failure: "slip" }, { log: [{ act: "look at <X1>" }], stop: "STOP & think" });
  const found = markedBench(/** @type {any} */ ({ key: KEY, words: SAID }), bench);
  assert.equal(found.message, "1: look at &lt;X1&gt;: STOP &amp; think <b>Mind.</b>");
  assert.equal(found.critical, true);
});

test("that nothing is wrong names no fault that was left switched on", () => {
  const bench = job({ conclusion: "nothing wrong", isolated: false });
  assert.equal(markedBench(/** @type {any} */ ({ key: KEY, words: SAID }), bench).critical, false);
});
