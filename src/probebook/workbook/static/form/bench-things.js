// @ts-check
// What can be touched on a drawing, what it is called, and how arrow keys go about it: one Tab stop for all.

/** @typedef {import("./bench-types").Thing} Thing */

const SELECTOR = ".cover, .part, .terminal, .flag, .wire";

/**
 * Everything on a drawing that can be touched, from top to bottom, column by column.
 * @param {SVGSVGElement} svg
 * @returns {Thing[]}
 */
export function thingsOn(svg) {
  const withFlags = svg.querySelector(".flag") !== null;
  /** @type {Thing[]} */
  const found = [];
  for (const node of svg.querySelectorAll(SELECTOR)) {
    const group = /** @type {SVGGElement} */ (node);
    const kind = /** @type {Thing["kind"]} */ (
      ["cover", "part", "terminal", "flag", "wire"].find((name) => group.classList.contains(name))
    );
    const data = group.dataset;
    const name = { cover: data.cover, part: data.part, terminal: data.terminal, flag: data.wire, wire: data.wire }[
      kind
    ];
    const thing = { kind, name: name ?? "", node: group };
    found.push(thing);
    if (kind === "wire" && withFlags) continue;
    group.setAttribute("role", "button");
    group.setAttribute("tabindex", "-1");
  }
  return found;
}

/**
 * The thing a node belongs to.
 * @param {readonly Thing[]} things
 * @param {EventTarget | null} target
 */
export function thingAt(things, target) {
  const group = target instanceof Element ? target.closest(SELECTOR) : null;
  return things.find((thing) => thing.node === group);
}

/** @param {Thing} thing */
function place(thing) {
  const touch = thing.node.querySelector(".touch") ?? thing.node;
  const { left, top, width, height } = touch.getBoundingClientRect();
  return { x: left + width / 2, y: top + height / 2 };
}

/**
 * Where an arrow key leads: up and down through all of them, sideways to the nearest.
 * @param {readonly Thing[]} things that can be reached, in order
 * @param {Thing} from
 * @param {string} key
 * @returns {Thing | undefined}
 */
export function stepTo(things, from, key) {
  const at = things.indexOf(from);
  if (key === "Home") return things[0];
  if (key === "End") return things[things.length - 1];
  if (key === "ArrowDown") return things[(at + 1) % things.length];
  if (key === "ArrowUp") return things[(at - 1 + things.length) % things.length];
  const side = key === "ArrowRight" ? 1 : key === "ArrowLeft" ? -1 : 0;
  if (side === 0) return undefined;
  const here = place(from);
  /** @type {Thing | undefined} */
  let best;
  let least = Number.POSITIVE_INFINITY;
  for (const thing of things) {
    const there = place(thing);
    const across = (there.x - here.x) * side;
    const cost = across + 3 * Math.abs(there.y - here.y);
    if (across > 4 && cost < least) {
      best = thing;
      least = cost;
    }
  }
  return best;
}

/**
 * Things in the order in which they are gone through: by column, and downwards in it.
 * @param {readonly Thing[]} things
 */
export function inOrder(things) {
  const placed = things.map((thing) => ({ thing, ...place(thing) }));
  const middle = placed.reduce((sum, each) => sum + each.x, 0) / Math.max(1, placed.length);
  const column = (/** @type {{ x: number }} */ each) => Number(each.x > middle);
  placed.sort((one, other) => column(one) - column(other) || one.y - other.y || one.x - other.x);
  return placed.map((each) => each.thing);
}
