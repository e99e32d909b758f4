// @ts-check
// The front of the appliance: the control and the thermostat, and trying it out.

import { panel } from "./bench-parts.js";
import { shape } from "./bench-svg.js";
import { enable, make, pressable } from "./dom.js";
import { rove } from "./roving.js";

/** From the first position to the last the pointer turns so far, in degrees. */
const SWEEP = 270;

/**
 * @param {string} title
 * @param {readonly import("./bench-types").Deed[]} deeds
 * @param {import("./bench-types").Hands} hands
 */
function knob(title, deeds, hands) {
  const angle = (/** @type {number} */ place) => (deeds.length > 1 ? (place / (deeds.length - 1) - 0.5) * SWEEP : 0);
  const ticks = deeds.map((_, place) => tick((angle(place) * Math.PI) / 180)).join(" ");
  const pointer = shape("path", { d: "M0 -3 V-17", class: "pb-knob-pointer" });
  const picture = shape(
    "svg",
    { viewBox: "-32 -32 64 64", class: "pb-knob", "aria-hidden": "true" },
    shape("path", { d: ticks, class: "pb-knob-tick" }),
    shape("circle", { r: 20, class: "pb-knob-body" }),
    pointer,
  );
  const buttons = deeds.map(({ act, label }) => pressable(label, () => hands.act(act), { "aria-pressed": "false" }));
  const list = make("div", { class: "pb-settings" }, ...buttons);
  rove(list, () => buttons);
  let now = 0;
  picture.addEventListener("click", () => {
    const next = buttons[(now + 1) % buttons.length];
    next?.focus();
    next?.click();
  });
  return {
    node: make("div", { class: "pb-knob-group", role: "group", "aria-label": title }, picture, list),
    /**
     * @param {number} place
     * @param {boolean} can
     */
    show: (place, can) => {
      now = place;
      pointer.setAttribute("transform", `rotate(${angle(place)})`);
      for (const [each, button] of buttons.entries()) {
        button.setAttribute("aria-pressed", String(each === place));
        enable(button, can && each !== place);
      }
    },
  };
}

/**
 * A line of a path from the knob outwards.
 * @param {number} turned from the top, in radians
 */
function tick(turned) {
  const at = (/** @type {number} */ far) =>
    `${(far * Math.sin(turned)).toFixed(2)} ${(-far * Math.cos(turned)).toFixed(2)}`;
  return `M${at(24)} L${at(29)}`;
}

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @returns {import("./bench-types").Piece}
 */
export function makeControls(view, hands) {
  const { words } = view;
  const control = knob(words.knob ?? "", view.positions, hands);
  const thermostat = view.thermostat.length === 0 ? null : knob(words.thermostat ?? "", view.thermostat, hands);
  const tries = [...view.tries, view.dry].map(({ act, label }) => ({
    act,
    button: pressable(label, () => hands.act(act)),
  }));
  const node = panel("controls", words["head-controls"] ?? "", control.node);
  if (thermostat !== null)
    node.append(
      make("div", { class: "pb-panel-head", "aria-hidden": "true" }, words.thermostat ?? ""),
      thermostat.node,
    );
  node.append(
    make(
      "div",
      { class: "pb-row", role: "group", "aria-label": words["try-out"] },
      ...tries.map(({ button }) => button),
    ),
  );
  return {
    node,
    show: ({ state, picture, back }) => {
      const can = back === null && !state.job.over;
      control.show(
        view.positions.findIndex((one) => one.name === picture.position),
        can,
      );
      thermostat?.show(picture.calling ? 0 : 1, can);
      for (const { act, button } of tries) enable(button, can && state.job.acts.includes(act));
    },
  };
}
