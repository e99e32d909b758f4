// @ts-check
// What was typed and not checked, kept in this browser until it is: so a page that is loaded again after whatever
// happened shows it. It is nobody's answer yet.

/** @typedef {import("./told").Traits} Traits */

/** The drafts of one workbook. */
export class Drafts {
  /** @param {string} home the name they are kept under */
  constructor(home) {
    this.home = `probebook ${home}`;
    /** @type {Record<string, unknown>} */
    this.kept = {};
    this.#read();
  }

  /** Take over what another page of the same workbook has kept meanwhile. */
  #read() {
    try {
      const kept = JSON.parse(localStorage.getItem(this.home) ?? "{}");
      if (kept !== null && typeof kept === "object" && !Array.isArray(kept)) this.kept = kept;
    } catch {
      // A browser that keeps nothing, or something else under that name: what this page knows has to do.
    }
  }

  /** @param {string} key */
  of(key) {
    return Object.hasOwn(this.kept, key) ? this.kept[key] : undefined;
  }

  /**
   * @param {string} key
   * @param {unknown} answer
   */
  keep(key, answer) {
    this.#read();
    this.kept[key] = answer;
    this.#write();
  }

  /** @param {string} key */
  drop(key) {
    if (this.of(key) === undefined) return;
    this.#read();
    delete this.kept[key];
    this.#write();
  }

  #write() {
    try {
      if (Object.keys(this.kept).length === 0) localStorage.removeItem(this.home);
      else localStorage.setItem(this.home, JSON.stringify(this.kept));
    } catch {
      // A browser that keeps nothing: the page itself still holds what was typed.
    }
  }
}
