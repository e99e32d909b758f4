// @ts-check
// The path of the current on a drawing: heavy with arrows in the sense of the current, the rest pale. Nothing moves.

import { make, pressable } from "./dom.js";
import { rove } from "./roving.js";

/** @typedef {import("./drawing-types").Reading} Reading */

/**
 * The buttons of positions and loads.
 * @param {import("./drawing-types").Told} told
 * @param {() => SVGSVGElement} live the drawing itself
 * @param {(shown: SVGSVGElement | null, told: string) => void} show puts the drawing up, or null the picture
 */
export function makePath({ words, readings }, live, show) {
  /** @type {number | null} */
  let position = null;
  /** @type {number | null} */
  let load = null;

  const positions = [
    pressable(words["as-drawn"] ?? "", () => choose(null, null)),
    ...readings.map(({ title }, place) => pressable(title, () => choose(place, null))),
  ];
  const loads = make("div", { class: "pb-row", role: "group", "aria-label": words.follow, hidden: true });
  const row = make("div", { class: "pb-row", role: "group", "aria-label": words.path }, ...positions);
  rove(row, () => positions);
  const node = make(
    "div",
    { class: "pb-reader-path" },
    make("span", { class: "pb-reader-head", "aria-hidden": "true" }, words.path ?? ""),
    row,
    loads,
  );

  /**
   * @param {number | null} place
   * @param {number | null} which
   */
  function choose(place, which) {
    const isOther = place !== position;
    position = place;
    load = which;
    const reading = place === null ? undefined : readings[place];
    for (const [at, button] of positions.entries())
      button.setAttribute("aria-pressed", String(at === (place === null ? 0 : place + 1)));
    if (isOther) listLoads(reading);
    for (const [at, button] of [...loads.querySelectorAll("button")].entries())
      button.setAttribute("aria-pressed", String(at === (which === null ? 0 : which + 1)));
    if (reading === undefined) return show(null, "");
    const one = which === null ? undefined : reading.loads[which];
    const svg = live();
    mark(svg, reading, one === undefined ? null : new Set(one.on));
    show(svg, one?.told ?? reading.told);
  }

  /** @param {Reading | undefined} reading */
  function listLoads(reading) {
    const many = reading === undefined || reading.loads.length < 2 ? [] : reading.loads;
    loads.hidden = many.length === 0;
    const buttons = many.length === 0 ? [] : [pressable(words.whole ?? "", () => choose(position, null))];
    for (const [place, { label }] of many.entries())
      buttons.push(pressable(label, () => choose(position, load === place ? null : place)));
    loads.replaceChildren(...buttons);
    rove(loads, () => buttons);
  }

  /**
   * A part was pressed: its path in this position, or in the first in which it works.
   * @param {string} part
   */
  function follow(part) {
    const works = (/** @type {Reading} */ reading) => reading.loads.some((one) => one.part === part);
    const here = position !== null && readings[position] !== undefined;
    const place = here ? position : readings.findIndex(works);
    const reading = readings[place ?? -1];
    if (reading === undefined) return choose(position, load);
    const own = reading.loads.flatMap((one, at) => (one.part === part ? [at] : []));
    if (own.length === 0) return choose(place, load);
    const next = own.indexOf(load ?? -1) + 1;
    choose(place, own[next] ?? null);
  }

  choose(null, null);
  return { node, follow, again: () => choose(position, load) };
}

/**
 * Mark what carries current.
 * @param {SVGSVGElement} svg
 * @param {Reading} reading
 * @param {ReadonlySet<string> | null} only what lies on one way alone; null for all
 */
export function mark(svg, reading, only) {
  const flows = (/** @type {string} */ name) =>
    Object.hasOwn(reading.flow, name) && (only === null || only.has(name)) ? (reading.flow[name] ?? 0) : undefined;
  for (const piece of svg.querySelectorAll("[data-flow]")) {
    const isLive = flows(piece.getAttribute("data-flow") ?? "") !== undefined;
    piece.removeAttribute("opacity");
    piece.classList.toggle("pb-live", isLive);
    piece.classList.toggle("pb-idle", !isLive);
  }
  for (const arrow of svg.querySelectorAll(".arrow")) {
    const sense = flows(arrow.getAttribute("data-of") ?? "");
    display(arrow, sense === (arrow.classList.contains("to") ? 1 : -1));
  }
  for (const contact of svg.querySelectorAll("[data-contact]")) {
    const isShut = reading.closed.includes(contact.getAttribute("data-contact") ?? "");
    for (const [name, is] of /** @type {const} */ ([
      ["shut", isShut],
      ["ajar", !isShut],
    ])) {
      const way = contact.querySelector(`:scope > .${name}`);
      if (way !== null) display(way, is);
    }
  }
}

/**
 * @param {Element} node
 * @param {boolean} is
 */
function display(node, is) {
  if (is) node.removeAttribute("display");
  else node.setAttribute("display", "none");
}
