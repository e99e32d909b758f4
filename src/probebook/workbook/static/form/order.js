// @ts-check
// Steps to put in order: each has a button up and a button down, and the focus goes along with the step. Nothing counts
// as given until a step was moved.

import { make } from "./dom.js";
import { group } from "./group.js";
import { rove } from "./roving.js";

/**
 * @param {import("./model").FieldView} view
 * @param {import("./model").Words} words
 * @param {() => void} changed
 * @returns {import("./model").FieldNode}
 */
export function orderField(view, words, changed) {
  const texts = view.options ?? [];
  const first = [...texts.keys()];
  let isTouched = false;

  /** The two buttons of each step. */
  const buttons = texts.map((_, step) =>
    [words.up, words.down].map((text, way) => {
      const label = view.moves?.[step]?.[way] ?? text;
      return make("button", { type: "button", class: "pb-move", "aria-label": label, title: label }, way ? "↓" : "↑");
    }),
  );
  const rows = texts.map((text, step) =>
    make(
      "li",
      { class: "pb-step" },
      make("span", { class: "pb-step-text" }, text),
      make("span", { class: "pb-moves" }, ...(buttons[step] ?? [])),
    ),
  );
  const list = make("ol", { class: "pb-steps" });
  const said = make("p", { class: "pb-unseen", role: "status" });
  const node = group(view, "order", [list, said]);

  /** The steps in the order that stands. */
  const order = () => [...list.children].map((row) => rows.indexOf(/** @type {HTMLLIElement} */ (row)));

  /** The first step has nowhere up to go, the last one nowhere down. */
  const markEnds = () => {
    for (const [step, pair] of buttons.entries()) {
      const isEnd = [rows[step] === list.firstChild, rows[step] === list.lastChild];
      for (const [way, button] of pair.entries()) button.setAttribute("aria-disabled", String(isEnd[way]));
    }
  };

  /** @param {readonly number[]} wanted */
  const show = (wanted) => {
    list.replaceChildren(...wanted.map((step) => /** @type {Node} */ (rows[step])));
    markEnds();
  };

  /**
   * Change a step with its neighbour; the focus stays on the button that was pressed.
   * @param {number} step
   * @param {number} by
   */
  const move = (step, by) => {
    const place = order().indexOf(step) + by;
    const [row, other] = [rows[step], list.children[place]];
    if (row === undefined || other === undefined) return;
    // The neighbour moves round the step: what has the focus never leaves the page.
    if (by < 0) row.after(other);
    else row.before(other);
    isTouched = true;
    markEnds();
    said.textContent = view.places?.[place] ?? "";
    changed();
  };

  for (const [step, pair] of buttons.entries()) {
    for (const [way, button] of pair.entries()) button.addEventListener("click", () => move(step, way ? 1 : -1));
  }
  show(first);
  rove(list, () => order().flatMap((step) => buttons[step] ?? []));
  return {
    node,
    get: () => (isTouched ? order() : []),
    set: (given) => {
      const steps = Array.isArray(given) ? given : [];
      isTouched = steps.length === first.length && first.every((step) => steps.includes(step));
      show(isTouched ? steps : first);
    },
  };
}
