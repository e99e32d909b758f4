// @ts-check
// What a field has in common with the others: its label, its marks, its hint, and the group it is.

import { freshId, make } from "./dom.js";

/**
 * What stands above a field: its label and, beside it by the style sheet, its marks.
 * @template {"legend" | "label"} Tag
 * @param {Tag} tag
 * @param {import("./model").FieldView} view
 * @param {Record<string, string>} [attributes]
 */
export function headed(tag, view, attributes = {}) {
  const marks = view.marks === undefined ? null : ` (${view.marks})`;
  return make(tag, { ...attributes, class: "pb-label", "data-marks": marks }, view.label);
}

/**
 * A group of inputs with its legend and hint.
 * @param {import("./model").FieldView} view
 * @param {string} kind
 * @param {Node[]} children
 */
export function group(view, kind, children) {
  const hint = freshId();
  const node = make(
    "fieldset",
    { class: `pb-field pb-${kind}`, "aria-describedby": view.hint === undefined ? null : hint },
    headed("legend", view),
  );
  if (view.hint !== undefined) node.append(make("p", { class: "pb-hint", id: hint }, view.hint));
  node.append(...children);
  return node;
}
