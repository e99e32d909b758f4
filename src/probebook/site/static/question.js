// @ts-check
// One question of a static page: what the kernel is to a form elsewhere. It marks from tables, keeps count of attempts,
// and gives the working once it is earned; the form shows it and cannot tell the difference.

import { Model, same } from "../../page/static/model.js";
import { filled } from "../../workbook/static/table/table-words.js";
import { markedBench } from "./bench-mark.js";
import { marked } from "./marking.js";

/** @typedef {import("./site-types").Kept} Kept */

/** The working may be read after so many attempts that counted. */
const ATTEMPTS = 2;

export class StaticQuestion {
  attempts = 0;
  hinted = 0;
  /** @type {unknown[] | null} the answer that was checked last */
  checked = null;
  /** @type {{ marks: number, right: boolean } | null} */
  scored = null;
  /** @type {unknown} the last answer that counted */
  #counted = null;

  /**
   * @param {import("./site-types").QuestionTable} table
   * @param {import("./site-types").MarkingWords} words
   * @param {() => void} changed something is to be kept
   * @param {{ page: import("./site-types").BenchPage, bench: import("../../workbook/static/table/table-bench.js").TableBench }} [job]
   */
  constructor(table, words, changed, job) {
    this.table = table;
    this.words = words;
    this.changed = changed;
    this.job = job;
    const empty = table.fields.map((field) => (field.kind === "choice" ? null : field.kind === "quantity" ? "" : []));
    const traits = { view: table.view, answer: empty, state: {}, verdict: {} };
    this.model = new Model(`${table.id}/form.js`, traits, (asked) => this.#hear(asked));
    this.model.take({ state: this.#state(0, false) });
    if (job !== undefined) {
      job.bench.told = () => this.#onBench();
      job.bench.ended = () => this.#check(false);
    }
  }

  /** @param {{ press?: { press: string, answer?: unknown } }} asked */
  #hear({ press }) {
    if (press?.press === "check") {
      if (Array.isArray(press.answer)) this.model.traits.answer = press.answer;
      this.#check(false);
    } else if (press?.press === "hint" && this.hinted < this.table.hints.length) {
      this.hinted += 1;
      this.model.take({ state: { .../** @type {object} */ (this.model.get("state")), ...this.#hints() } });
    }
    this.changed();
  }

  #onBench() {
    const state = /** @type {{ checked: unknown }} */ (this.model.get("state"));
    if (state.checked !== null) this.model.take({ state: { ...state, changed: true } });
    this.changed();
  }

  #mark() {
    const answer = /** @type {unknown[]} */ (this.model.get("answer"));
    return this.job === undefined ? marked(this.table, answer, this.words) : markedBench(this.job.page, this.job.bench);
  }

  /** @param {boolean} isRestored */
  #check(isRestored) {
    const answer = /** @type {unknown[]} */ (structuredClone(this.model.get("answer")));
    const given = this.job === undefined ? answer : [...this.job.bench.acts];
    const found = this.#mark();
    const isScored = found.standing !== "blank" && found.standing !== "unreadable";
    const isSame = isScored && same(given, this.#counted);
    const isRight = found.standing === "right";
    if (isScored && !isSame && !isRestored) this.attempts += 1;
    if (isScored) {
      this.#counted = given;
      this.scored = { marks: found.marks, right: isRight };
    }
    this.checked = answer;
    const note = isRestored ? this.words.notes["from-saved"] : isSame ? this.words.notes["same-answer"] : "";
    const state = /** @type {{ checks: number }} */ (this.model.get("state"));
    this.model.take({
      verdict: this.#verdict(found, isScored, note),
      state: this.#state(state.checks + 1, isRight && !isRestored),
    });
    // What is brought back is kept already; to keep it now would be to forget the questions not brought back yet.
    if (!isRestored) this.changed();
  }

  /**
   * @param {import("./site-types").Marked} found
   * @param {boolean} isScored
   * @param {string} note
   */
  #verdict(found, isScored, note) {
    const { verdicts, next } = this.words;
    const said = verdicts[found.critical ? "critical" : found.standing];
    const parts = isScored && found.parts.length > 1 ? found.parts : [];
    const way = !isScored
      ? "mend"
      : found.standing === "right"
        ? "go-on"
        : this.#isEarned()
          ? "again-or-read"
          : "again";
    return {
      ...{ tone: said?.tone, sign: said?.sign, word: said?.word, message: found.message, note },
      next: next[way],
      parts: parts.map(({ label, standing, message }) => {
        const one = verdicts[standing];
        return { label, message, sign: one?.sign, tone: one?.tone, word: one?.part };
      }),
    };
  }

  #isEarned() {
    return this.scored?.right === true || this.attempts >= ATTEMPTS || (this.job !== undefined && this.attempts > 0);
  }

  /**
   * @param {number} checks
   * @param {boolean} opens
   */
  #state(checks, opens) {
    const { score, working } = this.table;
    const marks = String(Number((this.scored?.marks ?? 0).toPrecision(6))).replace(".", this.words.decimal);
    const told = { marks, attempts: String(this.attempts) };
    return {
      checks,
      checked: this.checked,
      changed: false,
      score: this.scored === null ? score.open : filled(score.scored, told),
      working: this.#isEarned() ? working : "",
      open: opens,
      ...this.#hints(),
    };
  }

  #hints() {
    const { hints } = this.table;
    return { hints: hints.slice(0, this.hinted), more: this.hinted < hints.length };
  }

  /** How it stands, for contents and progress. */
  standing() {
    return this.scored === null ? "open" : this.scored.right ? "right" : this.scored.marks > 0 ? "partly" : "wrong";
  }

  /** @returns {Kept} */
  kept() {
    return {
      answer: /** @type {unknown[]} */ (this.model.get("answer")),
      acts: this.job === undefined ? [] : this.job.bench.acts,
      checked: this.checked,
      attempts: this.attempts,
      scored: this.scored,
      hints: this.hinted,
    };
  }

  /** What was given, by field, as it can be marked elsewhere. */
  response() {
    if (this.job !== undefined) return { job: this.job.bench.acts };
    const answer = /** @type {unknown[]} */ (this.model.get("answer"));
    return Object.fromEntries(
      this.table.fields.map((field, place) => {
        const given = answer[place];
        const id = (/** @type {unknown} */ one) => field.ids[Number(one)] ?? "";
        if (field.kind === "quantity") return [field.key, given];
        return [field.key, Array.isArray(given) ? given.map(id) : given === null ? "" : id(given)];
      }),
    );
  }

  /** @param {Kept | undefined} kept */
  restore(kept) {
    if (kept === undefined) return;
    this.attempts = Number(kept.attempts) || 0;
    this.hinted = Number(kept.hints) || 0;
    this.scored = kept.scored ?? null;
    if (this.job !== undefined && Array.isArray(kept.acts)) this.job.bench.set(kept.acts);
    const fits = Array.isArray(kept.answer) && kept.answer.length === this.table.fields.length;
    const isChecked = Array.isArray(kept.checked);
    if (fits) this.model.take({ answer: isChecked ? kept.checked : kept.answer });
    if (isChecked) this.#check(true);
    else this.model.take({ state: this.#state(0, false) });
    if (fits && isChecked) this.model.take({ answer: kept.answer });
  }
}
