// @ts-check
// Reading a drawing: it is made larger and moved about, and, where it says so itself, the path that carries current is
// drawn heavy in a position that is chosen. What there is to show lies in the drawing; it stays a picture until then.

import { drawingOf } from "./bench-svg.js";
import { make, write } from "./dom.js";
import { foldedText } from "./drawing-fold.js";
import { makePath } from "./drawing-path.js";
import { makeZoom } from "./drawing-zoom.js";

const AS_DATA = /^data:image\/svg\+xml;base64,/;
/** A drawing that is shown smaller than this share of its size has marks that are hard to read (8.4 pixels of 12). */
const LEGIBLE = 0.7;
/** How far above or below what is seen a drawing is kept. */
const FAR = "2500px";
/** How far above or below what is seen a drawing has its buttons. */
const NEAR = "1200px";
/** Drawings that are in hand. @type {WeakSet<Element>} */
const known = new WeakSet();

/**
 * Let all our drawings under a node be read, each as it comes near the part of the page that is seen.
 * @param {ParentNode} root
 */
export function readDrawings(root) {
  for (const picture of root.querySelectorAll("img")) {
    const isOurs = picture.classList.contains("pb-drawing") || AS_DATA.test(picture.getAttribute("src") ?? "");
    if (!isOurs || known.has(picture)) continue;
    known.add(picture);
    if (typeof IntersectionObserver === "undefined") void begin(picture);
    else soon(picture);
  }
}

/** @param {HTMLImageElement} picture */
function soon(picture) {
  const watch = new IntersectionObserver(
    (seen) => {
      if (!seen.some((one) => one.isIntersecting)) return;
      watch.disconnect();
      void begin(picture);
    },
    { rootMargin: "400px" },
  );
  watch.observe(picture);
}

/** @param {HTMLImageElement} picture */
async function begin(picture) {
  try {
    const text = await (await fetch(picture.src)).text();
    const told = toldOf(text);
    if (told !== null && picture.isConnected) makeReader(picture, text, told);
  } catch {
    // It stays the picture that it is.
  }
}

/**
 * What a drawing says can be done with it; null where it says nothing.
 * @param {string} text
 * @returns {import("./drawing-types").Told | null}
 */
export function toldOf(text) {
  const found = /<metadata>([^<]*)<\/metadata>/.exec(text);
  if (found === null) return null;
  const plain = new DOMParser().parseFromString(found[0], "image/svg+xml").documentElement.textContent ?? "";
  const told = JSON.parse(plain);
  return typeof told?.words === "object" && Array.isArray(told.readings) ? told : null;
}

/**
 * @param {HTMLImageElement} picture
 * @param {string} text
 * @param {import("./drawing-types").Told} told
 */
export function makeReader(picture, text, told) {
  const { words, readings } = told;
  // Where a path can be shown, the picture and the drawing with its path take turns in a node.
  const content = readings.length === 0 ? picture : make("div", { class: "pb-reader-content" });
  const place = document.createComment("");
  picture.replaceWith(place);
  const zoom = makeZoom(content, words);
  const said = make("p", { class: "pb-reader-told", role: "status" });
  const node = readings.length === 0 ? zoom.node : make("div", {}, zoom.node);
  node.classList.add("pb-reader");
  node.setAttribute("data-lm-suppress-shortcuts", "true");
  place.replaceWith(node);
  if (content !== picture) content.append(picture);
  let isFolded = false;
  /** @type {() => void} */
  let afresh = () => {};
  keepPicture(node, picture, text, told.fold ?? null, (is) => {
    isFolded = is;
    afresh();
  });
  nearness(node, zoom.near);
  if (readings.length === 0) return node;

  /** @type {SVGSVGElement | null} */
  let svg = null;
  const live = () => {
    if (svg !== null) return svg;
    svg = drawingOf(isFolded && told.fold ? foldedText(text, told.fold) : text);
    svg.setAttribute("class", "pb-read");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", picture.alt);
    for (const attribute of ["width", "height"]) svg.removeAttribute(attribute);
    return svg;
  };
  const path = makePath(told, live, (shown, sentence) => {
    const wanted = shown === null ? picture : shown;
    if (content.firstElementChild !== wanted) content.replaceChildren(wanted);
    write(said, sentence);
  });
  afresh = () => {
    svg = null;
    path.again();
  };
  node.prepend(path.node);
  node.append(said);
  content.addEventListener("click", (event) => {
    if (zoom.isDragged()) return;
    const part = partAt(content, picture, live, event);
    if (part !== "") path.follow(part);
  });
  return node;
}

