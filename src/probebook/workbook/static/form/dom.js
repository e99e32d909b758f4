// @ts-check
// Making nodes, setting what they say, and bringing them into view. Text is set as text: no string becomes markup here.

let made = 0;

/** An id that no other node of the page has. */
export function freshId() {
  made += 1;
  return `pb-${made}-${Math.random().toString(36).slice(2, 8)}`;
}

/**
 * A node with attributes (true sets one without a value; false, null and undefined leave it out) and children.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Record<string, string | number | boolean | null | undefined>} [attributes]
 * @param {(Node | string)[]} children
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, String(value));
  }
  node.append(...children);
  return node;
}

/**
 * A node that is made when it is first needed.
 * @template {HTMLElement} Made
 * @param {() => Made} begin
 */
export function once(begin) {
  /** @type {Made | null} */
  let node = null;
  return {
    /** The node; it is made now where it was not. */
    get: () => {
      node ??= begin();
      return node;
    },
    /** The node where it was made, else null. */
    made: () => node,
  };
}

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
 * A node for a sign that goes along with a word, and is not read aloud.
 * @param {string} sign
 */
export function signNode(sign) {
  return make("span", { class: "pb-sign", "aria-hidden": "true" }, sign);
}

/**
 * Bring what has the focus into view where the browser has not: Firefox takes the whole of a drawing for the part of it.
 * @param {Element} node
 */
export function bring(node) {
  const { top, bottom } = node.getBoundingClientRect();
  if (bottom < 0 || top > innerHeight) scrollBy(0, (top + bottom - innerHeight) / 2);
}
