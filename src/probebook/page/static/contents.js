// @ts-check
// Contents, progress, and where to go on: in view all the time, and true after every answer.

/** @param {string} id */
const find = (id) => /** @type {HTMLElement | null} */ (document.getElementById(id));

/** Let the contents be opened and closed where they do not stand beside the text. */
export function openContents() {
  const [button, contents] = [find("pb-open-contents"), find("pb-contents")];
  if (button === null || contents === null) return;
  /** @param {boolean} isOpen */
  const open = (isOpen) => {
    button.setAttribute("aria-expanded", String(isOpen));
    contents.classList.toggle("pb-opened", isOpen);
  };
  button.addEventListener("click", () => open(button.getAttribute("aria-expanded") !== "true"));
  contents.addEventListener("click", (event) => {
    if (event.target instanceof Element && event.target.closest("a") !== null) open(false);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || button.getAttribute("aria-expanded") !== "true") return;
    open(false);
    button.focus();
  });
}

/**
 * @param {import("./told").Standings} standings
 * @param {import("./told").Told} told
 */
export function showStandings(standings, told) {
  const done = /** @type {HTMLProgressElement | null} */ (document.getElementById("pb-done"));
  if (done !== null) done.value = standings.answered;
  const stand = find("pb-stand");
  if (stand !== null) stand.textContent = standings.stand;
  const goOn = /** @type {HTMLAnchorElement | null} */ (document.getElementById("pb-go-on"));
  if (goOn !== null) {
    goOn.hidden = standings.following === "";
    goOn.textContent = standings.goOn;
    goOn.href = `#${standings.following}`;
  }
  for (const line of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".pb-listed"))) {
    const state = standings.states[line.dataset.question ?? ""];
    if (state === undefined || state === line.dataset.state) continue;
    line.dataset.state = state;
    const link = line.querySelector("a");
    link?.setAttribute("data-sign", told.signs[state]);
    link?.setAttribute("aria-label", `${link.textContent}, ${told.words[state]}`);
  }
}
