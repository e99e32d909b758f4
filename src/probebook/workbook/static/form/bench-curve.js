// @ts-check
// What a job leaves on paper: the heat-up record as a curve, and at its end what was spent beside the par.

import { make, write } from "./dom.js";

/** What data a picture may be. */
const BASE64 = /^[A-Za-z0-9+/=]+$/;

/**
 * @param {import("./bench-types").Service} service
 * @returns {import("./bench-types").Piece}
 */
export function makeCurve(service) {
  const picture = make("img", { alt: "" });
  const title = make("figcaption", { class: "pb-panel-head" });
  const node = make("figure", { class: "pb-panel pb-curve", hidden: true }, title, picture);
  let shown = "";
  return {
    node,
    show: () => {
      const { svg = "", title: said = "", told = "" } = service.curve?.() ?? {};
      node.hidden = !BASE64.test(svg);
      if (svg === shown || node.hidden) return;
      shown = svg;
      write(title, said);
      picture.alt = told;
      picture.src = `data:image/svg+xml;base64,${svg}`;
    },
  };
}

/**
 * @param {import("./bench-types").BenchView} view
 * @returns {import("./bench-types").Piece}
 */
export function makeCompared({ words }) {
  const body = make("tbody");
  const heads = ["", words.yours, words.par].map((text) => make("th", { scope: "col" }, text ?? ""));
  heads[0]?.append(make("span", { class: "pb-unseen" }, words.compared ?? ""));
  const head = make("div", { class: "pb-panel-head", "aria-hidden": "true" }, words.compared ?? "");
  const table = make("table", { class: "pb-log-table" }, make("thead", {}, make("tr", {}, ...heads)), body);
  const node = make("div", { class: "pb-panel pb-compared", hidden: true });
  return {
    node,
    show: ({ state }) => {
      const { tests, minutes } = state.spent ?? {};
      node.hidden = tests === undefined || minutes === undefined;
      if (tests === undefined || minutes === undefined) return;
      if (table.parentNode === null) node.append(head, table);
      const rows = /** @type {const} */ ([
        [words["spent-tests"] ?? "", tests],
        [words["spent-minutes"] ?? "", minutes],
      ]);
      body.replaceChildren(
        ...rows.map(([label, pair]) =>
          make("tr", {}, make("th", { scope: "row" }, label), ...pair.map((each) => bar(each, Math.max(...pair)))),
        ),
      );
    },
  };
}

/**
 * A figure with a bar as long as it is large.
 * @param {number} value
 * @param {number} most
 */
function bar(value, most) {
  const line = make("span", { class: "pb-compared-bar", "aria-hidden": "true" });
  line.style.width = `${most > 0 ? Math.round((value / most) * 8 * 10) / 10 : 0}rem`;
  return make("td", {}, line, String(value));
}
