// @ts-check
// The page of a workbook comes alive: forms at once, marking as soon as the kernel is there.

import { readDrawings } from "../../workbook/static/form/drawing.js";
import { showHtml } from "../../workbook/static/form/markup.js";
import { Banner } from "./banner.js";
import { openContents, showStandings } from "./contents.js";
import { Host, placeOf } from "./host.js";
import { Link } from "./link.js";

/** @type {import("./told").Told} */
const told = JSON.parse(document.getElementById("pb-told")?.textContent ?? "{}");
const banner = new Banner(told.words, () => void link.open());
const link = new Link({
  address: told.kernel,
  base: told.base,
  hear,
  onTrouble: (kind, text) => banner.trouble(kind, text),
});
const host = new Host(told, (asked) => link.say(asked));

/** @param {import("./told").FromKernel} said */
function hear(said) {
  if (said.say === "open") onOpen(said);
  else if (said.say === "traits") host.take(said.key, said.traits);
  else if (said.say === "event") host.hear(said.key, said.content);
  else if (said.say === "mount") host.mount(said.place, said.components);
  else if (said.say === "html") show(said.place, said.html);
  else if (said.say === "elsewhere") showElsewhere(said.places);
  else if (said.say === "standings") onStandings(said.standings);
  else if (said.say === "done") host.done(said.n);
}

/** @param {Extract<import("./told").FromKernel, { say: "open" }>} said */
function onOpen(said) {
  const practised = host.practised();
  for (const [place, components] of Object.entries(said.places)) host.mount(place, components);
  for (const [place, html] of Object.entries(said.html)) show(place, html);
  showElsewhere(said.elsewhere);
  const notices = said.notices.map((text) => Object.assign(document.createElement("p"), { textContent: text }));
  document.getElementById("pb-notices")?.replaceChildren(...notices);
  if (said.standings !== null) onStandings(said.standings);
  host.askAgain();
  // A question of practice that stood in the page is brought back where the kernel has begun anew.
  if (practised && !host.practised()) host.ask({ key: "practice/practice.js", press: { press: "back" } });
  banner.well();
  document.documentElement.dataset.live = "true";
  performance.mark("probebook marked");
}

/** @param {import("./told").Standings} standings */
function onStandings(standings) {
  showStandings(standings, told);
  show("progress", standings.table);
}

/** @param {string} place @param {string} html */
function show(place, html) {
  const node = placeOf(place);
  if (node !== null) showHtml(node, html);
}

/** Questions that this page cannot show: the way to where they are shown. @param {readonly string[]} places */
function showElsewhere(places) {
  for (const old of document.querySelectorAll(".pb-elsewhere")) old.remove();
  for (const place of places) {
    const way = Object.assign(document.createElement("a"), {
      href: told.elsewhere,
      textContent: told.words.elsewhereLink,
    });
    const text = Object.assign(document.createElement("p"), { className: "pb-notice pb-elsewhere" });
    text.append(told.words.elsewhere, " ", way, ".");
    const node = placeOf(place);
    node?.querySelector(".pb-coming")?.remove();
    node?.append(text);
  }
}

openContents();
host.begin();
readDrawings(document);
// What a benchmark asks for: when all forms could be filled in, and (above) when they could be marked.
void Promise.all([...host.held.values()].map(({ end }) => end)).then(() => performance.mark("probebook forms"));
addEventListener("pagehide", () => link.leave());
banner.trouble("connecting");
void link.open();
