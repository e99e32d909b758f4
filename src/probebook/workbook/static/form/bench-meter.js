// @ts-check
// The meter: display, dial, beeper, nulling, and the two probes that are taken from it.

import { panel, signed } from "./bench-parts.js";
import { PROBES } from "./bench-probes.js";
import { makeTone } from "./bench-tone.js";
import { enable, make, pressable, write } from "./dom.js";
import { rove } from "./roving.js";

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @param {ReturnType<typeof import("./bench-probes").makeProbes>} probes
 */
export function makeMeter(view, hands, probes) {
  const { words } = view;
  const tone = makeTone();
  const figure = make("output", { class: "pb-figure-shown", "aria-live": "off", "aria-label": words["head-display"] });
  const beeps = make("span", { class: "pb-beeps" });
  const set = make("span", { class: "pb-set" });
  const glass = make("div", { class: "pb-glass" }, make("div", { class: "pb-glass-top" }, set, beeps), figure);
  const settings = view.dial.map(({ act, sign, label, meter }) => {
    const named = { title: label, "aria-label": `${label}, ${meter}` };
    return pressable("", () => hands.act(act), { "aria-pressed": "false", "data-sign": sign, ...named });
  });
  const dial = make("div", { class: "pb-dial", role: "group", "aria-label": words.dial }, ...settings);
  rove(dial, () => settings);
  const nulls = pressable(view.null.label, () => hands.act(view.null.act));
  const again = pressable(words.read ?? "", () => probes.again());
  const sound = pressable(words.sound ?? "", () => {
    tone.set(!tone.isOn());
    sound.setAttribute("aria-pressed", String(tone.isOn()));
  });
  sound.setAttribute("aria-pressed", "false");
  const buttons = PROBES.map((which) => {
    const at = make("span", { class: "pb-probe-at" });
    const node = pressable("", () => probes.choose(which), { class: `pb-probe pb-${which}`, "aria-pressed": "false" });
    node.append(
      make("span", { class: "pb-probe-letter", "aria-hidden": "true" }, words[`${which}-letter`] ?? ""),
      make("span", { class: "pb-probe-name" }, words[which] ?? ""),
      at,
    );
    return { which, node, at };
  });
  const off = pressable(words["take-off"] ?? "", () => probes.off(null), { class: "pb-probes-off" });
  const held = make(
    "div",
    { class: "pb-probes", role: "group", "aria-label": words.probes },
    ...buttons.map(({ node }) => node),
    off,
  );
  const node = panel(
    "meter",
    words["head-meter"] ?? "",
    glass,
    dial,
    make("div", { class: "pb-row" }, nulls, again, sound),
    held,
  );
  let answers = -1;

  /** @param {import("./bench-types").Scene} scene */
  function show(scene) {
    const { state, picture, back, waits } = scene;
    const placed = probes.at();
    const stands = PROBES.every((which) => picture.reading.includes(placed[which] ?? ""));
    const isShown = picture.display !== "" && (back !== null || (stands && !waits));
    const text = isShown ? picture.display : waits ? "…" : picture.function === "" ? "" : "– – –";
    if (figure.textContent !== text) figure.textContent = text;
    glass.classList.toggle("pb-dark", picture.function === "");
    signed(beeps, isShown && picture.beeps !== null ? "•)))\u00a0" : "", isShown ? beepWord(picture.beeps) : "");
    beeps.classList.toggle("pb-sounds", isShown && picture.beeps === true);
    const chosen = view.dial.find((one) => one.function === picture.function);
    write(
      set,
      chosen === undefined
        ? (words["meter-off"] ?? "")
        : `${chosen.label}${picture.nulled ? ` · ${words.nulled}` : ""}`,
    );
    const can = back === null && !state.job.over;
    for (const [place, button] of settings.entries()) {
      button.setAttribute("aria-pressed", String(view.dial[place] === chosen));
      enable(button, can);
    }
    enable(nulls, can && state.job.acts.includes(view.null.act));
    enable(again, can && placed.red !== null && placed.black !== null);
    enable(off, can && (placed.red !== null || placed.black !== null));
    for (const { which, node: button, at } of buttons) {
      write(at, (back === null ? placed[which] : picture.reading[which === "red" ? 0 : 1]) ?? words.free ?? "");
      button.setAttribute("aria-pressed", String(probes.chosen() === which));
      enable(button, can);
    }
    if (state.answers !== answers && answers >= 0 && state.beeps === true && isShown && back === null) tone.sound();
    if (!waits) answers = state.answers;
  }

  /** @param {boolean | null} sounded */
  function beepWord(sounded) {
    return sounded === null ? "" : ((sounded ? words.beep : words.silence) ?? "");
  }

  return { node, show, handles: buttons.map(({ which, node: handle }) => ({ which, handle })) };
}
