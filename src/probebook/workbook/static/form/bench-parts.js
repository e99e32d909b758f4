// @ts-check
// Small things that the pieces of the bench share: buttons that keep the focus when they cannot be pressed, headings.

import { make, signNode } from "./dom.js";

/**
 * A button that is greyed by aria-disabled and not disabled, so that the focus stays on it.
 * @param {string} text
 * @param {(event: MouseEvent) => void} press
 * @param {Record<string, string | null>} [attributes]
 */
export function pressable(text, press, attributes = {}) {
  const node = make("button", { type: "button", ...attributes }, text);
  node.addEventListener("click", (event) => {
    if (node.getAttribute("aria-disabled") !== "true") press(event);
  });
  return node;
}

/**
 * @param {HTMLElement} node
 * @param {boolean} can
 */
export function enable(node, can) {
  if (can) node.removeAttribute("aria-disabled");
  else node.setAttribute("aria-disabled", "true");
}

/**
 * Set text only where it differs, so that nothing is read aloud twice.
 * @param {Node} node
 * @param {string} text
 */
export function write(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

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
