// Run by tests in Python: opens pages in Firefox, answers questions there by keys and by mouse, and says what was seen.
import { readFileSync } from "node:fs";
import { setTimeout } from "node:timers/promises";
import puppeteer from "puppeteer-core";

/**
 * A field as hands need it: for an order also the texts as shown.
 * @typedef {{ kind: "quantity" | "choice" | "choices" | "order", given: any, shown: string[] }} Field
 * @typedef {{ by: "keys" | "mouse", fields: Field[], tone: string }} Answer
 * @typedef {{ name: string, url: string, ready: string, forms: number, scope: string, answers: Answer[],
 *   spots: Spot[] }} Visit
 * @typedef {import("puppeteer-core").ElementHandle<Element>} Handle
 */

/** @type {{ firefox: string, visits: Visit[] }} */
const { firefox, visits } = JSON.parse(readFileSync(process.argv[2] ?? "", "utf-8"));
const PATIENCE = 90_000;

const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: firefox,
  headless: true,
  defaultViewport: null,
  args: ["--width=1280", "--height=1000"],
});

/** @param {Handle} node @param {string} selector */
const all = (node, selector) => node.$$(selector);

/** Click in the middle of what is in view and has come to rest there. @param {Handle | null | undefined} node */
async function press(node) {
  await node?.scrollIntoView();
  const middle = await node?.evaluate(async (place) => {
    // Firefox brings the whole of a drawing into view where a group of it is meant.
    const box = place.getBoundingClientRect();
    if (box.bottom > innerHeight || box.top < 0) scrollBy(0, (box.top + box.bottom - innerHeight) / 2);
    const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));
    for (let last = NaN, still = 0, frames = 0; still < 5 && frames < 300; frames += 1) {
      await frame();
      const { top } = place.getBoundingClientRect();
      still = top === last ? still + 1 : 0;
      last = top;
    }
    const { left, right, top, bottom } = place.getBoundingClientRect();
    return place instanceof SVGElement ? { x: (left + right) / 2, y: (top + bottom) / 2 } : null;
  });
  if (middle) await node?.frame.page().mouse.click(middle.x, middle.y);
  else await node?.click();
}

/** @param {Handle} node @param {number} place */
const pick = async (node, place) => press((await all(node, ".pb-option"))[place]);

/** @param {Handle} node */
const ticked = (node) => node.$$eval("input", (boxes) => boxes.map((box) => box.checked));

/** Bring the steps into an order, each upwards to its place. @param {Handle} node @param {Field} field */
async function sort(node, field) {
  const texts = await node.$$eval(".pb-step-text", (steps) => steps.map((step) => step.textContent ?? ""));
  const order = texts.map((text) => field.shown.indexOf(text));
  for (const [place, step] of field.given.entries()) {
    for (let at = order.indexOf(step); at > place; at -= 1) {
      const button = await (await all(node, ".pb-step"))[at]?.$("button");
      await press(button);
      order.splice(at - 1, 2, order[at] ?? -1, order[at - 1] ?? -1);
    }
  }
}

/** @param {import("puppeteer-core").Page} page @param {Handle} node @param {Field} field */
async function byMouse(page, node, field) {
  if (field.kind === "quantity") {
    await (await node.$("input"))?.click({ count: 3 });
    await page.keyboard.type(field.given);
  } else if (field.kind === "order") {
    await sort(node, field);
  } else if (field.kind === "choice") {
    await pick(node, field.given);
  } else {
    for (const [place, now] of (await ticked(node)).entries()) {
      if (now !== field.given.includes(place)) await pick(node, place);
    }
  }
}

/** One Tab stop a field, arrows within it. @param {import("puppeteer-core").Page} page @param {Handle} node @param {Field} field */
async function byKeys(page, node, field) {
  const keys = page.keyboard;
  await keys.press("Tab");
  if (!(await node.evaluate((place) => place.contains(document.activeElement)))) {
    throw new Error("Tab leads past a field");
  }
  if (field.kind === "quantity") {
    await keys.down("Control");
    await keys.press("a");
    await keys.up("Control");
    await keys.type(field.given);
  } else if (field.kind === "choice") {
    await keys.press(" ");
    const now = await ticked(node);
    const steps = (field.given - now.indexOf(true) + now.length) % now.length;
    for (let step = 0; step < steps; step += 1) await keys.press("ArrowDown");
  } else if (field.kind === "choices") {
    await keys.press("Home");
    for (const [place, now] of (await ticked(node)).entries()) {
      if (now !== field.given.includes(place)) await keys.press(" ");
      await keys.press("ArrowDown");
    }
  } else {
    await sort(node, field);
    await (await node.$("button:last-of-type"))?.focus();
  }
}

