// @ts-check
// The form of one question. It draws what its model says and writes the answer back; it marks nothing and knows no key.
// Any host that gives a model (get, set, save_changes, send, on, off) and an element can show it.

import { freshId, make, once, write } from "./dom.js";
import { readDrawings } from "./drawing.js";
import { makeField } from "./fields.js";
import { makeHints } from "./hints.js";
import { showHtml } from "./markup.js";
import { isVerdict, makeSaid } from "./said.js";

/** @typedef {import("./model").Model<import("./model").QuestionTraits>} QuestionModel */

/** A draft is written back when nothing was typed for so long, in milliseconds. */
const DRAFT = 300;
/** So long without a verdict, in milliseconds, and the form says so. */
const PATIENCE = 6000;
/** How long a verdict may take before the form says that it is being marked. */
const MOMENT = 400;

/**
 * Draw a question into an element.
 * @param {{ model: QuestionModel, el: HTMLElement }} given
 * @returns {() => void} what ends it
 */
function render({ model, el }) {
  let view = drawn(model);
  el.append(view.node);
  readDrawings(el.closest(".jp-Notebook") ?? document);
  const redraw = () => {
    view.end();
    const next = drawn(model);
    view.node.replaceWith(next.node);
    view = next;
  };
  model.on("change:view", redraw);
  return () => {
    model.off("change:view", redraw);
    view.end();
  };
}

/** @param {QuestionModel} model */
function drawn(model) {
  const { fields: asked, words, title, language } = model.get("view");
  const fields = asked.map((field) => makeField(field, words, onChange));
  const button = make("button", { type: "submit", class: "pb-check", "aria-label": words["check-hint"] }, words.check);
  const score = document.createTextNode("");
  const trouble = once(() => {
    const told = make("p", { class: "pb-trouble", role: "alert" });
    actions.after(told);
    return told;
  });
  /** @param {string} text */
  const tell = (text) => {
    if (text !== "" || trouble.made() !== null) trouble.get().textContent = text;
  };
  const gone = `${words.gone} ${words.restarted}`;
  const said = makeSaid(words);
  // A screen reader tells what changes in a node that is there: it is there before anything is asked.
  const heard = once(() => {
    node.append(said.node);
    return said.node;
  });
  const hints = makeHints(
    words.hint,
    () => model.send({ press: "hint" }),
    (list) => heard.get().before(list),
  );
  const working = once(() => {
    const made = make("div", { class: "pb-working", id: freshId(), hidden: true });
    heard.get().after(made);
    return made;
  });
  const toggle = once(() => {
    const node = make("button", { type: "button", class: "pb-toggle", "aria-controls": working.get().id });
    node.addEventListener("click", () => open(working.get().hidden !== false));
    score.before(node);
    return node;
  });
  const actions = make("div", { class: "pb-actions" }, ...(words.check === "" ? [] : [button]), hints.button, score);
  const node = make(
    "form",
    { class: "pb-form", lang: language, "aria-label": title, novalidate: true, "data-lm-suppress-shortcuts": "true" },
    ...fields.map((field) => field.node),
    actions,
  );

  /** @type {{ draft?: ReturnType<typeof setTimeout>, moment?: ReturnType<typeof setTimeout>, patience?: ReturnType<typeof setTimeout> }} */
  const timers = {};
  let isGone = false;
  let shown = "";
  let checks = model.get("state").checks;

  const answer = () => fields.map((field) => field.get());

  function onChange() {
    clearTimeout(timers.draft);
    timers.draft = setTimeout(keep, DRAFT);
    age();
  }

  /** Write the draft back, so that it is there when the page is loaded again. */
  function keep() {
    clearTimeout(timers.draft);
    if (same(answer(), model.get("answer"))) return;
    model.set("answer", answer());
    model.save_changes();
  }

  function age() {
    const { checked, changed } = model.get("state");
    said.age(checked !== null && (changed || !same(answer(), checked)));
  }

  /** @param {boolean} isBusy */
  function wait(isBusy) {
    clearTimeout(timers.moment);
    clearTimeout(timers.patience);
    button.setAttribute("aria-disabled", String(isBusy));
    node.classList.toggle("pb-busy", isBusy);
    button.textContent = words.check;
    if (!isBusy) return;
    timers.moment = setTimeout(() => {
      button.textContent = words.marking;
    }, MOMENT);
    timers.patience = setTimeout(() => {
      wait(false);
      tell(isGone ? gone : words.silent);
    }, PATIENCE);
  }

  /** @param {Event} event */
  function onSubmit(event) {
    event.preventDefault();
    if (button.getAttribute("aria-disabled") === "true") return;
    if (isGone) {
      tell(gone);
      return;
    }
    heard.get();
    clearTimeout(timers.draft);
    tell("");
    const now = answer();
    if (!same(now, model.get("answer"))) {
      model.set("answer", now);
      model.save_changes();
    }
    wait(true);
    model.send({ press: "check", answer: now });
  }

  function onState() {
    const state = model.get("state");
    if (state.checks !== checks) {
      checks = state.checks;
      isGone = false;
      tell("");
      wait(false);
    }
    write(score, state.checked === null ? state.score : "");
    const verdict = model.get("verdict");
    if (isVerdict(verdict)) heard.get();
    said.show(verdict, state.score);
    showWorking(state.working, state.open);
    hints.show(state);
    age();
  }

  /**
   * @param {string} html
   * @param {boolean} isOpen
   */
  function showWorking(html, isOpen) {
    if (html === "" && working.made() === null) return;
    if (shown !== html) showHtml(working.get(), html);
    shown = html;
    toggle.get().hidden = html === "";
    open(html !== "" && (isOpen || working.get().hidden === false));
  }

  /** @param {boolean} isOpen */
  function open(isOpen) {
    working.get().hidden = !isOpen;
    toggle.get().setAttribute("aria-expanded", String(isOpen));
    toggle.get().textContent = words[isOpen ? "hide-working" : "show-working"];
  }

  function onAnswer() {
    const given = model.get("answer");
    if (!same(given, answer())) for (const [place, field] of fields.entries()) field.set(given[place] ?? null);
    age();
  }

  /** The host has lost whoever marks, or has found it again; it marks what it shows. */
  function onGone() {
    isGone = node.closest(".jupyter-widgets-disconnected") !== null;
    if (isGone) wait(false);
    tell(isGone ? gone : "");
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) node.requestSubmit();
  }

  node.addEventListener("submit", onSubmit);
  node.addEventListener("keydown", onKey);
  // A finger on an option or a button gives the focus to none in some browsers; a bench stands outside its form.
  for (const event of ["focusin", "pointerdown", "change"]) node.addEventListener(event, heard.get);
  if (fields.length === 0) heard.get();
  node.addEventListener("focusout", keep);
  /** @type {[string, () => void][]} */
  const slots = [
    ["change:state", onState],
    ["change:verdict", onState],
    ["change:answer", onAnswer],
    ["comm_live_update", onGone],
  ];
  for (const [event, slot] of slots) model.on(event, slot);
  onAnswer();
  onState();
  queueMicrotask(() => {
    if (node.closest(".jupyter-widgets-disconnected") !== null) onGone();
  });
  return {
    node,
    end: () => {
      for (const timer of Object.values(timers)) clearTimeout(timer);
      for (const [event, slot] of slots) model.off(event, slot);
    },
  };
}

/**
 * Whether two answers are the same.
 * @param {unknown} one
 * @param {unknown} other
 */
function same(one, other) {
  return JSON.stringify(one) === JSON.stringify(other);
}

export default { render };
