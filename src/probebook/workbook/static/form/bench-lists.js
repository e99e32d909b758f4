// @ts-check
// The bench as lists: all that can be done now, in words, without the drawing. Also the way of a screen reader.

import { enable, freshId, make, pressable, write } from "./dom.js";

/**
 * @param {HTMLSelectElement} list
 * @param {readonly { value: string, text: string }[]} options
 */
function refill(list, options) {
  const told = JSON.stringify(options);
  if (list.dataset.told === told) return;
  list.dataset.told = told;
  const chosen = list.value;
  list.replaceChildren(...options.map(({ value, text }) => make("option", { value }, text)));
  if (options.some(({ value }) => value === chosen)) list.value = chosen;
}

/**
 * @param {string} label
 * @param {(Node | string)[]} more
 */
function listed(label, ...more) {
  const id = freshId();
  const list = make("select", { id, class: "pb-list" });
  return { list, node: make("div", { class: "pb-list-row" }, make("label", { for: id }, label), list, ...more) };
}

/**
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @param {(a: string, b: string) => void} read
 * @returns {import("./bench-types").Piece}
 */
export function makeLists(view, hands, read) {
  const { words } = view;
  const node = make("details", { class: "pb-lists" }, make("summary", {}, words.lists ?? ""));
  /** @type {import("./bench-types").Scene | null} */
  let last = null;
  /** @type {ReturnType<typeof makeRows> | null} */
  let rows = null;
  // What is folded is made when it is opened: a page may hold several benches.
  const show = () => {
    if (last === null || !node.open) return;
    if (rows === null) {
      rows = makeRows(view, hands, read);
      node.append(...rows.nodes);
    }
    rows.fill(last);
  };
  node.addEventListener("toggle", show);
  return {
    node,
    show: (scene) => {
      last = scene;
      show();
    },
  };
}

/**
 * The lists themselves.
 * @param {import("./bench-types").BenchView} view
 * @param {import("./bench-types").Hands} hands
 * @param {(a: string, b: string) => void} read
 */
function makeRows(view, hands, read) {
  const { words } = view;
  const rows = view.lists.map(({ label, acts }) => {
    const press = pressable(words.do ?? "", () => {
      if (row.list.value !== "") hands.act(row.list.value);
    });
    press.setAttribute("aria-label", `${words.do}: ${label}`);
    const row = listed(label, press);
    return { ...row, acts, press };
  });
  const first = listed(words.probe ?? "");
  const take = pressable(words["head-display"] ?? "", () => read(first.list.value, second.list.value));
  write(take, words.read ?? "");
  const second = listed(words.to ?? "", take);
  const status = make("p", { class: "pb-status" });
  const hint = make("p", { class: "pb-hint" }, words["lists-hint"] ?? "");
  const nodes = [hint, status, ...rows.map((row) => row.node), first.node, second.node];

  /** @param {import("./bench-types").Scene} scene */
  function fill({ state, picture, back }) {
    const can = back === null && !state.job.over;
    write(status, state.status);
    for (const { list, acts, press } of rows) {
      const now = acts.filter(({ act }) => state.job.acts.includes(act));
      refill(
        list,
        now.map(({ act, label }) => ({ value: act, text: label })),
      );
      enable(press, can && now.length > 0);
    }
    const terminals = view.terminals.map(({ name, label, covered }) => ({
      value: name,
      text: state.job.terminals.includes(name) ? label : covered,
    }));
    for (const { list } of [first, second]) refill(list, terminals);
    for (const [place, { list }] of [first, second].entries()) {
      const at = picture.reading[place];
      if (at !== undefined) list.value = at;
    }
    enable(take, can);
  }

  return { nodes, fill };
}
