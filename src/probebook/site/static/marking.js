// @ts-check
// Marking from tables: what was chosen is looked up, a number is held against its bands, an order against its pairs.

import { filled, rounded } from "../../workbook/static/table/table-words.js";
import { readQuantity } from "./quantity.js";

/** @typedef {import("./site-types").Outcome} Outcome */
/** @typedef {import("./site-types").FieldTable} FieldTable */
/** @typedef {import("./site-types").Marked} Marked */

const UNSCORED = ["blank", "unreadable"];

/**
 * Mark an answer as the page holds it.
 * @param {import("./site-types").QuestionTable} question
 * @param {readonly unknown[]} answer
 * @param {import("./site-types").MarkingWords} words
 * @returns {Marked}
 */
export function marked(question, answer, words) {
  const outcomes = question.fields.map((field, place) => outcomeOf(field, answer[place]));
  const standing = standingOf(outcomes.map((one) => one.standing));
  const isScored = !UNSCORED.includes(standing);
  const critical = isScored && outcomes.some((one) => one.critical === true);
  const sum = outcomes.reduce((all, one) => all + one.marks, 0);
  return {
    standing: critical ? "slip" : standing,
    marks: isScored && !critical ? rounded(sum, 2) : 0,
    critical,
    message: messageOf(question, outcomes, standing, critical, words),
    parts: outcomes.map((one, place) => ({
      label: question.fields[place]?.label ?? "",
      standing: one.standing,
      message: one.part,
    })),
  };
}

/**
 * @param {FieldTable} field
 * @param {unknown} given
 * @returns {Outcome}
 */
function outcomeOf(field, given) {
  if (field.kind === "choice") return (typeof given === "number" ? field.outcomes[given] : undefined) ?? field.blank;
  if (field.kind === "choices") return choicesOutcome(field, given);
  return field.kind === "order" ? orderOutcome(field, given) : quantityOutcome(field, given);
}

/**
 * Right ticks less wrong ticks, as a share of the right ones.
 * @param {import("./site-types").ChoicesTable} field
 * @param {unknown} given
 * @returns {Outcome}
 */
function choicesOutcome(field, given) {
  const ticked = Array.isArray(given) ? given.map((place) => field.ids[place] ?? "") : [];
  const { wanted } = field;
  if (ticked.length === 0 && wanted.length > 0) return field.blank;
  const [good, bad] = [ticked.filter((id) => wanted.includes(id)), ticked.filter((id) => !wanted.includes(id))];
  if (bad.length === 0 && good.length === wanted.length) return field.right;
  const share = wanted.length === 0 ? 0 : Math.max(good.length - bad.length, 0) / wanted.length;
  const marks = rounded(field.marks * share, 2);
  for (const { shows, outcome } of field.slips) {
    if (typeof shows === "string" && bad.includes(shows))
      return { ...outcome, marks: outcome.critical === true ? 0 : marks };
    if (typeof shows !== "string" && same(shows, ticked)) return outcome;
  }
  const counted = field.counts[`${good.length} ${bad.length}`] ?? field.blank;
  return { ...counted, marks, standing: marks > 0 ? "partly right" : "wrong" };
}

/** @param {readonly string[]} one @param {readonly string[]} other */
const same = (one, other) => one.length === other.length && one.every((id) => other.includes(id));

/**
 * @param {import("./site-types").OrderTable} field
 * @param {unknown} given
 * @returns {Outcome}
 */
function orderOutcome(field, given) {
  if (!Array.isArray(given) || given.length !== field.ids.length) return field.blank;
  const places = new Map(given.map((option, place) => [field.ids[option] ?? "", place]));
  /** @param {string} id */
  const at = (id) => places.get(id) ?? 0;
  const broken = field.before.filter(([earlier, later]) => at(earlier) > at(later));
  if (broken.length === 0) return field.right;
  const kept = field.implied.filter(([earlier, later]) => at(earlier) < at(later)).length;
  const marks = rounded((field.marks * kept) / field.implied.length, 2);
  // A critical slip is named first, then the one whose two steps stand closest together.
  const shown = field.slips
    .filter(({ later, earlier }) => at(later) < at(earlier))
    .map((slip) => ({ ...slip, rank: (slip.outcome.critical === true ? 0 : 1000) + at(slip.earlier) - at(slip.later) }))
    .sort((one, other) => one.rank - other.rank)[0];
  if (shown !== undefined) return { ...shown.outcome, marks: shown.outcome.critical === true ? 0 : marks };
  const [earlier, later] = /** @type {readonly [string, string]} */ (
    [...broken].sort(([a, b], [c, d]) => at(b) - at(d) || at(a) - at(c))[0]
  );
  const outcome = field.early[`${earlier}>${later}`] ?? field.blank;
  return { ...outcome, marks, standing: marks > 0 ? "partly right" : "wrong" };
}

/**
 * @param {import("./site-types").QuantityTable} field
 * @param {unknown} given
 * @returns {Outcome}
 */
function quantityOutcome(field, given) {
  if (typeof given !== "string" || given.trim() === "") return field.blank;
  const read = readQuantity(given, field.reads);
  if (!("value" in read)) {
    const outcome = field.unread[read.reason] ?? field.blank;
    const told = { shown: escaped(read.shown), given: escaped(read.given ?? "") };
    const [part, alone, first] = [outcome.part, outcome.alone, outcome.first].map((text) => filled(text, told));
    return { ...outcome, part: part ?? "", alone: alone ?? "", first: first ?? "" };
  }
  if (holds(field.band, read.value)) return field.right;
  const slips = field.slips
    .filter(({ band }) => holds(band, read.value))
    .sort((one, other) => distance(one.band, read.value) - distance(other.band, read.value));
  if (slips[0] !== undefined) return slips[0].outcome;
  if (!Number.isFinite(read.value)) return field.wrong["not-open"];
  return field.wrong[field.band[0] === null ? "nothing-joins" : "check-figures"];
}

/**
 * @param {import("./site-types").Band} band
 * @param {number} value
 */
function holds([low, high], value) {
  return (low ?? Number.POSITIVE_INFINITY) <= value && value <= (high ?? Number.POSITIVE_INFINITY);
}

/**
 * @param {import("./site-types").Band} band
 * @param {number} value
 */
function distance([low, high], value) {
  if (!Number.isFinite(value) || low === null || high === null) return 0;
  const middle = (low + high) / 2;
  return middle === 0 ? Math.abs(value) : Math.abs(value - middle) / Math.abs(middle);
}

/** @param {readonly string[]} found */
function standingOf(found) {
  if (found.includes("unreadable")) return "unreadable";
  if (found.includes("blank")) return "blank";
  if (found.every((one) => one === "right")) return "right";
  if (found.includes("right") || found.includes("partly right")) return "partly right";
  return found.includes("slip") ? "slip" : "wrong";
}

/**
 * @param {import("./site-types").QuestionTable} question
 * @param {readonly Outcome[]} outcomes
 * @param {string} standing
 * @param {boolean} critical
 * @param {import("./site-types").MarkingWords} words
 */
function messageOf(question, outcomes, standing, critical, words) {
  if (outcomes.length === 1) return outcomes[0]?.alone ?? "";
  if (critical) return words.critical;
  if (UNSCORED.includes(standing)) return outcomes.find((one) => one.standing === standing)?.first ?? "";
  return question.right[outcomes.filter((one) => one.standing === "right").length] ?? "";
}

/** @param {string} text */
export function escaped(text) {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");
}
