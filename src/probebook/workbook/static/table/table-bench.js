// @ts-check
// A bench that runs from a table: what the kernel is to the bench component elsewhere. It takes the same presses and
// tells the same state, so the component cannot tell one from the other.

import { actWords, done, NOTHING_WRONG } from "./table-doing.js";
import { possible } from "./table-possible.js";
import { isDead, isOver, reachable, start, workMinutes, workTrials } from "./table-standing.js";
import { filled, fixed, inOrder, rounded } from "./table-words.js";

/** @typedef {import("./table-types").BenchTable} BenchTable */
/** @typedef {import("./table-types").Stand} Stand */
/** @typedef {import("./table-types").Shown} Shown */
/** @typedef {{ act: string, words: string, seen: string, stop: string, picture: Record<string, unknown> }} Step */

const NOTHING = { display: "", beeps: null, reading: [], lit: {} };

/** The bench of one case; `told` is called whenever something was done, `ended` when the job has ended. */
export class TableBench {
  /** @type {string[]} */
  acts = [];
  /** @type {Step[]} */
  #steps = [];
  /** @type {Shown} */
  #said = { text: "", done: true };
  #answers = 0;
  /** @type {Record<string, any> | null} what was told last, until something changes */
  #last = null;
  /** @type {{ act: string, seen: string, picture: Record<string, unknown> }[]} */
  #rows = [];
  /** @type {Set<() => void>} */
  #slots = new Set();

  /**
   * @param {BenchTable} table
   * @param {unknown} view what the component is told once
   * @param {{ stays?: boolean }} [rules] whether what was done stays done: then only a conclusion can be taken back
   */
  constructor(table, view, { stays = false } = {}) {
    this.stays = stays;
    this.table = table;
    this.view = view;
    /** @type {Stand} */
    this.stand = start(table);
    /** @type {() => void} */
    this.told = () => {};
    /** @type {() => void} */
    this.ended = () => {};
  }

