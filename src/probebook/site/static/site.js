// @ts-check
// A static page comes alive: the same components as everywhere, marked from tables, answers kept on the device.

import bench from "../../workbook/static/form/bench.js";
import { readDrawings } from "../../workbook/static/form/drawing.js";
import form from "../../workbook/static/form/form.js";
import { TableBench } from "../../workbook/static/table/table-bench.js";
import { everything, forget, forgetAll, isKept, keep, kept, saveFile } from "./keeping.js";
import { StaticQuestion } from "./question.js";

/** @typedef {import("./site-types").PageTold} PageTold */

/** @type {PageTold} */
const told = JSON.parse(document.getElementById("pb-told")?.textContent ?? "{}");
/** @type {Map<string, StaticQuestion>} */
const questions = new Map();

/** @param {string} place */
const placeOf = (place) =>
  /** @type {HTMLElement | null} */ (document.querySelector(`[data-place="${CSS.escape(place)}"]`));

/** Lay a component out in a place. @param {HTMLElement} at @param {{ render: Function }} component @param {unknown} model */
function lay(at, component, model) {
  const el = Object.assign(document.createElement("div"), { className: "pb-component" });
  at.append(el);
  component.render({ model, el });
}

function begin() {
  const before = kept(told.name, told.build);
  for (const table of told.questions) {
    const at = placeOf(table.id);
    if (at === null || told.marking === undefined) continue;
    at.querySelector(".pb-coming")?.remove();
    const page = told.bench;
    const job = page === undefined ? undefined : { page, bench: new TableBench(page.table, page.view) };
    const question = new StaticQuestion(table, told.marking, save, job);
    question.restore(before[table.id]);
    questions.set(table.id, question);
    if (job !== undefined) lay(at, bench, job.bench.model);
    lay(at, form, question.model);
  }
  showStandings();
}

function save() {
  const all = [...questions];
  const state = Object.fromEntries(all.map(([id, question]) => [id, question.kept()]));
  const responses = Object.fromEntries(all.map(([id, question]) => [id, question.response()]));
  keep(told.name, told.build, state, responses);
  showStandings();
}

function showStandings() {
  for (const [id, question] of questions) {
    const listed = document.querySelector(`[data-question="${CSS.escape(id)}"]`);
    if (listed instanceof HTMLElement) listed.dataset.state = question.standing();
  }
}

/** @param {string} name */
const button = (name) => document.querySelector(`button[data-does="${name}"]`);

/** @param {string} text */
function say(text) {
  const status = document.getElementById("pb-kept");
  if (status !== null) status.textContent = text;
}

button("save")?.addEventListener("click", () => {
  const responses = Object.fromEntries([...questions].map(([id, question]) => [id, question.response()]));
  saveFile(`${told.name}.json`, { probebook: 1, pages: { [told.name]: { build: told.build, responses } } });
});
button("save-all")?.addEventListener("click", () => {
  saveFile("probebook-answers.json", { probebook: 1, pages: everything() });
});
button("forget")?.addEventListener("click", () => {
  if (questions.size > 0) forget(told.name);
  else forgetAll();
  if (questions.size > 0) location.reload();
  else say(told.words.forgotten);
});

begin();
readDrawings(document);
say(told.words[isKept() ? "kept" : "not-kept"]);
document.documentElement.dataset.live = "true";
