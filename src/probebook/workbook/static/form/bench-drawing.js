// @ts-check
// The appliance: as built, or its schematic. What has been done to it is shown by classes and attributes alone, so that
// the focus stays where it is; only another size or another drawing is drawn anew.

import { bring, make, pressable, write } from "./dom.js";
import { draggable } from "./bench-drag.js";
import { PROBES } from "./bench-probes.js";
import { drawingOf, shape } from "./bench-svg.js";
import { makeMenu } from "./bench-menu.js";
import { deedsOn, markDrawing, nameThing } from "./bench-marks.js";
import { inOrder, stepTo, thingAt, thingsOn } from "./bench-things.js";

/** @typedef {import("./bench-types").Scene} Scene */
/** @typedef {import("./bench-types").Thing} Thing */
/** @typedef {import("./bench-types").Probe} Probe */

/** The drawing for a page of ordinary width takes at least so many pixels. */
const WIDE = 470;
/** How far above or below what is seen a drawing is kept: a harness has some 900 nodes. */
const FAR = "800px";
/** How near to a terminal a probe has to be let go, in pixels. */
const NEAR = 26;

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @param {ReturnType<typeof import("./bench-probes").makeProbes>} probes
 */
export function makeDrawing(view, hands, probes) {
  const { words } = view;
  const frame = make("div", { class: "pb-drawing", role: "group", "aria-label": words.drawing, tabindex: "-1" });
  const menu = makeMenu(frame, words, hands);
  const kinds = /** @type {const} */ (["as-built", "schematic"]);
  const tabs = kinds.map((kind) => pressable(words[kind] ?? "", () => choose(kind), { "aria-pressed": "false" }));
  const keys = make("p", { class: "pb-keys" }, words.keys ?? "");
  const node = make(
    "div",
    { class: "pb-picture" },
    make("div", { class: "pb-tabs", role: "group", "aria-label": words.drawing }, ...tabs),
    frame,
    keys,
  );
  /** @type {Thing[]} */
  let things = [];
  /** @type {SVGSVGElement | null} */
  let svg = null;
  /** @type {keyof import("./bench-types").BenchView["drawings"] | null} */
  let drawn = null;
  /** @type {"as-built" | "schematic"} */
  let kind = "as-built";
  /** @type {Scene | null} */
  let scene = null;
  /** @type {Thing | undefined} */
  let stop;
  let isNear = true;
  const ring = shape("rect", { class: "pb-ring", rx: 6, fill: "none", visibility: "hidden" });
  const tips = new Map(PROBES.map((which) => [which, tip(which)]));

  /** @param {typeof kind} next */
  function choose(next) {
    kind = next;
    draw();
  }

  /** Which drawing fits. */
  function wanted() {
    if (kind === "schematic") return kind;
    const width = frame.clientWidth;
    return width === 0 || width >= WIDE ? "wide" : "narrow";
  }

  function draw() {
    const next = wanted();
    for (const [place, tab] of tabs.entries()) tab.setAttribute("aria-pressed", String(kinds[place] === kind));
    if (isNear && next !== drawn) {
      const focused = thingAt(things, document.activeElement);
      menu.close(false);
      drawn = next;
      svg = drawingOf(view.drawings[next]);
      svg.setAttribute("class", `pb-svg pb-${next}`);
      svg.setAttribute("role", "group");
      svg.setAttribute("aria-label", view.title);
      for (const title of svg.querySelectorAll("title")) title.remove();
      things = thingsOn(svg);
      svg.append(ring, ...[...tips.values()].flatMap(({ lead, badge }) => [lead, badge]));
      frame.replaceChildren(svg, menu.node);
      things = inOrder(things);
      stop = undefined;
      if (scene !== null) show(scene);
      const again = things.find((one) => one.name === focused?.name && one.kind === focused.kind);
      again?.node.focus();
    }
  }

  /**
   * A drawing that is far from what is seen is let go of, and its room kept; it comes back as the job stands.
   * @param {boolean} is
   */
  function near(is) {
    if (is === isNear || (!is && node.contains(document.activeElement))) return;
    isNear = is;
    frame.style.minHeight = is ? "" : `${frame.offsetHeight}px`;
    if (is) return draw();
    menu.close(false);
    things = [];
    [svg, drawn, stop] = [null, null, undefined];
    frame.replaceChildren();
  }

  const reached = () => things.filter((one) => one.node.getAttribute("role") === "button" && !isHidden(one));
  /** @param {Thing} thing */
  const isHidden = (thing) => thing.node.getAttribute("aria-hidden") === "true";

  /** @param {Thing | undefined} next */
  function stopAt(next) {
    if (next === undefined) return;
    for (const one of things) if (one.node.hasAttribute("tabindex")) one.node.setAttribute("tabindex", "-1");
    next.node.setAttribute("tabindex", "0");
    stop = next;
  }

  /** @param {Thing} thing */
  function touch(thing) {
    if (scene === null || scene.back !== null) return;
    const off = scene.picture.wires_off.includes(thing.name);
    if (thing.kind === "terminal") probes.place(thing.name);
    if (thing.kind === "flag") hands.act(deeds(thing)[off ? 1 : 0]?.act ?? "");
    if (thing.kind === "cover") {
      const cover = view.covers.find((one) => one.name === thing.name);
      const isOff = scene.picture.covers_off.includes(thing.name);
      if (cover !== undefined) hands.act(isOff ? cover.on_act : cover.off_act);
    }
    if (thing.kind === "wire" || thing.kind === "part") openMenu(thing);
  }

  const deeds = (/** @type {Thing} */ thing) => deedsOn(view, thing);

  /** @param {Thing} thing */
  function openMenu(thing) {
    const found = deeds(thing);
    const title = [...view.parts, ...view.wires].find((one) => one.mark === thing.name)?.label ?? thing.name;
    const back = thing.node.hasAttribute("tabindex") ? thing.node : (stop?.node ?? frame);
    menu.open(thing.node, title, found, back);
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    const thing = thingAt(things, event.target);
    if (thing === undefined || event.altKey || event.ctrlKey || event.metaKey || thing.node !== event.target) return;
    const all = reached();
    const next = stepTo(all, thing, event.key);
    const letter = event.key.toUpperCase();
    const which = PROBES.find((one) => words[`${one}-letter`] === letter);
    if (next !== undefined) next.node.focus();
    else if (event.key === "Enter" || event.key === " ") touch(thing);
    else if (which !== undefined && thing.kind === "terminal" && scene?.back === null) probes.place(thing.name, which);
    else if (letter === words["look-letter"] && scene?.back === null) {
      const look = deeds(thing).at(-1);
      if (thing.kind !== "terminal" && thing.kind !== "cover" && look?.act.startsWith("look")) hands.act(look.act);
      else if (thing.kind === "part" && deeds(thing)[0] !== undefined) hands.act(deeds(thing)[0]?.act ?? "");
    } else return;
    event.preventDefault();
    event.stopPropagation();
  }

  /**
   * The terminal nearest to a place in the page.
   * @param {number} x
   * @param {number} y
   */
  function nearest(x, y) {
    let least = NEAR;
    /** @type {Thing | undefined} */
    let best;
    for (const one of things) {
      if (one.kind !== "terminal" || isHidden(one)) continue;
      const { left, right, top, bottom } = (
        one.node.querySelector(".touch, circle") ?? one.node
      ).getBoundingClientRect();
      const far = Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom));
      if (far < least) {
        least = far;
        best = one;
      }
    }
    return best;
  }

  /** @param {Thing | undefined} near */
  function hover(near) {
    for (const one of things) one.node.classList.toggle("pb-near", one === near);
  }

  /**
   * Let a node be dragged as a probe.
   * @param {HTMLElement | SVGElement} handle
   * @param {Probe} which
   * @param {(() => void) | null} tap
   */
  function drag(handle, which, tap) {
    draggable(handle, {
      kind: which,
      tap,
      sign: () => words[`${which}-letter`] ?? "",
      free: () => scene !== null && scene.back === null && !scene.state.job.over,
      move: (x, y) => hover(nearest(x, y)),
      leave: () => hover(undefined),
      drop: (x, y) => {
        const found = nearest(x, y);
        if (found === undefined) probes.off(which);
        else if (probes.at()[which] !== found.name) probes.place(found.name, which);
      },
    });
  }

  /**
   * A probe on the drawing is pressed: as if the terminal it stands on were.
   * @param {Probe} which
   */
  function press(which) {
    const thing = things.find((one) => one.kind === "terminal" && one.name === probes.at()[which]);
    if (thing === undefined || scene === null || scene.state.job.over) return;
    thing.node.focus();
    touch(thing);
  }

  /** @param {Probe} which */
  function tip(which) {
    const badge = shape(
      "g",
      { class: `pb-tip pb-${which}`, visibility: "hidden" },
      shape("circle", { r: 12 }),
      shape("text", { y: 4.5, "text-anchor": "middle", "font-size": 13 }, words[`${which}-letter`] ?? ""),
    );
    badge.addEventListener("click", () => press(which));
    return { badge, lead: shape("path", { class: `pb-lead pb-${which}`, fill: "none", visibility: "hidden" }) };
  }
  for (const [which, { badge }] of tips) drag(badge, which, () => press(which));

  function showTips() {
    const shown = scene?.back === null ? probes.at() : pairOf(scene?.picture.reading ?? []);
    const [, , width = 0, height = 0] = (svg?.getAttribute("viewBox") ?? "").split(" ").map(Number);
    for (const [which, { badge, lead }] of tips) {
      const at = shown[which];
      const node = things.find((one) => one.kind === "terminal" && one.name === at)?.node;
      const spot = node?.querySelector("circle");
      const x = Number(node?.dataset.x ?? spot?.getAttribute("cx"));
      const y = Number(node?.dataset.y ?? spot?.getAttribute("cy"));
      for (const one of [badge, lead]) one.setAttribute("visibility", node === undefined ? "hidden" : "visible");
      if (node === undefined) continue;
      const low = which === "red" ? 10 : 24;
      badge.setAttribute("transform", `translate(${x} ${y})`);
      const end = drawn === "narrow" ? `${width / 2 + low} 0` : `${width} ${Math.min(height, y + 90 + low)}`;
      const bend =
        drawn === "narrow" ? `${x} ${y - 60} ${width / 2 + low} 60` : `${x + 50} ${y + 70} ${width - 60} ${y + 60}`;
      lead.setAttribute("d", `M${x} ${y} C${bend} ${end}`);
    }
  }

  /** @param {Scene} next */
  function show(next) {
    scene = next;
    if (svg === null) return;
    markDrawing(svg, things, view, next);
    for (const thing of things) nameThing(thing, view, next, probes.at());
    if (stop === undefined || isHidden(stop)) stopAt(reached()[0]);
    showTips();
    frame.classList.toggle("pb-still", next.back !== null || next.state.job.over);
    write(keys, words.keys ?? "");
  }

  frame.addEventListener("click", (event) => {
    const thing = thingAt(things, event.target);
    if (thing === undefined || isHidden(thing)) return;
    if (thing.node.hasAttribute("tabindex")) thing.node.focus();
    touch(thing);
  });
  frame.addEventListener("keydown", onKey);
  frame.addEventListener("focusin", (event) => {
    const thing = thingAt(things, event.target);
    if (thing === undefined || thing.node !== event.target) return;
    stopAt(thing);
    bring(thing.node);
    const box = /** @type {SVGGraphicsElement} */ (thing.node.querySelector(".touch") ?? thing.node).getBBox?.();
    if (box === undefined) return;
    for (const [name, value] of Object.entries({
      x: box.x - 2,
      y: box.y - 2,
      width: box.width + 4,
      height: box.height + 4,
    }))
      ring.setAttribute(name, String(value));
    ring.setAttribute("visibility", "visible");
  });
  frame.addEventListener("focusout", () => ring.setAttribute("visibility", "hidden"));
  const observer = typeof ResizeObserver === "undefined" ? null : new ResizeObserver(() => draw());
  observer?.observe(frame);
  const watch =
    typeof IntersectionObserver === "undefined"
      ? null
      : new IntersectionObserver((seen) => near(seen.at(-1)?.isIntersecting ?? true), { rootMargin: FAR });
  watch?.observe(frame);
  const onPrint = () => near(true);
  addEventListener("beforeprint", onPrint);
  draw();
  const end = () => {
    observer?.disconnect();
    watch?.disconnect();
    removeEventListener("beforeprint", onPrint);
  };
  return { node, show, drag, end };
}

/**
 * @param {readonly string[]} reading
 * @returns {import("./bench-types").Placed}
 */
function pairOf(reading) {
  return { red: reading[0] ?? null, black: reading[1] ?? null };
}
