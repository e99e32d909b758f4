// @ts-check
// What a job on a bench that is a table earns, as far as its acts tell: safety, the conclusion, the par. Whether one's own
// readings establish the conclusion takes the whole core, and is not claimed here.

import { NOTHING_WRONG } from "../../workbook/static/table/table-doing.js";
import { isOver, workMinutes, workTrials } from "../../workbook/static/table/table-standing.js";
import { filled } from "../../workbook/static/table/table-words.js";
import { escaped } from "./marking.js";

/**
 * @param {import("./site-types").BenchPage} page
 * @param {import("../../workbook/static/table/table-bench.js").TableBench} bench
 * @returns {import("./site-types").Marked}
 */
export function markedBench({ key, words }, bench) {
  const { stand } = bench;
  /** @param {string} standing @param {string} message @param {number} [marks] @param {boolean} [critical] */
  const told = (standing, message, marks = 0, critical = false) => ({ standing, message, marks, critical, parts: [] });
  if (bench.acts.length === 0) return told("blank", words["nothing-done"]);
  if (!isOver(stand)) return told("blank", words["go-on"]);
  if (stand.failure !== "") {
    const last = bench.state().log.at(-1);
    const step = String(bench.acts.length);
    const ended = filled(words.ended, { step, act: escaped(last?.act ?? ""), what: escaped(bench.state().stop) });
    return told("slip", `${ended} ${words.advice[stand.failure] ?? ""}`.trim(), 0, true);
  }
  const concluded = stand.conclusion ?? "";
  const faults = concluded === NOTHING_WRONG ? [] : concluded.split(" + ");
  if (!stand.isolated && faults.some((id) => !key.outside.includes(id)))
    return told("slip", `${words["left-on"]} ${words.advice["left-energised"] ?? ""}`.trim(), 0, true);
  const isRight = key.right.includes(concluded);
  const earned = {
    safety: stand.provedDead ? key.grading.safety : 0,
    economy: isRight ? economy(key, bench) : 0,
    conclusion: isRight ? key.grading.conclusion : 0,
  };
  /** @param {number} marks */
  const written = (marks) => String(marks).replace(".", bench.table.says.list.decimal);
  const parts = filled(words.parts, {
    safety: written(earned.safety),
    economy: written(earned.economy),
    conclusion: written(earned.conclusion),
  });
  const notes = [
    isRight ? words.right : words.wrong,
    parts,
    stand.provedDead ? "" : words.unproved,
    isRight ? words["not-weighed"] : "",
  ];
  const marks = earned.safety + earned.economy + earned.conclusion;
  const { safety, economy: most, conclusion } = key.grading;
  const standing = marks >= safety + most + conclusion ? "right" : isRight ? "partly right" : "wrong";
  return told(standing, notes.filter(Boolean).join(" "), marks);
}

/**
 * The mark for economy: readings and working minutes beside those of the par.
 * @param {import("../../workbook/static/table/table-types").BenchKey} key
 * @param {import("../../workbook/static/table/table-bench.js").TableBench} bench
 */
function economy({ grading, par }, { stand }) {
  const [trials, minutes] = [workTrials(stand), workMinutes(stand)];
  /** @param {number} times */
  const isWithin = (times) =>
    trials <= times * par.trials + grading.spare_trials && minutes <= times * par.minutes + grading.spare_minutes;
  if (isWithin(grading.thrifty)) return grading.economy;
  return isWithin(grading.fair) ? grading.economy / 2 : 0;
}
