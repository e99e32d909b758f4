// @ts-check
// How a field is answered: a box to type in, one of several to choose, several to tick.

import { freshId, make } from "./dom.js";
import { group, headed } from "./group.js";
import { orderField } from "./order.js";
import { rove } from "./roving.js";

/** @typedef {import("./model").FieldView} FieldView */
/** @typedef {import("./model").FieldNode} FieldNode */
/** @typedef {import("./model").Words} Words */

/**
 * The field of a view, empty; it tells `changed` of every change a learner makes.
 * @param {FieldView} view
 * @param {Words} words
 * @param {() => void} changed
 * @returns {FieldNode}
 */
export function makeField(view, words, changed) {
  if (view.kind === "quantity") return quantityField(view, changed);
  if (view.kind === "order") return orderField(view, words, changed);
  return optionsField(view, changed);
}

/**
 * A box for a number, its unit beside it.
 * @param {FieldView} view
 * @param {() => void} changed
 * @returns {FieldNode}
 */
function quantityField(view, changed) {
  const [id, hint] = [freshId(), freshId()];
  const box = make("input", {
    id,
    type: "text",
    class: "pb-box",
    maxlength: view.longest,
    autocomplete: "off",
    autocapitalize: "off",
    spellcheck: "false",
    enterkeyhint: "go",
    "aria-describedby": hint,
  });
  box.addEventListener("input", changed);
  const line = make("div", { class: "pb-line-of-box", "data-unit": view.unit || null }, box);
  const node = make(
    "div",
    { class: "pb-field pb-quantity" },
    headed("label", view, { for: id }),
    line,
    make("p", { class: "pb-hint", id: hint }, view.hint ?? ""),
  );
  return {
    node,
    get: () => box.value,
    set: (given) => {
      box.value = typeof given === "string" ? given : "";
    },
  };
}

/**
 * Options of which one is chosen, or several are ticked.
 * @param {FieldView} view
 * @param {() => void} changed
 * @returns {FieldNode}
 */
function optionsField(view, changed) {
  const isOne = view.kind === "choice";
  const name = freshId();
  const inputs = (view.options ?? []).map(() => make("input", { type: isOne ? "radio" : "checkbox", name }));
  const lines = (view.options ?? []).map((text, number) =>
    make("label", { class: "pb-option" }, /** @type {Node} */ (inputs[number]), text),
  );
  const node = group(view, isOne ? "choice" : "ticks", lines);
  if (!isOne) rove(node, () => inputs);
  node.addEventListener("change", changed);
  const chosen = () => [...inputs.keys()].filter((number) => inputs[number]?.checked);
  return {
    node,
    get: () => (isOne ? (chosen()[0] ?? null) : chosen()),
    set: (given) => {
      const wanted = Array.isArray(given) ? given : [given];
      for (const [number, input] of inputs.entries()) input.checked = wanted.includes(number);
    },
  };
}
