// @ts-check
// A drawing of ours, made of its text node by node: only what our drawings are made of is taken over.

const NAMESPACE = "http://www.w3.org/2000/svg";
const SHAPES = new Set(["svg", "g", "path", "rect", "circle", "text", "title"]);
const TRAITS = new Set(
  (
    "viewBox width height class d x y cx cy r rx fill stroke stroke-width stroke-dasharray stroke-linecap " +
    "stroke-linejoin stroke-opacity fill-opacity font-size font-weight text-anchor data-terminal data-wire data-part " +
    "data-cover data-from data-to data-x data-y data-branch data-contact data-flow data-of display opacity"
  ).split(" "),
);

/**
 * @param {string} text
 * @returns {SVGSVGElement}
 */
export function drawingOf(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  return /** @type {SVGSVGElement} */ (copiedShape(parsed.documentElement));
}

/**
 * A node of a drawing.
 * @param {string} tag
 * @param {Record<string, string | number>} attributes
 * @param {(Node | string)[]} children
 */
export function shape(tag, attributes, ...children) {
  const node = /** @type {SVGElement} */ (document.createElementNS(NAMESPACE, tag));
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, String(value));
  node.append(...children);
  return node;
}

/**
 * A line in its colours, one stroke over the other; the third is dashed, for a stripe.
 * @param {Element} from
 */
function strokes(from) {
  return (from.getAttribute("data-strokes") ?? "").split(" ").map((stroke, place) => {
    const [wide = "", shade = ""] = stroke.split("#");
    /** @type {Record<string, string>} */
    const dashed = place === 2 ? { "stroke-dasharray": "7 7", "stroke-linecap": "butt" } : {};
    const told = { d: from.getAttribute("d") ?? "", fill: "none", stroke: `#${shade}`, "stroke-width": wide };
    return shape("path", { ...told, ...dashed });
  });
}

/** @param {Element} from */
function copiedShape(from) {
  const node = document.createElementNS(NAMESPACE, SHAPES.has(from.tagName) ? from.tagName : "g");
  for (const { name, value } of from.attributes) if (TRAITS.has(name)) node.setAttribute(name, value);
  if (from.tagName === "use") {
    const named = from.ownerDocument.getElementById((from.getAttribute("href") ?? "").slice(1));
    if (named !== null && !named.contains(from)) node.append(copiedShape(named));
  }
  for (const child of from.childNodes) {
    // A space after each line: lines that stand under one another are read as one text.
    if (child.nodeType === 1 && /** @type {Element} */ (child).hasAttribute("data-strokes"))
      node.append(...strokes(/** @type {Element} */ (child)));
    else if (child.nodeType === 3)
      node.append(from.tagName === "text" ? `${child.nodeValue} ` : (child.nodeValue ?? ""));
    else if (
      child.nodeType === 1 &&
      (SHAPES.has(/** @type {Element} */ (child).tagName) || /** @type {Element} */ (child).tagName === "use")
    )
      node.append(copiedShape(/** @type {Element} */ (child)));
  }
  return node;
}
