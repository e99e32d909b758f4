// @ts-check
// What marking said: a word, a sign, the mark, the sentence, the parts, what to do next. It stays one node that a screen
// reader listens to, and says by itself when the answer has been changed since.

import { make, once, signNode, write } from "./dom.js";
import { showHtml } from "./markup.js";

/** @typedef {import("./model").Verdict} Verdict */
/** @typedef {import("./model").Words} Words */

/** @param {Words} words */
export function makeSaid(words) {
  // A page holds dozens of forms: what is in the node is made when there is something to say.
  const body = once(() => make("div", { class: "pb-verdict-body" }));
  const earlier = once(() => make("p", { class: "pb-earlier", hidden: true }));
  const live = make("div", { role: "status", "aria-live": "polite", "aria-atomic": "true" });
  return {
    node: live,
    /**
     * @param {Verdict | Record<string, never>} verdict
     * @param {string} score
     */
    show: (verdict, score) => {
      if (!isVerdict(verdict)) {
        body.made()?.replaceChildren();
        live.className = "";
        return;
      }
      live.className = `pb-verdict pb-tone-${verdict.tone}`;
      body.get().replaceChildren(...lines(verdict, score));
      if (body.get().parentNode === null) live.append(body.get());
    },
    /** @param {boolean} isEarlier whether the answer has been changed since */
    age: (isEarlier) => {
      live.classList.toggle("pb-aged", isEarlier);
      if (!isEarlier && earlier.made() === null) return;
      const node = earlier.get();
      if (node.parentNode === null) live.prepend(node);
      node.hidden = !isEarlier;
      write(node, isEarlier ? words.earlier : "");
    },
  };
}

/**
 * @param {Verdict | Record<string, never>} verdict
 * @returns {verdict is Verdict}
 */
export function isVerdict(verdict) {
  return "word" in verdict;
}

/**
 * @param {Verdict} verdict
 * @param {string} score
 */
function lines(verdict, score) {
  const word = make("span", { class: "pb-word" }, signNode(verdict.sign), " ", verdict.word);
  /** @type {HTMLElement[]} */
  const found = [make("p", { class: "pb-head" }, word, " ", make("span", { class: "pb-mark" }, score))];
  if (verdict.message) found.push(html("p", "pb-message", verdict.message));
  if (verdict.parts.length > 0) found.push(make("ul", { class: "pb-parts" }, ...verdict.parts.map(partLine)));
  if (verdict.note) found.push(make("p", { class: "pb-note" }, verdict.note));
  if (verdict.next) found.push(make("p", { class: "pb-next-step" }, verdict.next));
  return found;
}

/** @param {import("./model").Part} part */
function partLine(part) {
  return make(
    "li",
    { class: `pb-part pb-tone-${part.tone}` },
    signNode(part.sign),
    make("span", {}, make("b", {}, part.label), " – ", part.word, " ", html("span", "pb-message", part.message)),
  );
}

/**
 * @param {"p" | "span"} tag
 * @param {string} name of its class
 * @param {string} text HTML of ours
 * @returns {HTMLElement}
 */
function html(tag, name, text) {
  const node = make(tag, { class: name });
  showHtml(node, text);
  return node;
}
