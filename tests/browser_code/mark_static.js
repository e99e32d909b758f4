// Run by tests in Python: answers questions of the static pages, and says on its output what stood in the form then.
import { readFileSync } from "node:fs";
import { StaticQuestion } from "../../src/probebook/site/static/question.js";

const { words, asked } = JSON.parse(readFileSync(process.argv[2] ?? "", "utf-8"));

/** @param {{ table: import("../../src/probebook/site/static/site-types").QuestionTable, answers: unknown[][] }} one */
function answered({ table, answers }) {
  return answers.map((answer) => {
    const question = new StaticQuestion(table, words, () => {});
    question.model.send(/** @type {any} */ ({ press: "check", answer }));
    return { verdict: question.model.get("verdict"), score: /** @type {any} */ (question.model.get("state")).score };
  });
}

process.stdout.write(JSON.stringify(asked.map(answered)));
