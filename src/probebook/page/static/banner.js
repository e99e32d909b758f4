// @ts-check
// Says in our words when nobody marks, and when all is well again.

/** How long something may be amiss, in milliseconds, before it is said. */
const GRACE = 1500;
/** How long it is said that all is well again. */
const WHILE = 6000;

/** The line at the top of a page. */
export class Banner {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  timer;
  shown = "";
  kind = "";

  /**
   * @param {import("./told").Told["words"]} words
   * @param {() => void} again tries again at once
   */
  constructor(words, again) {
    this.words = words;
    this.again = again;
    this.node = /** @type {HTMLElement} */ (document.getElementById("pb-trouble"));
  }

  /**
   * @param {import("./told").TroubleKind} kind
   * @param {string} [text] more about it
   */
  trouble(kind, text = "") {
    if (this.kind === kind && this.shown !== "") return;
    // That the server has stopped is seen by its silence while the kernel restarts as well.
    this.kind = kind;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#show(kind, text), kind === "refused" || kind === "restarted" ? 0 : GRACE);
  }

  /** Nothing is amiss. */
  well() {
    clearTimeout(this.timer);
    const wasSaid = this.shown !== "" && this.shown !== "connecting";
    this.kind = "";
    this.shown = "";
    if (!wasSaid) return this.#write("", "");
    this.#write("back", this.words.back);
    this.timer = setTimeout(() => this.#write("", ""), WHILE);
  }

  /**
   * @param {import("./told").TroubleKind} kind
   * @param {string} text
   */
  #show(kind, text) {
    this.shown = kind;
    this.#write(kind, [this.words[kind], text].filter(Boolean).join(" "));
    if (kind !== "stopped" && kind !== "refused") return;
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: this.words.again });
    button.addEventListener("click", () => this.again());
    this.node.append(" ", button);
  }

  /** @param {string} kind @param {string} text */
  #write(kind, text) {
    this.node.dataset.kind = kind;
    this.node.replaceChildren(...(text === "" ? [] : [text]));
  }
}
