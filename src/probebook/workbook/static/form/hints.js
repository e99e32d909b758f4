// @ts-check
// Hints to a question: a button, and the list of those that were read. They come one at a time from whoever marks.

import { make } from "./dom.js";
import { showHtml } from "./markup.js";

/**
 * @param {string} word what the button is called
 * @param {() => void} ask asks for one more
 */
export function makeHints(word, ask) {
  const button = make("button", { type: "button", class: "pb-more", hidden: true }, word);
  const list = make("ol", { class: "pb-hints" });
  const node = make("div", { role: "status", "aria-live": "polite" }, list);
  button.addEventListener("click", () => {
    if (button.getAttribute("aria-disabled") !== "true") ask();
  });
  return {
    button,
    node,
    /** @param {import("./model").State} state */
    show: ({ hints = [], more = false }) => {
      for (const html of hints.slice(list.children.length)) {
        const item = make("li");
        showHtml(item, html);
        list.append(item);
      }
      node.hidden = hints.length === 0;
      // The button keeps the focus when the last hint is there: a button that vanishes drops it.
      button.setAttribute("aria-disabled", String(!more));
      button.hidden = !more && hints.length === 0;
    },
  };
}
