// @ts-check
// What a field has in common with the others: its label, its marks, its hint, and the group it is.

import { freshId, make } from "./dom.js";

/**
 * What stands above a field: its label, its marks, how it is answered.
 * @param {import("./model").FieldView} view
 */
export function headed(view) {
  const label = make("span", { class: "pb-label" }, view.label);
  return view.marks === undefined ? [label] : [label, " ", make("span", { class: "pb-marks" }, `(${view.marks})`)];
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
    make("legend", {}, ...headed(view)),
  );
  if (view.hint !== undefined) node.append(make("p", { class: "pb-hint", id: hint }, view.hint));
  node.append(...children);
  return node;
}