/**
 * A picture that is folded where the page is so narrow that its marks could not be read, and on paper; and that is let go
 * of where it is far out of view, since a browser keeps tens of megabytes of drawings that nobody sees.
 * @param {HTMLElement} node
 * @param {HTMLImageElement} picture
 * @param {string} text
 * @param {import("./drawing-types").Fold | null} fold
 * @param {(isFolded: boolean) => void} tell
 */
function keepPicture(node, picture, text, fold, tell) {
  const whole = picture.src;
  const size = { width: picture.getAttribute("width"), height: picture.getAttribute("height") };
  let isFolded = false;
  let isNear = true;
  const draw = () => {
    const { naturalWidth: width, naturalHeight: height } = picture;
    for (const [name, value] of Object.entries(size)) {
      if (isFolded || value === null) picture.removeAttribute(name);
      else picture.setAttribute(name, value);
    }
    picture.loading = "eager";
    const empty = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"/>`;
    const drawn = isNear ? (isFolded && fold ? foldedText(text, fold) : "") : empty;
    picture.src = drawn === "" ? whole : `data:image/svg+xml,${encodeURIComponent(drawn)}`;
  };
  /** @param {boolean} wanted */
  const bend = (wanted) => {
    if (fold === null || wanted === isFolded) return;
    isFolded = wanted;
    draw();
    tell(isFolded);
  };
  /** @param {boolean} is */
  const near = (is) => {
    if (is === isNear || (!is && picture.naturalWidth === 0)) return;
    isNear = is;
    draw();
  };
  const fit = () =>
    bend(fold !== null && node.clientWidth > 0 && node.clientWidth < (fold.box[2] - fold.box[0]) * LEGIBLE);
  if (typeof ResizeObserver !== "undefined") new ResizeObserver(fit).observe(node);
  if (typeof IntersectionObserver !== "undefined")
    new IntersectionObserver((seen) => near(seen.some((one) => one.isIntersecting)), { rootMargin: FAR }).observe(node);
  addEventListener("beforeprint", () => {
    near(true);
    bend(true);
  });
  addEventListener("afterprint", fit);
  fit();
}

/**
 * Tell whether a node is within a screen or so of what is seen.
 * @param {HTMLElement} node
 * @param {(is: boolean) => void} tell
 */
function nearness(node, tell) {
  if (typeof IntersectionObserver === "undefined") return;
  const watch = new IntersectionObserver((seen) => tell(seen.at(-1)?.isIntersecting === true), { rootMargin: NEAR });
  watch.observe(node);
}

/**
 * The mark of the part that was pressed. A picture knows no parts: the drawing takes its place to be asked.
 * @param {HTMLElement} content
 * @param {HTMLImageElement} picture
 * @param {() => SVGSVGElement} live
 * @param {MouseEvent} event
 */
function partAt(content, picture, live, event) {
  const isPicture = content.contains(picture);
  if (isPicture) content.replaceChildren(live());
  const found = document.elementFromPoint(event.clientX, event.clientY)?.closest(".part");
  const mark = found?.getAttribute("data-part") ?? "";
  if (isPicture && mark === "") content.replaceChildren(picture);
  return mark;
}
