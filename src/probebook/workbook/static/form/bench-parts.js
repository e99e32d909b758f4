// @ts-check
// Small things that the pieces of the bench share: titled groups, signs beside words.

import { make, write } from "./dom.js";

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
 * Set a word and the sign before it, which is for the eye.
 * @param {HTMLElement} node
 * @param {string} sign
 * @param {string} text
 */
export function signed(node, sign, text) {
  node.dataset.sign = sign;
  write(node, text);
}
