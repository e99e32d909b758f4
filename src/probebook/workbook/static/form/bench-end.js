// @ts-check
// How a job ends: a conclusion that is chosen and given in one go, or a stop that looks like one.

import { enable, freshId, make, pressable, write } from "./dom.js";

/** So many faults are concluded at most. */
const MOST = 2;

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @returns {import("./bench-types").Piece}
 */
export function makeConclusion(view, hands) {
  const { words } = view;
  const hint = freshId();
  /** @type {number[]} */
  let ticked = [];
  const options = ["nothing", ...view.faults].map((text, place) => {
    const box = make("input", { type: "checkbox" });
    box.addEventListener("change", () => tick(place - 1, box.checked));
    return {
      box,
      node: make("label", { class: "pb-fault" }, box, place === 0 ? (words["nothing-wrong"] ?? "") : text),
    };
  });
  const give = pressable(words.conclude ?? "", () => hands.conclude(ticked.filter((each) => each >= 0)), {
    class: "pb-give",
  });
  const restart = pressable(words.restart ?? "", () => hands.restart(), { title: words["restart-hint"] ?? null });
  const list = make("div", { class: "pb-faults" }, ...options.map(({ node: option }) => option));
  const node = make(
    "fieldset",
    { class: "pb-panel pb-conclusion", "aria-describedby": hint },
    make("legend", { class: "pb-panel-head" }, words.wrong ?? ""),
    make("p", { class: "pb-hint", id: hint }, words["wrong-hint"] ?? ""),
    list,
    make("div", { class: "pb-row" }, give, restart),
  );
  let can = true;

  /**
   * @param {number} place -1 for nothing
   * @param {boolean} is
   */
  function tick(place, is) {
    ticked = ticked.filter((each) => each !== place && (place >= 0 ? each >= 0 : !is));
    if (is) ticked = [...ticked, place].slice(-MOST);
    sync();
  }

  function sync() {
    for (const [at, { box }] of options.entries()) box.checked = ticked.includes(at - 1);
    enable(give, can && ticked.length > 0);
  }

  return {
    node,
    show: ({ state, back }) => {
      if (state.log.length === 0 && !can) ticked = [];
      can = back === null && !state.job.over;
      for (const { box } of options) enable(box, can);
      enable(restart, back === null && state.restarts);
      sync();
    },
  };
}

/**
 * The banner over the bench: a stop, or that the job was concluded.
 * @param {import("./bench-types").BenchView} view
 * @returns {import("./bench-types").Piece}
 */
export function makeBanner(view) {
  const { words } = view;
  const sign = make("span", { class: "pb-banner-sign", "aria-hidden": "true" });
  const word = make("strong", { class: "pb-banner-word" });
  const what = make("span", { class: "pb-banner-what" });
  const next = make("span", { class: "pb-banner-next" });
  const node = make(
    "div",
    { class: "pb-banner", role: "group", tabindex: "-1", hidden: true },
    sign,
    make("div", { class: "pb-banner-text" }, word, what, next),
  );
  /** @type {boolean | null} */
  let was = null;
  return {
    node,
    show: ({ state }) => {
      const isStop = state.stop !== "";
      const over = state.job.over;
      if (was === true && !over && node.contains(document.activeElement))
        /** @type {HTMLElement | null} */ (node.parentElement?.querySelector(".pb-conclusion button"))?.focus();
      node.hidden = !over;
      node.classList.toggle("pb-stop", isStop);
      write(sign, isStop ? "!" : (words["ended-sign"] ?? "✔"));
      write(word, (isStop ? words.stop : words.ended) ?? "");
      write(what, isStop ? state.stop : `${state.said.text} ${state.par}`);
      write(next, (isStop ? words["stop-next"] : words["ended-next"]) ?? "");
      node.setAttribute("aria-label", `${word.textContent} ${what.textContent}`);
      if (over && was === false) {
        node.focus({ preventScroll: true });
        node.scrollIntoView?.({ block: "nearest" });
      }
      was = over;
    },
  };
}
