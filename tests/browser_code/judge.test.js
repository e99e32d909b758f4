// What may run by itself: the lines that Probebook writes, to the letter, and nothing else.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { isLine, judge } from "../../src/probebook/lab/labextensions/probebook-lab/static/judge.js";

const WORKBOOKS = new URL("../../workbooks/", import.meta.url);
const OPENING = 'from probebook.workbook import open_workbook; book = open_workbook("a")';
const MARK = { workbook: "a" };

test("the lines of every workbook that is built may run", () => {
  const names = readdirSync(WORKBOOKS).filter((name) => name.endsWith(".ipynb"));
  assert.ok(names.length > 0);
  for (const name of names) {
    const notebook = JSON.parse(readFileSync(new URL(name, WORKBOOKS), "utf-8"));
    const lines = notebook.cells
      .filter((/** @type {any} */ cell) => cell.cell_type === "code")
      .map((/** @type {any} */ cell) => cell.source.join(""));
    assert.equal(judge(notebook.metadata.probebook, lines), "ours", name);
    assert.ok(lines.every(isLine), name);
  }
});

test("a notebook of ours runs, in whatever language it is", () => {
  const lines = [OPENING, 'book.ask("q01")', "book.progress()", "book.practice()"];
  assert.equal(judge(MARK, lines), "ours");
  assert.equal(judge({ ...MARK, language: "xx" }, lines), "ours");
});

const SITTING = 'from probebook.assessment.sitting import open_paper; paper = open_paper("a")';
const PAPER = { paper: "a" };

test("a paper runs, and only with the lines of a paper", () => {
  const lines = [SITTING, 'paper.ask("q01")', "paper.review()", "paper.hand_in()"];
  assert.equal(judge(PAPER, lines), "ours");
  assert.ok(lines.every(isLine));
  assert.equal(judge(PAPER, [SITTING, 'book.ask("q01")']), "altered");
  assert.equal(judge(PAPER, [SITTING, "paper.submit()"]), "altered");
  assert.equal(judge(PAPER, [OPENING]), "altered");
  assert.equal(judge({ paper: "b" }, lines), "altered");
  assert.equal(judge(MARK, lines), "altered");
  assert.equal(judge({ paper: ["a"] }, lines), "other");
});

for (const mark of [undefined, null, 1, "a", {}, [], { workbook: ["a"] }, Object.create(MARK)]) {
  test(`a notebook with ${JSON.stringify(mark)} for a mark is somebody else's`, () => {
    assert.equal(judge(mark, [OPENING]), "other");
  });
}

/** @type {[string, Record<string, unknown>, string[]][]} */
const ALTERED = [
  ["no code", MARK, []],
  ["another name", { workbook: "b" }, [OPENING]],
  ["a path for a name", { workbook: "../a" }, [OPENING.replace('"a"', '"../a"')]],
  ["lines out of order", MARK, ['book.ask("q01")', OPENING]],
  ["the opening twice", MARK, [OPENING, OPENING]],
  ["code of others", MARK, [OPENING, "print(1)"]],
  ["an empty cell", MARK, [OPENING, ""]],
  ["a second line", MARK, [`${OPENING}\nprint(1)`]],
  ["an end of line", MARK, [`${OPENING}\n`]],
  ["a magic before it", MARK, [`%pip install a\n${OPENING}`]],
  ["a call in the name", MARK, [OPENING.replace('"a"', '"a"); print("a"')]],
  ["a statement after it", MARK, [OPENING, 'book.ask("q01"); print(1)']],
  ["an argument more", MARK, [OPENING, 'book.ask("q01", bench=print(1))']],
  ["an expression", MARK, [OPENING, 'book.ask("q01" + str(print(1)) + "")']],
  ["a formatted string", MARK, [OPENING, 'book.ask(f"{print(1)}")']],
  ["a carriage return", MARK, [OPENING, "book.progress()\rprint(1)"]],
  ["a line separator", MARK, [OPENING, "book.progress()\u2028print(1)"]],
  ["a space", MARK, [OPENING, "book.progress() "]],
  ["an argument where none is", MARK, [OPENING, "book.practice(print(1))"]],
  ["another method", MARK, [OPENING, "book.form('q01')"]],
];
for (const [what, mark, lines] of ALTERED) {
  test(`${what}: the notebook is not run`, () => {
    assert.equal(judge(mark, lines), "altered");
  });
}
