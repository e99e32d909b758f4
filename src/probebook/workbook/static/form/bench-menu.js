// @ts-check
// The small menu of a part or a wire: what to do with it. It closes with Escape, and the focus goes back to the thing.

import { enable, make, pressable } from "./dom.js";

/** @typedef {import("./bench-types").Deed} Deed */

/**
 * @param {HTMLElement} frame it stands in
 * @param {Readonly<Record<string, string>>} words
 * @param {import("./bench-types").Hands} hands
 */
export function makeMenu(frame, words, hands) {
  const node = make("div", { class: "pb-menu", role: "group", "aria-label": words.menu, hidden: true });
  /** @type {{ focus(): void } | null} */
  let from = null;

  /** @param {boolean} returns */
  function close(returns) {
    if (node.hidden) return;
    if (returns || node.contains(document.activeElement)) from?.focus();
    node.hidden = true;
    from = null;
  }

  /**
   * @param {SVGGElement} at
   * @param {string} title
   * @param {readonly Deed[]} deeds
   * @param {{ focus(): void }} back what gets the focus again
   */
  function open(at, title, deeds, back) {
    const buttons = deeds.map(({ act, label }) => {
      const button = pressable(label, () => {
        close(true);
        hands.act(act);
      });
      enable(button, hands.can(act));
      return button;
    });
    node.replaceChildren(
      make("div", { class: "pb-menu-title" }, title),
      ...buttons,
      pressable(words.close ?? "", () => close(true), { class: "pb-plain" }),
    );
    from = back;
    node.hidden = false;
    const box = frame.getBoundingClientRect();
    const on = (at.querySelector(".touch") ?? at).getBoundingClientRect();
    const left = Math.max(4, Math.min(on.left - box.left, box.width - node.offsetWidth - 4));
    node.style.left = `${left + frame.scrollLeft}px`;
    node.style.top = `${Math.max(0, on.top + on.height / 2 - box.top + 16) + frame.scrollTop}px`;
    buttons[0]?.focus();
  }

  node.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close(true);
  });
  node.addEventListener("focusout", (event) => {
    if (!node.contains(/** @type {Node | null} */ (event.relatedTarget)) && event.relatedTarget !== null) close(false);
  });
  return { node, open, close };
}
