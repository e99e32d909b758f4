// @ts-check
// What was done: a table that can be stepped back through; the picture then stands as it stood after that step.

import { enable, make, pressable, write } from "./dom.js";

/** @type {import("./bench-types").Picture} */
const NOTHING = {
  isolated: false,
  locked: false,
  tester_proved: false,
  tested: [],
  tester_proved_again: false,
  covers_off: [],
  wires_off: [],
  position: "",
  calling: true,
  function: "",
  nulled: false,
  dried: false,
  minutes: 0,
  display: "",
  beeps: null,
  reading: [],
  lit: {},
};

/**
 * How the bench stood after a step.
 * @param {import("./bench-types").BenchState} state
 * @param {number} place
 */
export function pictureAt(state, place) {
  return Object.assign({ ...NOTHING }, ...state.log.slice(0, place + 1).map((row) => row.picture));
}

/**
 * How the bench stands now.
 * @param {import("./bench-types").BenchState} state
 * @returns {import("./bench-types").Picture}
 */
export function pictureNow({ job, display, beeps, reading, lit }) {
  return { ...job, display, beeps, reading, lit };
}

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @returns {import("./bench-types").Piece}
 */
export function makeLog(view, hands) {
  const { words } = view;
  const columns = ["step", "act", "seen", "minutes"].map((key) =>
    make("th", { scope: "col" }, words[`log-${key}`] ?? ""),
  );
  const body = make("tbody");
  const table = make("table", { class: "pb-log-table" }, make("thead", {}, make("tr", {}, ...columns)), body);
  const frame = make("div", { class: "pb-log", tabindex: "0", role: "region", "aria-label": words.log });
  const empty = make("p", { class: "pb-log-empty" }, words["log-empty"] ?? "");
  const note = make("p", { class: "pb-looking", role: "status" });
  let place = 0;
  let count = 0;
  const earlier = pressable(words.earlier ?? "", () => hands.look(place - 1));
  const later = pressable(words.later ?? "", () => hands.look(place + 1 >= count - 1 ? null : place + 1));
  const now = pressable(words.now ?? "", () => hands.look(null));
  const node = make(
    "div",
    { class: "pb-panel pb-past" },
    make("div", { class: "pb-panel-head", "aria-hidden": "true" }, words.log ?? ""),
    make("div", { class: "pb-row" }, earlier, later, now),
    note,
    empty,
    frame,
  );
  /** @type {string[]} */
  let shown = [];

  /** @param {import("./bench-types").BenchState} state */
  function fill(state) {
    const texts = state.log.map((row) => `${row.act}\n${row.seen}`);
    const same = shown.every((text, at) => texts[at] === text) && texts.length >= shown.length;
    if (!same) body.replaceChildren();
    for (let at = same ? shown.length : 0; at < texts.length; at += 1) {
      const row = state.log[at];
      const minutes = pictureAt(state, at).minutes.toFixed(1);
      body.prepend(
        make(
          "tr",
          {},
          ...[String(at + 1), row?.act ?? "", row?.seen ?? "", minutes].map((text) => make("td", {}, text)),
        ),
      );
    }
    shown = texts;
  }

  return {
    node,
    show: ({ state, back }) => {
      fill(state);
      count = state.log.length;
      place = back ?? count - 1;
      empty.hidden = count > 0;
      frame.hidden = count === 0;
      if (count > 0 && table.parentNode === null) frame.append(table);
      enable(earlier, place > 0);
      enable(later, back !== null);
      enable(now, back !== null);
      write(note, back === null ? "" : `${words["looking-back"]} ${back + 1}.`);
      for (const [at, row] of [...body.children].entries()) row.classList.toggle("pb-here", back === count - 1 - at);
    },
  };
}
