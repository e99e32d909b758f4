// @ts-check
// A paper beside its questions: the head with the time that is left, the review, handing in. It knows no key and says
// nothing of right or wrong.

import { make } from "./dom.js";

/** @typedef {import("./model").Model<import("./model").SheetTraits>} SheetModel */

/** How often the time is shown anew, in milliseconds. */
const TICK = 1000;
/** Large print: this much larger. */
const LARGE = ".jp-RenderedHTMLCommon, .pb-form, .pb-sheet { font-size: 1.5em; }";

/**
 * Draw a part of a paper into an element.
 * @param {{ model: SheetModel, el: HTMLElement }} given
 * @returns {() => void} what ends it
 */
function render({ model, el }) {
  const { language, words, large } = model.get("view");
  const node = make("section", { class: "pb-sheet", lang: language, "data-lm-suppress-shortcuts": "true" });
  const part = { head: drawHead, review: drawReview, "hand-in": drawHandIn }[model.get("part")](model, node, words);
  if (large && model.get("part") === "head") node.append(make("style", {}, LARGE));
  model.on("change:state", part.show);
  part.show();
  el.append(node);
  return () => {
    model.off("change:state", part.show);
    part.end();
  };
}

/** @typedef {{ show: () => void, end: () => void }} Part */

/**
 * @param {SheetModel} model
 * @param {HTMLElement} node
 * @param {import("./model").SheetView["words"]} words
 * @returns {Part}
 */
function drawHead(model, node, words) {
  const time = make("span", { class: "pb-sheet-time", role: "timer" });
  const answered = make("span", {});
  const over = make("p", { class: "pb-sheet-over", role: "alert" });
  const notes = make("div", { role: "status" });
  node.append(
    make("div", { class: "pb-sheet-head" }, make("span", { class: "pb-sheet-title" }, words.title), time, answered),
    over,
    notes,
  );
  let until = 0;
  const tick = () => {
    const { left, runs } = model.get("state");
    const now = runs ? (until - performance.now()) / 1000 : left;
    time.textContent = `${words.left}: ${clock(now)}`;
    over.textContent = runs && now <= 0 ? words.over : "";
    over.hidden = over.textContent === "";
  };
  const timer = setInterval(tick, TICK);
  return {
    show: () => {
      const state = model.get("state");
      until = performance.now() + state.left * 1000;
      answered.textContent = state.answered;
      notes.replaceChildren(...state.notes.map((text) => make("p", {}, text)));
      tick();
    },
    end: () => clearInterval(timer),
  };
}

/**
 * @param {SheetModel} model
 * @param {HTMLElement} node
 * @param {import("./model").SheetView["words"]} words
 * @returns {Part}
 */
function drawReview(model, node, words) {
  const list = make("div", { role: "status" });
  node.append(list);
  return {
    show: () => {
      const { open } = model.get("state");
      const items = make("ul", {}, ...open.map((text) => make("li", {}, text)));
      if (open.length === 0) list.replaceChildren(make("p", {}, words.none));
      else list.replaceChildren(make("p", {}, words.some), items);
    },
    end: () => {},
  };
}

/**
 * @param {SheetModel} model
 * @param {HTMLElement} node
 * @param {import("./model").SheetView["words"]} words
 * @returns {Part}
 */
function drawHandIn(model, node, words) {
  const ask = make("button", { type: "button", class: "pb-hand-in" }, words.button);
  const yes = make("button", { type: "button", class: "pb-hand-in-yes" }, words.yes);
  const no = make("button", { type: "button", class: "pb-hand-in-no" }, words.no);
  const sure = make("p", {});
  const asked = make("div", { role: "group", hidden: true }, sure, yes, no);
  const said = make("div", { role: "status" });
  node.append(ask, asked, said);
  /** @param {boolean} isAsked */
  const turn = (isAsked) => {
    ask.hidden = isAsked;
    asked.hidden = !isAsked;
    (isAsked ? yes : ask).focus();
  };
  ask.addEventListener("click", () => turn(true));
  no.addEventListener("click", () => turn(false));
  yes.addEventListener("click", () => {
    turn(false);
    model.send({ press: "hand-in" });
  });
  return {
    show: () => {
      const { done, notes, sure: question } = model.get("state");
      sure.textContent = question;
      ask.hidden = done.length > 0 || !asked.hidden;
      const lines = done.length > 0 ? done : notes;
      const looks = (/** @type {number} */ at) => (done.length > 0 && at === 1 ? "pb-sheet-code" : null);
      said.replaceChildren(...lines.map((text, at) => make("p", { class: looks(at) }, text)));
    },
    end: () => {},
  };
}

/**
 * Time as hours, minutes and seconds; with a minus where it is over.
 * @param {number} seconds
 */
function clock(seconds) {
  const whole = Math.floor(Math.abs(seconds));
  const parts = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const text = parts.map((value) => String(value).padStart(2, "0")).join(":");
  return seconds < 0 ? `\u2212${text}` : text;
}

export default { render };
