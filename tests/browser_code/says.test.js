// Sentences by language: English where a language, or a sentence of it, is not there.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { wordsOf } from "../../src/probebook/lab/labextensions/probebook-lab/static/says.js";

const STATIC = new URL("../../src/probebook/lab/labextensions/probebook-lab/static/", import.meta.url);
const SAYS = JSON.parse(readFileSync(new URL("says.json", STATIC), "utf-8"));
const SAYINGS = /** @type {const} */ (["altered", "starting", "other-kernel", "a-line-failed", "not-started"]);

test("every saying has an English sentence, and there are no others", () => {
  assert.deepEqual(Object.keys(SAYS.en).sort(), [...SAYINGS].sort());
  for (const saying of SAYINGS) assert.ok(wordsOf(SAYS, "en")(saying).length > 10, saying);
});

test("no language has a saying that English has not", () => {
  for (const [language, sentences] of Object.entries(SAYS)) {
    for (const [saying, text] of Object.entries(sentences)) {
      assert.ok(saying in SAYS.en, `${language}: ${saying}`);
      assert.equal(typeof text, "string", `${language}: ${saying}`);
    }
  }
});

test("no sentence stands in the code", () => {
  for (const name of ["attending", "data", "judge", "looks", "opened", "printing", "says"]) {
    const code = readFileSync(new URL(`${name}.js`, STATIC), "utf-8").replaceAll(/^\s*(?:\/\/|\/?\*).*$/gm, "");
    const sentences = [...code.matchAll(/"[^"\n]*"|`[^`]*`/g)].filter(([text]) => text.split(/\s+/).length >= 5);
    assert.deepEqual(
      sentences.map(([text]) => text).filter((text) => !text.startsWith('"import sys')),
      [],
      name,
    );
  }
});

test("a language is spoken as far as it goes, and a plain id alone names one", () => {
  const table = { en: { starting: "Starting", altered: "Altered" }, "x-y": { starting: "[Starting]", altered: 7 } };
  assert.equal(wordsOf(table, "x-y")("starting"), "Starting");
  const named = { ...table, "de-AT": { starting: "Es beginnt" } };
  assert.equal(wordsOf(named, "de-AT")("starting"), "Es beginnt");
  assert.equal(wordsOf(named, "de-AT")("altered"), "Altered");
  for (const language of [undefined, null, 7, ["en"], "", "fr", "__proto__", "constructor", "../en", "en "]) {
    assert.equal(wordsOf(table, language)("starting"), "Starting", String(language));
  }
});

test("a file that is none leaves the notebook silent", () => {
  for (const table of [null, 1, "en", [], {}, { en: null }, { en: { starting: ["a"] } }]) {
    assert.equal(wordsOf(table, "en")("starting"), "");
  }
});
