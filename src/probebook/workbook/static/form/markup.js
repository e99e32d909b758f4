// @ts-check
// The little HTML that the kernel makes of our own templates, cleaned again before it is shown: tags and attributes that
// are not listed are left out, whoever wrote them. A picture is one of our drawings, as data.

const TAGS = new Set(
  "P DIV SPAN STRONG EM B CODE PRE BR HR UL OL LI BLOCKQUOTE H2 H3 H4 TABLE CAPTION THEAD TBODY TR TH TD IMG DETAILS SUMMARY".split(
    " ",
  ),
);
/** Tags of which not even the text is kept. */
const SILENT = new Set(["SCRIPT", "STYLE", "TEMPLATE", "IFRAME", "OBJECT", "NOSCRIPT", "TITLE"]);
const ATTRIBUTES = new Set(["class", "scope", "start", "alt", "role"]);
const DRAWING = /^data:image\/svg\+xml;base64,[A-Za-z0-9+/=]*$/;

/**
 * Show HTML of ours in a node, in place of what it held.
 * @param {HTMLElement} node
 * @param {string} html
 */
export function showHtml(node, html) {
  const parsed = new DOMParser().parseFromString(html, "text/html");
  node.replaceChildren(...cleaned(parsed.body));
}

/**
 * @param {Node} from
 * @returns {Node[]}
 */
function cleaned(from) {
  /** @type {Node[]} */
  const found = [];
  for (const child of from.childNodes) {
    if (child.nodeType === 3) found.push(document.createTextNode(child.nodeValue ?? ""));
    else if (child.nodeType === 1) found.push(...cleanedElement(/** @type {Element} */ (child)));
  }
  return found;
}

/**
 * @param {Element} element
 * @returns {Node[]}
 */
function cleanedElement(element) {
  if (SILENT.has(element.tagName)) return [];
  if (!TAGS.has(element.tagName)) return cleaned(element);
  const isPicture = element.tagName === "IMG";
  if (isPicture && !DRAWING.test(element.getAttribute("src") ?? "")) return [];
  const node = document.createElement(element.tagName);
  for (const { name, value } of element.attributes) {
    if (ATTRIBUTES.has(name) || (isPicture && name === "src")) node.setAttribute(name, value);
  }
  node.append(...cleaned(element));
  return [node];
}