/** @param {import("puppeteer-core").Page} page @param {Handle} form @param {Answer} answer */
async function give(page, form, answer) {
  const nodes = await all(form, ".pb-field");
  const byHand = answer.by === "keys" ? byKeys : byMouse;
  await form.scrollIntoView();
  await form.evaluate((node) => {
    const place = /** @type {HTMLElement} */ (node);
    place.tabIndex = -1;
    place.focus();
  });
  for (const [place, field] of answer.fields.entries()) {
    const node = nodes[place];
    if (node === undefined) throw new Error(`there is no field ${place + 1}`);
    await byHand(page, node, field);
  }
  const isTyped = answer.fields.at(-1)?.kind === "quantity";
  if (answer.by === "keys" && isTyped) await page.keyboard.press("Enter");
  else await press(await form.$(".pb-check"));
  await form.waitForSelector(`.pb-verdict${answer.tone}:not(.pb-aged)`, { timeout: PATIENCE });
  return form.$eval(".pb-verdict", (node) => ({
    tones: [...node.classList].filter((name) => name.startsWith("pb-tone-")),
    word: node.querySelector(".pb-word")?.textContent ?? "",
  }));
}

/** What is pressed: the visible node `nth` of those that a selector finds and that hold `text`. @typedef {{ css: string, nth: number, text: string }} Spot */

/** @param {Handle} form @param {Spot} spot */
async function spotted(form, { css, nth, text }) {
  const found = [];
  for (const node of await all(form, css)) {
    if (
      text === "" ||
      ((await node.isVisible()) && (await node.evaluate((place) => place.textContent))?.includes(text))
    ) {
      found.push(node);
    }
  }
  return found[nth] ?? null;
}

/** Press a spot: again where it was not there yet, or its drawing was laid out anew. @param {Handle} place @param {Spot} spot */
async function pressed(place, spot) {
  let told = "it is not there";
  for (const end = Date.now() + 20_000; Date.now() < end; await setTimeout(100)) {
    const node = await spotted(place, spot);
    if (node === null) continue;
    try {
      return await press(node);
    } catch (error) {
      told = String(error);
    }
  }
  throw new Error(`${JSON.stringify(spot)}: ${told}`);
}

/**
 * Do a job on a bench, press by press; each reading that the meter showed.
 * @param {Handle} place of the question
 * @param {Spot[]} spots
 */
async function worked(place, spots) {
  /** @type {string[]} */
  const readings = [];
  let last = "";
  await place.scrollIntoView(); // a drawing is laid out once it is near
  const still = () => place.waitForSelector(".pb-bench:not(.pb-waits)", { timeout: PATIENCE });
  for (const spot of spots) {
    await still();
    await pressed(place, spot);
    await setTimeout(100);
    await still();
    const shown = await place.$eval(".pb-figure-shown", (figure) => figure.textContent ?? "");
    const reading = /[0-9]|OL/.test(shown) ? shown : "";
    if (reading !== "" && reading !== last) readings.push(reading);
    last = reading;
  }
  await place.waitForSelector(".pb-verdict", { timeout: PATIENCE });
  return readings;
}

/** What of a drawing is out of view while it has the focus. @param {Handle} place */
const unseen = (place) =>
  place.$$eval(".pb-svg [tabindex]", (nodes) =>
    nodes
      .filter((node) => {
        /** @type {SVGElement} */ (node).focus();
        const { top, bottom } = node.getBoundingClientRect();
        return document.activeElement === node && (bottom < 0 || top > innerHeight);
      })
      .map((node) => node.outerHTML.slice(0, 100)),
  );

/** Stop the kernels, as when nobody works any more. @param {URL} url */
async function endSessions(url) {
  const headers = { Authorization: `token ${url.searchParams.get("token")}` };
  const sessions = await (await fetch(`${url.origin}/api/sessions`, { headers })).json();
  for (const { id } of sessions) await fetch(`${url.origin}/api/sessions/${id}`, { method: "DELETE", headers });
}

/** @param {Visit} visit */
async function visited({ name, url, ready, forms, scope, answers, spots }) {
  const page = await browser.newPage();
  /** @type {string[]} */
  const troubles = [];
  /** @type {Set<string>} */
  const hosts = new Set();
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("console", (told) => told.type() === "error" && troubles.push(told.text()));
  page.on("request", (request) => /^(http|ws)/.test(request.url()) && hosts.add(new URL(request.url()).host));
  await page.goto(url, { timeout: PATIENCE });
  await page.waitForSelector(ready, { timeout: PATIENCE });
  const counted = () => page.$$eval(".pb-form", (found) => found.length);
  for (const end = Date.now() + PATIENCE; (await counted()) < forms && Date.now() < end; ) await setTimeout(200);
  const count = await counted();
  const width = await page.evaluate(() => document.documentElement.scrollWidth);
  const said = [];
  /** @type {string[][]} */
  let [readings, lost] = [[], []];
  if (scope !== "") {
    const form = /** @type {Handle | null} */ (await page.waitForSelector(scope, { timeout: PATIENCE }));
    if (form === null) throw new Error(`there is no ${scope}`);
    for (const answer of answers) said.push(await give(page, form, answer));
    if (spots.length > 0) {
      readings = await worked(form, spots);
      lost = await unseen(form);
    }
  }
  await page.close();
  await endSessions(new URL(url));
  return { name, forms: count, width, said, readings, lost, troubles, hosts: [...hosts].sort() };
}

const found = [];
try {
  for (const visit of visits) {
    found.push(await visited(visit).catch((error) => ({ name: visit.name, failed: String(error) })));
  }
} finally {
  await browser.close();
}
process.stdout.write(JSON.stringify(found));
