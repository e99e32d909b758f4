// @ts-check
// Hints to a question: a button, and the list of those that were read. They come one at a time from whoever marks.

import { make, once } from "./dom.js";
import { showHtml } from "./markup.js";

/**
 * @param {string} word what the button is called
 * @param {() => void} ask asks for one more
 * @param {(node: HTMLElement) => void} put puts the list in its place, when there is one
 */
export function makeHints(word, ask, put) {
  const button = make("button", { type: "button", class: "pb-more", hidden: true }, word);
  const list = once(() => make("ol", { class: "pb-hints" }));
  const node = once(() => {
    const made = make("div", { role: "status", "aria-live": "polite" }, list.get());
    put(made);
    return made;
  });
  button.addEventListener("click", () => {
    if (button.getAttribute("aria-disabled") === "true") return;
    // The list stands there before its first hint comes: a screen reader tells what changes in it, not that it is there.
    node.get();
    ask();
  });
  return {
    button,
    /** @param {import("./model").State} state */
    show: ({ hints = [], more = false }) => {
      if (hints.length > 0) node.get();
      for (const html of hints.slice(list.made()?.children.length ?? 0)) {
        const item = make("li");
        showHtml(item, html);
        list.get().append(item);
      }
      // The button keeps the focus when the last hint is there: a button that vanishes drops it.
      button.setAttribute("aria-disabled", String(!more));
      button.hidden = !more && hints.length === 0;
    },
  };
}
