// @ts-check
// Answers on the device: kept under the page's name, of one build, and saved as a file when asked for.

/** Under this, before the name of a page, answers are kept. */
const PLACE = "probebook site/";

/** The device's store; null where the browser gives none to this page. */
function store() {
  try {
    const found = globalThis.localStorage;
    found.setItem(`${PLACE}?`, "");
    found.removeItem(`${PLACE}?`);
    return found;
  } catch {
    return null;
  }
}

/** Whether anything is kept at all. */
export const isKept = () => store() !== null;

/**
 * What is kept of a page; nothing of another build's.
 * @param {string} name
 * @param {string} build
 * @returns {Record<string, import("./site-types").Kept>}
 */
export function kept(name, build) {
  try {
    const found = JSON.parse(store()?.getItem(PLACE + name) ?? "{}");
    return found.build === build && typeof found.questions === "object" ? found.questions : {};
  } catch {
    return {};
  }
}

/**
 * @param {string} name
 * @param {string} build
 * @param {Record<string, import("./site-types").Kept>} questions
 * @param {Record<string, unknown>} responses what was given, as it can be marked elsewhere
 */
export function keep(name, build, questions, responses) {
  try {
    store()?.setItem(PLACE + name, JSON.stringify({ build, questions, responses }));
  } catch {
    // A full store keeps what it had; the page goes on, and can be saved as a file.
  }
}

/** @param {string} name */
export function forget(name) {
  store()?.removeItem(PLACE + name);
}

/** Forget every page of ours. */
export function forgetAll() {
  const found = store();
  for (const key of Object.keys(found ?? {})) if (key.startsWith(PLACE)) found?.removeItem(key);
}

/** What is kept of every page, as it is saved: by the page's name its build and the responses. */
export function everything() {
  const found = store();
  const keys = Object.keys(found ?? {}).filter((key) => key.startsWith(PLACE));
  return Object.fromEntries(
    keys.map((key) => {
      const { build, responses } = JSON.parse(found?.getItem(key) ?? "{}");
      return [key.slice(PLACE.length), { build, responses }];
    }),
  );
}

/**
 * Give a file to the one who asks for it.
 * @param {string} name
 * @param {unknown} data
 */
export function saveFile(name, data) {
  const text = JSON.stringify(data, null, 1);
  const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const link = Object.assign(document.createElement("a"), { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 1000);
}
