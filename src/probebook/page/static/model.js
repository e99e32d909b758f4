// @ts-check
// The model of a component as a page of ours holds it: what a notebook's widget model is to the same component.

/** @typedef {import("./told").Traits} Traits */
/** @typedef {import("./told").Asked} Asked */

/** Holds the traits of one component, tells it of changes, and says to the kernel what it writes and presses. */
export class Model {
  /** @type {Map<string, Set<(content?: unknown) => void>>} */
  #slots = new Map();
  /** @type {Set<string>} what was written and not yet said */
  #written = new Set();

  /**
   * @param {string} key its name between page and kernel
   * @param {Traits} traits
   * @param {(asked: Asked) => void} ask says something to the kernel
   */
  constructor(key, traits, ask) {
    this.key = key;
    this.traits = { ...traits };
    this.ask = ask;
  }

  /** @param {string} name */
  get(name) {
    return this.traits[name];
  }

  /**
   * @param {string} name
   * @param {unknown} value
   */
  set(name, value) {
    this.traits[name] = value;
    this.#written.add(name);
    this.#tell(`change:${name}`);
  }

  save_changes() {
    if (this.#written.size === 0) return;
    const traits = Object.fromEntries([...this.#written].map((name) => [name, this.traits[name]]));
    this.#written.clear();
    this.ask({ key: this.key, traits });
  }

  /** @param {{ press: string }} content */
  send(content) {
    this.ask({ key: this.key, press: content });
  }

  /**
   * @param {string} event
   * @param {(content?: unknown) => void} slot
   */
  on(event, slot) {
    const slots = this.#slots.get(event) ?? new Set();
    this.#slots.set(event, slots.add(slot));
  }

  /**
   * @param {string} event
   * @param {(content?: unknown) => void} slot
   */
  off(event, slot) {
    this.#slots.get(event)?.delete(slot);
  }

  /**
   * Take over what the kernel says: all of it stands before the component is told of any.
   * @param {Traits} traits
   */
  take(traits) {
    const changed = Object.keys(traits).filter((name) => !same(this.traits[name], traits[name]));
    for (const name of changed) this.traits[name] = traits[name];
    for (const name of changed) this.#tell(`change:${name}`);
  }

  /**
   * The kernel's component has sent something that is no trait.
   * @param {unknown} content
   */
  hear(content) {
    this.#tell("msg:custom", content);
  }

  /**
   * @param {string} event
   * @param {unknown} [content]
   */
  #tell(event, content) {
    for (const slot of [...(this.#slots.get(event) ?? [])]) slot(content);
  }
}

/**
 * Whether two values are the same, as plain data.
 * @param {unknown} one
 * @param {unknown} other
 */
export function same(one, other) {
  return JSON.stringify(one) === JSON.stringify(other);
}
