// @ts-check
// Dragging a probe with a mouse, a pen or a finger. A finger's page does not scroll while it holds a probe: that takes a
// touchstart that is stopped on the probe itself; elsewhere the page scrolls as ever.

import { make } from "./dom.js";

/** From so many pixels on it is a drag and no tap. */
const SLACK = 6;

/**
 * @param {HTMLElement | SVGElement} handle
 * @param {{ sign: () => string, kind: string, tap: (() => void) | null, move: (x: number, y: number) => void,
 *   drop: (x: number, y: number) => void, leave: () => void, free: () => boolean }} told
 */
export function draggable(handle, { sign, kind, tap, move, drop, leave, free }) {
  /** @type {{ x: number, y: number, id: number } | null} */
  let start = null;
  /** @type {HTMLElement | null} */
  let ghost = null;
  let dropped = Number.NEGATIVE_INFINITY;

  function end() {
    ghost?.remove();
    ghost = null;
    start = null;
    leave();
  }

  handle.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
  handle.addEventListener("pointerdown", (given) => {
    const event = /** @type {PointerEvent} */ (given);
    if (event.button !== 0 || !free()) return;
    start = { x: event.clientX, y: event.clientY, id: event.pointerId };
    handle.setPointerCapture?.(event.pointerId);
  });
  handle.addEventListener("pointermove", (given) => {
    const event = /** @type {PointerEvent} */ (given);
    if (start === null || event.pointerId !== start.id) return;
    const far = Math.hypot(event.clientX - start.x, event.clientY - start.y);
    if (ghost === null && far > SLACK) {
      ghost = make("div", { class: `pb-ghost pb-${kind}`, "aria-hidden": "true" }, sign());
      (handle.closest(".pb-bench") ?? document.body).append(ghost);
    }
    if (ghost === null) return;
    ghost.style.left = `${event.clientX}px`;
    ghost.style.top = `${event.clientY}px`;
    move(event.clientX, event.clientY);
  });
  handle.addEventListener("pointerup", (given) => {
    const event = /** @type {PointerEvent} */ (given);
    if (start === null) return;
    const dragged = ghost !== null;
    end();
    if (dragged) {
      dropped = event.timeStamp;
      drop(event.clientX, event.clientY);
    } else if (event.pointerType === "touch") tap?.();
  });
  handle.addEventListener("pointercancel", end);
  // A mouse clicks where it let go: that is no press of the handle.
  handle.addEventListener(
    "click",
    (event) => {
      if (event.timeStamp - dropped < 100) event.stopImmediatePropagation();
    },
    { capture: true },
  );
}
