// @ts-check
// How the job stands, marked on a drawing: covers, wires that are off, contacts, what works; and what each thing is called.

/** @typedef {import("./bench-types").Thing} Thing */
/** @typedef {import("./bench-types").BenchView} BenchView */
/** @typedef {import("./bench-types").Scene} Scene */

/** How something does that works. */
const WORKS = new Set(["normal", "weak", "too strong", "on when it should be off"]);

/**
 * @param {SVGSVGElement} svg
 * @param {readonly Thing[]} things
 * @param {BenchView} view
 * @param {Scene} scene
 */
export function markDrawing(svg, things, view, { picture }) {
  const position = view.positions.find((one) => one.name === picture.position);
  const closed = new Set(picture.calling ? position?.closed : position?.resting);
  for (const contact of svg.querySelectorAll("[data-contact]"))
    contact.classList.toggle("pb-shut", closed.has(contact.getAttribute("data-contact") ?? ""));
  const covered = coveredBy(view, picture);
  for (const { kind, name, node } of things) {
    const isOff = kind !== "cover" && picture.wires_off.includes(name);
    if (kind === "cover") node.classList.toggle("pb-off", picture.covers_off.includes(name));
    if (kind === "flag" || kind === "wire") node.classList.toggle("pb-lifted", isOff);
    if (kind === "wire") markEnds(node, isOff, covered);
    if (kind === "part") markSign(node, view, name, picture);
    const under = kind === "part" ? partIsCovered(view, name, picture) : covered.has(node.dataset.terminal ?? "");
    if (kind === "cover" || kind === "wire") continue;
    node.classList.toggle("pb-covered", under);
    if (svg.classList.contains("pb-schematic")) continue;
    if (under) node.setAttribute("aria-hidden", "true");
    else node.removeAttribute("aria-hidden");
  }
}

/**
 * Which end of a wire that is off stands free: the first that is not under a cover.
 * @param {SVGGElement} node
 * @param {boolean} isOff
 * @param {ReadonlySet<string>} covered
 */
function markEnds(node, isOff, covered) {
  const ends = [node.dataset.to ?? "", node.dataset.from ?? ""];
  const free = isOff ? (ends.find((end) => !covered.has(end)) ?? ends[0]) : "";
  for (const piece of node.querySelectorAll(".stub, .bare"))
    piece.classList.toggle("pb-free", piece.getAttribute("data-terminal") === free);
}

/**
 * @param {SVGGElement} node
 * @param {BenchView} view
 * @param {string} mark
 * @param {import("./bench-types").Picture} picture
 */
function markSign(node, view, mark, picture) {
  const found = doing(view, mark, picture);
  node.classList.toggle("pb-works", found === true);
  node.classList.toggle("pb-works-not", found === false);
}

/**
 * Whether a part was seen to work; null where nothing was seen of it.
 * @param {BenchView} view
 * @param {string} mark
 * @param {import("./bench-types").Picture} picture
 */
function doing(view, mark, picture) {
  const seen = view.parts.find((one) => one.mark === mark)?.subjects.filter((each) => each in picture.lit) ?? [];
  return seen.length === 0 ? null : seen.some((each) => WORKS.has(picture.lit[each] ?? ""));
}

/**
 * @param {BenchView} view
 * @param {import("./bench-types").Picture} picture
 */
function coveredBy(view, picture) {
  return new Set(
    view.terminals.filter((one) => one.cover !== "" && !picture.covers_off.includes(one.cover)).map((one) => one.name),
  );
}

/**
 * @param {BenchView} view
 * @param {string} mark
 * @param {import("./bench-types").Picture} picture
 */
function partIsCovered(view, mark, picture) {
  const cover = view.parts.find((one) => one.mark === mark)?.cover ?? "";
  return cover !== "" && !picture.covers_off.includes(cover);
}

/**
 * Say what a thing is, and how it stands.
 * @param {Thing} thing
 * @param {BenchView} view
 * @param {Scene} scene
 * @param {import("./bench-types").Placed} placed
 */
export function nameThing({ kind, name, node }, view, { picture }, placed) {
  const { words } = view;
  /** @type {(string | undefined)[]} */
  let said = [];
  if (kind === "cover") {
    const cover = view.covers.find((one) => one.name === name);
    said = [picture.covers_off.includes(name) ? cover?.on : cover?.off];
  } else if (kind === "terminal") {
    const terminal = view.terminals.find((one) => one.name === name);
    said = [node.classList.contains("pb-covered") ? terminal?.covered : terminal?.label];
    if (placed.red === name) said.push(words.red);
    if (placed.black === name) said.push(words.black);
  } else if (kind === "part") {
    said = [view.parts.find((one) => one.mark === name)?.label];
    const works = doing(view, name, picture);
    if (works !== null) said.push(words[works ? "works" : "works-not"]);
  } else {
    const wire = view.wires.find((one) => one.mark === name);
    const isOff = picture.wires_off.includes(name);
    const written = [...node.querySelectorAll("text")].map((each) => each.textContent?.trim()).join(" ");
    const does = isOff ? wire?.refit_words : wire?.lift_words;
    said = kind === "flag" ? [written, does, node.dataset.terminal] : [written || undefined, wire?.label];
    if (isOff) said.push(words.lifted);
  }
  const label = said.filter((each) => each !== undefined).join(", ");
  if (node.getAttribute("aria-label") !== label && node.hasAttribute("tabindex"))
    node.setAttribute("aria-label", label);
}

/**
 * What can be done with a part or a wire, as far as it is more than one thing.
 * @param {BenchView} view
 * @param {Thing} thing
 * @returns {import("./bench-types").Deed[]}
 */
export function deedsOn({ parts, wires, words }, { kind, name }) {
  const word = (/** @type {string} */ key) => words[key] ?? "";
  const part = parts.find((one) => one.mark === name);
  const wire = wires.find((one) => one.mark === name);
  if (kind === "part" && part !== undefined)
    return [
      { act: part.look, label: word("look") },
      { act: part.bridge, label: word("bridge") },
    ].filter(({ act }) => act !== "");
  if (wire === undefined) return [];
  return [
    { act: wire.lift, label: word("lift") },
    { act: wire.refit, label: word("refit") },
    { act: wire.look, label: word("look") },
  ];
}
