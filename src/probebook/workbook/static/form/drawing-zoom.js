// @ts-check
// A window on a drawing: larger, smaller, as wide as the page; moved by dragging, by scrolling, by keys, by fingers.

import { enable, make, pressable } from "./dom.js";

const STEP = 1.3;
const MOST = 6;
/** So far a pointer moves, in pixels, before it drags. */
const SLACK = 4;

/**
 * @param {HTMLElement} content what is looked at
 * @param {Readonly<Record<string, string>>} words
 */
export function makeZoom(content, words) {
  const frame = make(
    "div",
    { class: "pb-reader-frame", tabindex: "0", role: "region", "aria-label": words.frame },
    content,
  );
  const button = (/** @type {string} */ key, /** @type {string} */ sign, /** @type {() => void} */ press) => {
    const node = pressable(sign, press, { "aria-label": words[key] ?? null, title: words[key] ?? null });
    return node;
  };
  const larger = button("larger", "+", () => by(STEP));
  const smaller = button("smaller", "−", () => by(1 / STEP));
  const fit = button("fit", "⤢", () => to(1));
  const bar = make("div", { class: "pb-reader-zoom", title: words.keys ?? null }, smaller, fit, larger);
  const node = make("div", { class: "pb-reader-window" }, frame, bar);
  /** @param {boolean} isNear whether it is near what is seen: a page of many drawings holds the buttons of few */
  const near = (isNear) => {
    if (isNear) node.append(bar);
    else if (size === 1 && !bar.contains(document.activeElement)) bar.remove();
  };
  let size = 1;

  /**
   * @param {number} next
   * @param {number} [x] a place in the window that stays where it is
   * @param {number} [y]
   */
  function to(next, x = frame.clientWidth / 2, y = frame.clientHeight / 2) {
    const was = size;
    size = Math.min(MOST, Math.max(1, next));
    const [left, top] = [(frame.scrollLeft + x) / was, (frame.scrollTop + y) / was];
    if (was === 1 && size > 1) frame.style.height = `${frame.offsetHeight}px`;
    content.style.width = size === 1 ? "" : `${size * 100}%`;
    if (size === 1) frame.style.height = "";
    node.classList.toggle("pb-larger", size > 1);
    frame.scrollTo({ left: left * size - x, top: top * size - y, behavior: "instant" });
    enable(smaller, size > 1);
    enable(fit, size > 1);
    enable(larger, size < MOST);
  }

  /**
   * @param {number} factor
   * @param {number} [x]
   * @param {number} [y]
   */
  function by(factor, x, y) {
    const next = size * factor;
    to(next < 1.02 ? 1 : next, x, y);
  }

  /** @param {number} x @param {number} y @returns {[number, number]} */
  function within(x, y) {
    const { left, top } = frame.getBoundingClientRect();
    return [x - left, y - top];
  }

  frame.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      by(Math.exp(-event.deltaY / 300), ...within(event.clientX, event.clientY));
    },
    { passive: false },
  );
  frame.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "+" || event.key === "=") by(STEP);
    else if (event.key === "-") by(1 / STEP);
    else if (event.key === "0") to(1);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });

  const drag = dragged(frame, () => size > 1);
  pinched(frame, (factor, x, y) => by(factor, ...within(x, y)));
  to(1);
  return { node, near, isDragged: drag.isDragged };
}

/**
 * Let a mouse take hold of what is in a frame.
 * @param {HTMLElement} frame
 * @param {() => boolean} can
 */
function dragged(frame, can) {
  /** @type {{ x: number, y: number } | null} */
  let held = null;
  let far = 0;
  frame.addEventListener("pointerdown", (event) => {
    far = 0;
    if (event.pointerType !== "mouse" || event.button !== 0 || !can()) return;
    held = { x: event.clientX, y: event.clientY };
  });
  frame.addEventListener("pointermove", (event) => {
    if (held === null || event.buttons === 0) return;
    far += Math.abs(event.clientX - held.x) + Math.abs(event.clientY - held.y);
    frame.scrollBy({ left: held.x - event.clientX, top: held.y - event.clientY, behavior: "instant" });
    held = { x: event.clientX, y: event.clientY };
  });
  for (const end of ["pointerup", "pointerleave", "pointercancel"]) frame.addEventListener(end, () => (held = null));
  frame.addEventListener("dragstart", (event) => event.preventDefault());
  return { isDragged: () => far > SLACK };
}

/**
 * Let two fingers change the size; one finger scrolls, as anywhere.
 * @param {HTMLElement} frame
 * @param {(factor: number, x: number, y: number) => void} by
 */
function pinched(frame, by) {
  let apart = 0;
  /** @param {TouchEvent} event */
  const fingers = (event) => {
    const [one, other] = [event.touches[0], event.touches[1]];
    if (one === undefined || other === undefined) return null;
    const far = Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
    return { far, x: (one.clientX + other.clientX) / 2, y: (one.clientY + other.clientY) / 2 };
  };
  frame.addEventListener("touchstart", (event) => (apart = fingers(event)?.far ?? 0), { passive: true });
  frame.addEventListener(
    "touchmove",
    (event) => {
      const now = fingers(event);
      if (now === null || apart === 0) return;
      event.preventDefault();
      by(now.far / apart, now.x, now.y);
      apart = now.far;
    },
    { passive: false },
  );
}
