// @ts-check
// What every component of a notebook brings along: it waits for the code, which comes once and serves the whole page.
// The model that carries the code gives it to all; where none does, the first that is drawn asks for it.

/** @typedef {{ default: { render(given: { model: any, el: HTMLElement }): () => void } }} Code */
/** @typedef {{ promise: Promise<Code>, resolve: (code: Promise<Code>) => void, isThere: boolean }} Waiting */
/** @typedef {import("./model").Model<import("./model").CarrierTraits>} Carrier */

/** How long another model may take to bring the code, in milliseconds, before it is asked for. */
const GRACE = 700;

/**
 * Whoever waits for the code of a component, by its name and version: one for the whole page.
 * @param {string} name
 * @returns {Waiting}
 */
function waiting(name) {
  /** @type {Record<symbol, Waiting | undefined>} */
  const page = /** @type {any} */ (globalThis);
  const key = Symbol.for(`probebook ${name}`);
  let found = page[key];
  if (found === undefined) {
    /** @type {Waiting["resolve"]} */
    let resolve = () => {};
    const promise = /** @type {Promise<Code>} */ (new Promise((then) => (resolve = then)));
    found = { promise, resolve, isThere: false };
    page[key] = found;
  }
  return found;
}

/** @param {Carrier} model */
function offer(model) {
  const { module, styles } = model.get("code");
  const found = waiting(model.get("component"));
  if (module === undefined || found.isThere) return;
  found.isThere = true;
  const style = document.createElement("style");
  style.textContent = styles ?? "";
  document.head.append(style);
  const address = URL.createObjectURL(new Blob([module], { type: "text/javascript" }));
  const code = import(address);
  found.resolve(code);
  void code.finally(() => URL.revokeObjectURL(address));
}

/** @param {{ model: Carrier }} given */
function initialize({ model }) {
  offer(model);
  model.on("change:code", () => offer(model));
}

/** @param {{ model: Carrier, el: HTMLElement }} given */
async function render({ model, el }) {
  const found = waiting(model.get("component"));
  setTimeout(() => {
    if (!found.isThere) model.send({ press: "code" });
  }, GRACE);
  const code = await found.promise;
  return code.default.render({ model, el });
}

export default { initialize, render };
