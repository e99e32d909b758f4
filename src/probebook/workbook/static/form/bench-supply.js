// @ts-check
// The supply: how it stands, the steps of isolating and proving dead, and putting it back.

import { panel, signed } from "./bench-parts.js";
import { enable, make, pressable, write } from "./dom.js";

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @returns {import("./bench-types").Piece}
 */
export function makeSupply(view, hands) {
  const { words } = view;
  const lamp = make("div", { class: "pb-supply-lamp" });
  const clock = make("div", { class: "pb-clock" });
  const steps = view.steps.map(({ act, label, done }) => {
    const button = pressable(label, () => hands.act(act), { class: "pb-step-button" });
    return { act, done, label, button };
  });
  const back = pressable(view.supply.label, () => hands.act(view.supply.act));
  const list = make(
    "ol",
    { class: "pb-dead", "aria-label": words.steps },
    ...steps.map(({ button }) => make("li", {}, button)),
  );
  const node = panel(
    "supply",
    words["head-supply"] ?? "",
    make("div", { class: "pb-supply-top" }, lamp, clock),
    list,
    back,
  );
  return {
    node,
    show: ({ state, picture, back: looks }) => {
      const can = looks === null && !state.job.over;
      const dead = picture.isolated && picture.locked && picture.tester_proved_again && picture.tested.length === 3;
      const more = [picture.locked ? words.locked : "", dead ? words.dead : ""].filter(Boolean).join(", ");
      const said = picture.isolated ? `${words["supply-off"]}${more ? `: ${more}` : ""}` : (words["supply-on"] ?? "");
      signed(lamp, picture.isolated ? (dead ? "✔ " : "○ ") : "⚡ ", said);
      lamp.classList.toggle("pb-live", !picture.isolated);
      lamp.classList.toggle("pb-proved", dead);
      write(clock, `${picture.minutes.toFixed(1)} ${words.minutes}`);
      for (const { act, done, label, button } of steps) {
        const [key = "", pair] = done.split(" ");
        const is =
          pair === undefined ? picture[/** @type {"isolated"} */ (key)] === true : picture.tested.includes(pair);
        if (is) button.setAttribute("aria-label", `${label}, ${words.done}`);
        else button.removeAttribute("aria-label");
        button.classList.toggle("pb-done", is);
        enable(button, can && state.job.acts.includes(act));
      }
      enable(back, can && state.job.acts.includes(view.supply.act));
    },
  };
}
