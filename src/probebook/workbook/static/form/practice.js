// @ts-check
// The head of fresh practice: what can be asked for, what is being done, the question that was made. The form of the
// question stands under it, a component of its own.

import { freshId, make } from "./dom.js";
import { readDrawings } from "./drawing.js";
import { showHtml } from "./markup.js";

/** @typedef {import("./model").Model<import("./model").PracticeTraits>} PracticeModel */

/**
 * Draw practice into an element.
 * @param {{ model: PracticeModel, el: HTMLElement }} given
 * @returns {() => void} what ends it
 */
function render({ model, el }) {
  const { language, words, options } = model.get("view");
  const list = freshId();
  const select = make("select", { id: list, class: "pb-list" }, ...options.map((text) => make("option", {}, text)));
  /** @param {string} name */
  const button = (name, text = "", hint = "") =>
    make("button", { type: "button", class: `pb-${name}`, title: hint || null }, text);
  const suits = button("suits", words.suits, words["suits-hint"]);
  const again = button("again", words["make-one"], words["make-one-hint"]);
  const back = button("back");
  const buttons = { suits, again, back };
  const status = make("p", {});
  const note = make("p", { class: "pb-note" });
  const page = make("div", { class: "pb-page" });
  const node = make(
    "div",
    { class: "pb-practice", lang: language, "data-lm-suppress-shortcuts": "true" },
    make("div", { class: "pb-actions" }, suits, back),
    make("div", { class: "pb-actions" }, make("label", { for: list }, words["another-like"]), select, again),
    make("div", { class: "pb-notice", role: "status" }, status, note),
    page,
  );
  let html = "";

  const show = () => {
    const state = model.get("state");
    for (const one of Object.values(buttons)) one.setAttribute("aria-disabled", String(state.busy));
    if (state.back === "" && back === document.activeElement) suits.focus();
    back.hidden = state.back === "";
    back.textContent = state.back;
    status.textContent = state.status;
    note.textContent = state.note;
    if (html !== state.page) showHtml(page, state.page);
    readDrawings(page);
    html = state.page;
  };

  for (const [press, one] of Object.entries(buttons)) {
    one.addEventListener("click", () => {
      if (one.getAttribute("aria-disabled") === "true") return;
      for (const each of Object.values(buttons)) each.setAttribute("aria-disabled", "true");
      model.send({ press, like: select.selectedIndex });
    });
  }
  model.on("change:state", show);
  show();
  el.append(node);
  return () => model.off("change:state", show);
}

export default { render };
