// @ts-check
// Whether a notebook may run by itself. Opening a notebook must never run a stranger's code: every code cell in it must
// be one of the lines that Probebook writes, to the letter.

import { held } from "./data.js";

// Any other line, down to a space, means that the notebook is not run.
const NAMED = /^[A-Za-z0-9][A-Za-z0-9 ._-]*$/;
const FIRST = /^from probebook\.workbook import open_workbook; book = open_workbook\("([^"\\\r\n]*)"\)$/;
const OTHERS = /^book\.(?:ask\("[a-z0-9-]+"\)|(?:progress|practice)\(\))$/;
const PAPER = /^from probebook\.assessment\.sitting import open_paper; paper = open_paper\("([^"\\\r\n]*)"\)$/;
const SAT = /^paper\.(?:ask\("[a-z0-9-]+"\)|(?:review|hand_in)\(\))$/;

/**
 * Judge a notebook as plain data.
 * @param {unknown} mark metadata.probebook of the notebook
 * @param {readonly string[]} lines the source of each code cell, in order
 * @returns {"other"|"ours"|"altered"} somebody else's; safe to run; ours once, but with other code in it
 */
export function judge(mark, lines) {
  const workbook = held(mark, "workbook");
  const paper = held(mark, "paper");
  const name = typeof workbook === "string" ? workbook : paper;
  if (typeof name !== "string") return "other";
  const [opens, goesOn] = name === workbook ? [FIRST, OTHERS] : [PAPER, SAT];
  const first = opens.exec(lines[0] ?? "");
  const isOurs =
    NAMED.test(name) && first !== null && first[1] === name && lines.slice(1).every((line) => goesOn.test(line));
  return isOurs ? "ours" : "altered";
}

/**
 * Whether this is a line that Probebook writes.
 * @param {string} text the source of a code cell
 */
export function isLine(text) {
  return [FIRST, OTHERS, PAPER, SAT].some((line) => line.test(text));
}
