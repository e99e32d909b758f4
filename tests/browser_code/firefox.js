// Run by tests in Python: opens pages in Firefox, answers questions there by keys and by mouse, and says what was seen.
import { readFileSync } from "node:fs";
import { setTimeout } from "node:timers/promises";
import puppeteer from "puppeteer-core";

/**
 * A field as hands need it: for an order also the texts as shown.
 * @typedef {{ kind: "quantity" | "choice" | "choices" | "order", given: any, shown: string[] }} Field
 * @typedef {{ by: "keys" | "mouse", fields: Field[], tone: string }} Answer
 * @typedef {{ name: string, url: string, ready: string, forms: number, scope: string, answers: Answer[],
 *   probes: string[] }} Visit
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
  await node?.evaluate(async (place) => {
    const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));
    for (let last = NaN, still = 0, frames = 0; still < 5 && frames < 300; frames += 1) {
      await frame();
      const { top } = place.getBoundingClientRect();
      still = top === last ? still + 1 : 0;
      last = top;
    }
  });
  await node?.click();
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

/** What the meter shows while the probes are put on terminals, one after the other. @param {import("puppeteer-core").Page} page @param {string[]} probes */
async function probed(page, probes) {
  for (const step of probes) {
    await page.waitForSelector(".pb-bench:not(.pb-waits)", { timeout: PATIENCE });
    await page.waitForSelector(step, { timeout: PATIENCE });
    const node = await page.$(step);
    await press(node);
  }
  await page.waitForSelector(".pb-bench:not(.pb-waits)", { timeout: PATIENCE });
  const shown = () => page.$eval(".pb-figure-shown", (node) => node.textContent ?? "");
  for (const end = Date.now() + 20_000; !/[0-9]|OL/.test(await shown()) && Date.now() < end; ) await setTimeout(200);
  return shown();
}

/** Stop the kernels, as when nobody works any more. @param {URL} url */
async function endSessions(url) {
  const headers = { Authorization: `token ${url.searchParams.get("token")}` };
  const sessions = await (await fetch(`${url.origin}/api/sessions`, { headers })).json();
  for (const { id } of sessions) await fetch(`${url.origin}/api/sessions/${id}`, { method: "DELETE", headers });
}

/** @param {Visit} visit */
async function visited({ name, url, ready, forms, scope, answers, probes }) {
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
  if (answers.length > 0) {
    const form = await page.waitForSelector(scope, { timeout: PATIENCE });
    if (form === null) throw new Error(`there is no ${scope}`);
    for (const answer of answers) said.push(await give(page, /** @type {Handle} */ (form), answer));
  }
  const shown = probes.length > 0 ? await probed(page, probes) : "";
  await page.close();
  await endSessions(new URL(url));
  return { name, forms: count, width, said, shown, troubles, hosts: [...hosts].sort() };
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
