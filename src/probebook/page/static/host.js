// @ts-check
// Holds the components of a page: draws them into their places, gives each its model, passes on what is said.

import { Drafts } from "./drafts.js";
import { Model, same } from "./model.js";

/** @typedef {import("./told").Told} Told */
/** @typedef {import("./told").ToldComponent} ToldComponent */
/** @typedef {import("./told").Traits} Traits */
/** @typedef {import("./told").Asked} Asked */
/** @typedef {{ model: Model, place: string, node: HTMLElement, end: Promise<() => void> }} Held */

/** How a form stands before the kernel has said anything. */
const UNMARKED = { checks: 0, checked: null, changed: false, working: "", open: false };

/** Style sheets of components that come with the page. */
const BUNDLED = ["form", "practice", "drawing"];

/** The components of one page. */
export class Host {
  /** @type {Map<string, Held>} */
  held = new Map();
  /** @type {Map<number, Asked>} what was asked and is not done */
  waiting = new Map();
  count = 0;
  /** Whether the kernel has told of what it holds. */
  isOpen = false;

  /**
   * @param {Told} told
   * @param {(asked: Asked) => boolean} say gives something to the kernel; false where nobody hears it
   */
  constructor(told, say) {
    this.told = told;
    this.say = say;
    this.drafts = new Drafts(told.home);
  }

  /** Draw the forms that the server has told of; they can be filled in before the kernel is there. */
  begin() {
    for (const [question, { view, answer, score }] of Object.entries(this.told.forms)) {
      const key = `${question}/form.js`;
      const traits = { view, answer, state: { ...UNMARKED, score }, verdict: {} };
      this.mount(question, [{ key, module: "form/form.js", sheets: ["form", "drawing"], traits }]);
    }
  }

  /**
   * Show components in a place: those that are there already take over what is told of them, others go.
   * @param {string} place
   * @param {readonly ToldComponent[]} components
   */
  mount(place, components) {
    const node = placeOf(place);
    if (node === null) return;
    node.querySelector(".pb-coming")?.remove();
    const keys = components.map(({ key }) => key);
    for (const [key, held] of this.held) if (held.place === place && !keys.includes(key)) this.#end(key, held);
    for (const told of components) {
      const held = this.held.get(told.key);
      if (held !== undefined) this.#renew(held, told);
      else this.#draw(place, node, told, components.length === 1 && node.matches(".pb-ask:empty"));
    }
  }

  /**
   * @param {string} place
   * @param {HTMLElement} at
   * @param {ToldComponent} told
   * @param {boolean} isAlone whether it has the place for itself, and needs no node of its own in it
   */
  #draw(place, at, told, isAlone) {
    const draft = this.#draft(told);
    const traits = draft === undefined ? told.traits : { ...told.traits, answer: draft };
    const model = new Model(told.key, traits, (asked) => this.ask(asked));
    const node = isAlone ? at : document.createElement("div");
    node.classList.add("pb-component");
    if (!isAlone) at.append(node);
    for (const sheet of told.sheets) this.#dress(sheet);
    const end = import(`${this.told.static}workbook/static/${told.module}`).then((code) =>
      code.default.render({ model, el: node }),
    );
    this.held.set(told.key, { model, place, node, end });
    if (draft !== undefined && this.isOpen) this.ask({ key: told.key, traits: { answer: draft } });
  }

  /**
   * What was typed here and not checked, where it is other than what is told.
   * @param {ToldComponent} told
   */
  #draft({ key, traits }) {
    const draft = this.drafts.of(key);
    const { answer, state } = /** @type {{ answer?: unknown, state?: { checked?: unknown } }} */ (traits);
    if (draft === undefined || answer === undefined) return undefined;
    if (same(draft, state?.checked)) this.drafts.drop(key);
    return same(draft, answer) ? undefined : draft;
  }

  /**
   * The kernel tells of a component that is in the page. What was typed here and not checked stays, and is told to it.
   * @param {Held} held
   * @param {ToldComponent} told
   */
  #renew(held, told) {
    const draft = this.#draft(told);
    if (draft === undefined) return held.model.take(told.traits);
    held.model.take({ ...told.traits, answer: draft });
    this.ask({ key: told.key, traits: { answer: draft } });
  }

  /** @param {string} key @param {Held} held */
  #end(key, held) {
    this.held.delete(key);
    if (held.node === placeOf(held.place)) {
      held.node.classList.remove("pb-component");
      held.node.replaceChildren();
    } else held.node.remove();
    void held.end.then((end) => end());
  }

  /** @param {string} sheet */
  #dress(sheet) {
    if (BUNDLED.includes(sheet)) return;
    const href = `${this.told.static}workbook/static/${sheet}.css`;
    if (document.querySelector(`link[href="${href}"]`) !== null) return;
    const link = document.createElement("link");
    link.rel = "stylesheet";
    link.href = href;
    document.head.append(link);
  }

  // ---------------------------------------------------------------- what is asked of the kernel

  /** @param {Asked} asked */
  ask(asked) {
    this.count += 1;
    asked.n = this.count;
    if (asked.traits?.answer !== undefined) {
      this.drafts.keep(asked.key, asked.traits.answer);
    }
    this.waiting.set(asked.n, asked);
    this.say(asked);
  }

  /** @param {number} n */
  done(n) {
    const asked = this.waiting.get(n);
    this.waiting.delete(n);
    if (asked?.press?.press === "check" && ![...this.waiting.values()].some(({ key }) => key === asked.key)) {
      this.drafts.drop(asked.key);
    }
  }

  /** The kernel has begun anew: what it never did is asked again, where doing it late does no harm. */
  askAgain() {
    this.isOpen = true;
    const before = [...this.waiting.values()];
    this.waiting.clear();
    for (const asked of before) {
      const isHarmless = asked.traits !== undefined || asked.press?.press === "check";
      if (isHarmless && this.held.has(asked.key)) this.ask(asked);
    }
  }

  /** Whether a question of practice stands in the page. */
  practised() {
    return [...this.held.values()].filter(({ place }) => place === "practice").length > 1;
  }

  /** @param {string} key @param {Traits} traits */
  take(key, traits) {
    this.held.get(key)?.model.take(traits);
  }

  /** @param {string} key @param {unknown} content */
  hear(key, content) {
    this.held.get(key)?.model.hear(content);
  }
}

/**
 * The node of a place: of a question, or one that has a name of its own.
 * @param {string} place
 * @returns {HTMLElement | null}
 */
export function placeOf(place) {
  return document.querySelector(`[data-place="${CSS.escape(place)}"]`);
}
