// @ts-check
// What is said above a workbook while it starts or does not start. The sentences are in says.json, by language; they are
// shown as text only, never as HTML.

import { held } from "./data.js";

/** @typedef {"altered"|"starting"|"other-kernel"|"a-line-failed"|"not-started"} Saying */
/** @typedef {(saying: Saying) => string} Words */

const ENGLISH = "en";
const LANGUAGE = /^[A-Za-z]{2,8}(?:-[A-Za-z0-9]{1,8})*$/;

/**
 * The sentences of a language; English where the language, or a sentence of it, is not there.
 * @param {unknown} table what says.json holds: language → saying → sentence
 * @param {unknown} language as a notebook names it; anything but a plain id is English
 * @returns {Words}
 */
export function wordsOf(table, language) {
  const id = typeof language === "string" && LANGUAGE.test(language) ? language : ENGLISH;
  return (saying) => {
    const found = [id, ENGLISH].map((name) => held(held(table, name), saying)).find((text) => typeof text === "string");
    return typeof found === "string" ? found : "";
  };
}

/**
 * Fetch the sentences of all languages; without them a workbook runs in silence.
 * @returns {Promise<(language: unknown) => Words>}
 */
export async function loadWords() {
  /** @type {unknown} */
  let table = {};
  try {
    const answer = await fetch(new URL("says.json", import.meta.url));
    if (!answer.ok) throw new Error(`says.json: ${answer.status}`);
    table = await answer.json();
  } catch (error) {
    console.error("probebook:", error);
  }
  return (language) => wordsOf(table, language);
}
