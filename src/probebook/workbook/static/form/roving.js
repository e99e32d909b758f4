// @ts-check
// A group with one Tab stop: arrows, Home and End move within it.

const STEPS = new Map([
  ["ArrowDown", "next"],
  ["ArrowRight", "next"],
  ["ArrowUp", "previous"],
  ["ArrowLeft", "previous"],
  ["Home", "first"],
  ["End", "last"],
]);

/**
 * Let arrows move the focus among nodes, of which one at a time is a Tab stop.
 * @param {HTMLElement} group that holds the nodes
 * @param {() => HTMLElement[]} nodes in the order they are walked through
 */
export function rove(group, nodes) {
  /** @param {HTMLElement | undefined} chosen */
  const stopAt = (chosen) => {
    for (const node of nodes()) node.tabIndex = node === chosen ? 0 : -1;
  };
  stopAt(nodes()[0]);
  group.addEventListener("focusin", (event) => {
    const found = nodes().find((node) => node === event.target);
    if (found !== undefined) stopAt(found);
  });
  group.addEventListener("keydown", (event) => {
    const step = STEPS.get(event.key);
    const all = nodes();
    const place = all.indexOf(/** @type {HTMLElement} */ (event.target));
    if (step === undefined || place < 0 || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const target = { next: place + 1, previous: place - 1, first: 0, last: all.length - 1 }[step] ?? place;
    all[(target + all.length) % all.length]?.focus();
  });
}
