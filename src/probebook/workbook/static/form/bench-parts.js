// @ts-check
// Small things that the pieces of the bench share: titled groups, signs beside words.

import { make, signNode } from "./dom.js";

/**
 * A titled group.
 * @param {string} name of its class
 * @param {string} title
 * @param {(Node | string)[]} children
 */
export function panel(name, title, ...children) {
  const head = make("div", { class: "pb-panel-head", "aria-hidden": "true" }, title);
  return make("div", { class: `pb-panel pb-${name}`, role: "group", "aria-label": title }, head, ...children);
}

/**
 * Set a sign and a word.
 * @param {HTMLElement} node
 * @param {string} sign
 * @param {string} text
 */
export function signed(node, sign, text) {
  if (node.textContent === `${sign}${text}`) return;
  node.replaceChildren(signNode(sign), text);
}