  /** What the component takes for its model. */
  get model() {
    return {
      /** @param {string} name @returns {any} */
      get: (name) => (name === "view" ? this.view : name === "curve" ? this.curve() : this.state()),
      set: () => {},
      save_changes: () => {},
      /** @param {{ press: string, act?: string, faults?: readonly number[] }} content */
      send: (content) => this.#press(content),
      /** @param {string} event @param {() => void} slot */
      on: (event, slot) => void (event === "change:state" && this.#slots.add(slot)),
      /** @param {string} event @param {() => void} slot */
      off: (event, slot) => void (event === "change:state" && this.#slots.delete(slot)),
    };
  }

  /**
   * Do these acts from the start.
   * @param {readonly string[]} acts
   */
  set(acts) {
    this.stand = start(this.table);
    this.acts = [];
    this.#steps = [];
    this.#rows = [];
    this.#said = { text: "", done: true };
    this.#last = null;
    for (const act of acts) this.#step(act);
    this.#show();
  }

  /**
   * Do one act; what is seen.
   * @param {string} act
   */
  do(act) {
    const wasOver = isOver(this.stand);
    this.#answers += 1;
    this.#last = null;
    if (this.#step(act)) this.told();
    if (isOver(this.stand) && !wasOver) this.ended();
    this.#show();
    return this.#said;
  }

  /** @param {string} act */
  #step(act) {
    [this.stand, this.#said] = done(this.table, this.stand, act);
    this.#last = null;
    if (!this.#said.done) return false;
    const isReading = this.#said.display !== undefined;
    const display = isReading
      ? { display: this.#said.display, beeps: this.#said.beeps, reading: act.split(" ").slice(1), lit: {} }
      : { ...NOTHING, lit: this.#said.lit ?? {} };
    const stop = this.stand.failure === "" ? "" : (this.#said.what ?? "");
    this.acts.push(act);
    const words = actWords(this.table, act);
    const picture = { ...this.#picture(), ...display };
    this.#rows.push({ act: words, seen: this.#said.text, picture: changed(this.#steps.at(-1)?.picture, picture) });
    this.#steps.push({ act, words, seen: this.#said.text, stop, picture });
    return true;
  }

  /** @param {{ press: string, act?: string, faults?: readonly number[] }} content */
  #press({ press, act, faults }) {
    if (press === "act" && act !== undefined) this.do(act);
    else if (press === "conclude" && faults !== undefined) this.do(this.#conclusion(faults));
    else if (press === "restart" && this.#canRestart()) {
      this.#answers += 1;
      this.set(this.stays ? this.acts.slice(0, -1) : []);
      this.told();
    }
  }

  #canRestart() {
    return this.stays ? this.stand.conclusion !== null : this.acts.length > 0;
  }

  /** @param {readonly number[]} faults */
  #conclusion(faults) {
    const ids = faults.map((place) => this.table.job.faults[place]?.id ?? "");
    return `conclude ${[...new Set(ids)].sort().join(" + ") || NOTHING_WRONG}`;
  }

  #show() {
    for (const slot of [...this.#slots]) slot();
  }

  /** What a picture shows of how the job stands. */
  #picture() {
    const { stand } = this;
    return {
      isolated: stand.isolated,
      locked: stand.locked,
      tester_proved: stand.proved,
      tested: [...stand.tested].sort(),
      tester_proved_again: stand.provedAgain,
      covers_off: [...stand.uncovered].sort(),
      wires_off: inOrder(stand.lifted),
      position: stand.position,
      calling: stand.calling,
      function: stand.function,
      nulled: stand.nulled,
      dried: stand.dried,
      minutes: rounded(stand.minutes, 1),
    };
  }

  /** The state that the component is told, as the kernel tells it. */
  state() {
    this.#last ??= this.#freshState();
    return this.#last;
  }

  #freshState() {
    const { stand, table } = this;
    const last = this.#steps.at(-1);
    const isConcluded = stand.conclusion !== null;
    const tone = stand.failure !== "" ? "stop" : !this.#said.done ? "no" : isConcluded ? "end" : "seen";
    const { display, beeps, reading, lit } = { ...NOTHING, ...last?.picture };
    return {
      answers: this.#answers,
      job: {
        ...this.#picture(),
        trials: stand.trials,
        terminals: reachable(table, stand),
        acts: possible(table, stand),
        over: isOver(stand),
      },
      ...{ display, beeps, reading, lit },
      said: { text: this.#said.text, tone },
      stop: stand.failure === "" ? "" : (last?.stop ?? ""),
      status: this.#status(),
      par: isConcluded ? this.#spentWords() : "",
      spent: isConcluded ? this.#spent() : {},
      restarts: this.#canRestart(),
      log: [...this.#rows],
    };
  }

  /** Tests and working minutes, each with that of the par. */
  #spent() {
    if (this.table.job.par === null) return {};
    const [tests, minutes] = this.table.job.par;
    return {
      tests: [workTrials(this.stand), tests],
      minutes: [rounded(workMinutes(this.stand), 1), minutes],
    };
  }

  #spentWords() {
    const { spent, list } = this.table.says;
    if (spent.length === 0) return "";
    const tests = workTrials(this.stand);
    const minutes = fixed(workMinutes(this.stand), 0, list.decimal);
    return filled(spent[Math.min(tests, spent.length - 1)], { tests: String(tests), minutes });
  }

  #status() {
    const { stand } = this;
    const { on, off, covers, words } = this.table.status;
    return filled((stand.isolated ? off : on)[stand.position], {
      supply: words[stand.locked ? "locked" : "unlocked"],
      dead: words[isDead(stand) ? "dead" : "not-dead"],
      covers:
        [...stand.uncovered]
          .sort()
          .map((name) => covers[name])
          .join(", ") || words.none,
      wires: [...stand.lifted].sort().join(", ") || words.none,
      minutes: fixed(stand.minutes, 1, this.table.says.list.decimal),
    });
  }

  /** The heat-up record taken last, as a picture. */
  curve() {
    const taken = this.#steps.filter(({ act }) => act === "record").at(-1);
    return taken === undefined ? {} : (this.table.curves[String(taken.picture.position)] ?? {});
  }
}

/**
 * Of a picture only what differs from the one before.
 * @param {Record<string, unknown> | undefined} before
 * @param {Record<string, unknown>} picture
 */
function changed(before, picture) {
  const found = Object.entries(picture).filter(([key, value]) => !same(before?.[key] ?? null, value));
  return Object.fromEntries(found);
}

/** @param {unknown} one @param {unknown} other */
function same(one, other) {
  return JSON.stringify(one) === JSON.stringify(other);
}
