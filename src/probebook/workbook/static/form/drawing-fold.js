// @ts-check
// A wide drawing folded: its two halves one under the other, each wire marked on both sides of the fold.

/** How far a half reaches over the fold, and how much room is left for the marks beside it. */
const OVER = 6;
const ROOM = 46;
/** The gap between two pieces that stand under one another. */
const GAP = 14;

/**
 * The text of a drawing that is folded.
 * @param {string} text
 * @param {import("./drawing-types").Fold} fold
 */
export function foldedText(text, { at, box, rule, marks }) {
  const opened = /<svg [^>]*>/.exec(text);
  const end = text.lastIndexOf("</svg>");
  if (opened === null || end < 0) return text;
  const inner = text.slice(opened.index + opened[0].length, end);
  const [left, top, right, bottom] = box;
  const middle = (left + right) / 2 + 10;
  /** @type {[number, number, number, number, number][]} x, y, width, height, and where it is put */
  const pieces = [
    [left, top, at + OVER - left, rule - top, 0],
    [at - OVER, top, right - at + OVER, rule - top, ROOM],
    [left, rule, middle - left, bottom - rule, 0],
    [middle - 24, rule, right - middle + 24, bottom - rule, 0],
  ];
  const width = Math.max(...pieces.map(([, , wide, , x]) => wide + x)) + ROOM;
  let y = 0;
  const shapes = pieces.map(([x, from, wide, high, put], place) => {
    const held = place === 0 ? `<g id="pb-whole">${inner}</g>` : '<use href="#pb-whole"/>';
    const view = `x="${put}" y="${y}" width="${wide}" height="${high}" viewBox="${x} ${from} ${wide} ${high}"`;
    const beside = place < 2 ? marked(place, put, y - from, wide) : "";
    y += high + GAP;
    return `<svg ${view}>${held}</svg>${beside}`;
  });

  /** @param {number} place @param {number} put @param {number} down @param {number} wide */
  function marked(place, put, down, wide) {
    const x = place === 0 ? put + wide + 3 : put - 3;
    const anchor = place === 0 ? "start" : "end";
    return marks
      .map(([mark, height]) => {
        const said = place === 0 ? `${mark} ›` : `‹ ${mark}`;
        return `<text x="${x}" y="${height + down + 4}" font-size="12" font-weight="bold" text-anchor="${anchor}" fill="#1b2026">${said}</text>`;
      })
      .join("");
  }

  const head = opened[0]
    .replace(/viewBox="[^"]*"/, `viewBox="0 0 ${width} ${y}"`)
    .replace(/ width="[^"]*"/, ` width="${width}"`)
    .replace(/ height="[^"]*"/, ` height="${y}"`);
  return `${head}<rect width="${width}" height="${y}" fill="#fcfcf8"/>${shapes.join("")}</svg>`;
}
