// @ts-check
// A quantity as people type it, brought to SI as the core does it: the same figures, the same refusals.

/** @typedef {import("./site-types").Reads} Reads */
/** @typedef {{ value: number } | { reason: string, shown: string, given?: string }} Read */

const LONGEST = 64;
/** @type {Readonly<Record<string, string>>} */
const FRACTIONS = { "½": ".5", "¼": ".25", "¾": ".75" };
/** Letters that mark a resistor's point, and the power of ten of each. @type {Readonly<Record<string, number>>} */
const LETTERS = { R: 0, r: 0, Ω: 0, k: 3, K: 3, M: 6, G: 9 };
/** @type {Readonly<Record<string, string>>} */
const SAID = { meg: "mega", megs: "mega", mega: "mega", kilo: "kilo", kil: "kilo" };
/** @type {Readonly<Record<string, string>>} */
const ALONE = { k: "kilo", K: "kilo", M: "mega", G: "giga" };

const QUANTITY = /^([+-]?) ?([0-9.,](?:[0-9., ]*[0-9.,])?)(?:[eE]([+-]?[0-9]+))? ?((?:[^0-9., ].*)?)$/u;
const UNIT = /^[A-Za-zΩμ°%/][A-Za-zΩμ°%/()·* _]*2?(?:\/[A-Za-z]+)?$/u;
const LETTER_CODE = /^([0-9]*)([RrΩkKMG])([0-9]+) ?(?:Ω|[oO]hms?)?$/u;
const GROUPED = /^[1-9][0-9]{0,2}([, ])[0-9]{3}(?:\1[0-9]{3})*(?:\.[0-9]*)?$/;
const PLAIN = /^(?:[0-9]+\.?[0-9]*|\.[0-9]+)$/;
const DECIMAL_COMMA = /^([0-9]*),([0-9]+)$/;
const POWER_OF_TEN = /([0-9.,]+) ?[×x·*] ?10(?:(?:\^|\*\*)([-+−]?[0-9]{1,3})|([⁺⁻]?[⁰¹²³⁴-⁹]{1,3}))/gu;

/**
 * Read what was typed.
 * @param {string} typed
 * @param {Reads} reads
 * @returns {Read}
 */
export function readQuantity(typed, reads) {
  if (reads.open && isBeyond(typed, reads)) return { value: Number.POSITIVE_INFINITY };
  const found = cleaned(typed, reads);
  if (typeof found !== "string") return found;
  if (meansOpen(found, reads))
    return reads.open ? { value: Number.POSITIVE_INFINITY } : { reason: "not-a-number", shown: quoted(found) };
  const code = reads.unit === "ohm" ? LETTER_CODE.exec(found) : null;
  const read =
    code === null
      ? numberAndUnit(found, reads)
      : { value: Number(`${code[1]}.${code[3]}e${LETTERS[code[2] ?? ""] ?? 0}`) };
  if (!("value" in read)) return read;
  if (!Number.isFinite(read.value)) return { reason: "too-large", shown: quoted(found) };
  return reads.least !== null && read.value < reads.least ? { reason: "below-zero", shown: quoted(found) } : read;
}

/**
 * Whether it says "more than so many megohms".
 * @param {string} typed
 * @param {Reads} reads
 */
function isBeyond(typed, reads) {
  const text = typed.trim();
  if (reads.unit !== "ohm" || typed.length > LONGEST || !text.startsWith(">")) return false;
  const read = readQuantity(text.slice(1), { ...reads, open: false, least: null });
  return "value" in read && read.value >= reads.beyond;
}

/**
 * With one spelling of its signs and single spaces, or why not.
 * @param {string} typed
 * @param {Reads} reads
 */
function cleaned(typed, reads) {
  if (typed.length > LONGEST) return { reason: "too-long", shown: String(typed.length) };
  const shown = quoted(typed.trim());
  const plain = typed.replace(POWER_OF_TEN, "1").replaceAll("º", "°");
  if (/(?<!m)[²³¹⁰-₎]/u.test(plain) || /m[³¹⁰-₎]/u.test(plain)) return { reason: "raised", shown };
  if (typed.includes("±") || typed.includes("+/-")) return { reason: "spread", shown };
  if (/[<>≤≥]/u.test(typed)) return { reason: "limit", shown };
  const text = single(typed.trim(), reads).normalize("NFKC").trim().replaceAll("−", "-").replace(/ +/g, " ");
  const found = text.trim().replaceAll(" 1/", " /");
  if (found === "") return { reason: "nothing", shown };
  return /[\p{C}\p{Zl}\p{Zp}]|(?! )\p{Zs}/u.test(found) ? { reason: "unprintable", shown: quoted(found) } : found;
}

/**
 * Without what the trade writes round a number and its unit.
 * @param {string} typed
 * @param {Reads} reads
 */
function single(typed, reads) {
  let text = typed.replaceAll("º", "°");
  text = text.replace(/([0-9]*) ?([½¼¾])/gu, (_, whole, part) => `${whole || "0"}${FRACTIONS[part]}`);
  text = text.replace(POWER_OF_TEN, (_, number, plain, raised) => {
    const exponent = plain ?? raised.normalize("NFKC");
    return `${number}e${exponent.replaceAll("−", "-").replace(/^\+/, "")}`;
  });
  text = text.replace(/^(?:[A-Za-zθ]{1,2}[0-9]{0,2} ?)?= ?/u, "");
  if (["volt", "ampere"].includes(reads.unit)) text = text.replace(/(?<=[VAa-z]) ?(?:a\.?c\.?|d\.?c\.?|~)$/i, "");
  if (text.endsWith(".") && !/[0-9]/.test(text.at(-2) ?? "")) text = text.slice(0, -1);
  if (["0L", "0.L"].includes(text.toUpperCase())) return "OL";
  const point = /^([0-9]+)([kKMG])([0-9]+)((?: ?[A-Za-z].*)?)$/.exec(text);
  if (!reads.prefixes || reads.unit === "ohm" || point === null) return text;
  const [, whole, letter, part, rest] = point;
  return `${whole}.${part} ${letter}${(rest ?? "").trim() || reads.unit}`;
}

/**
 * @param {string} text
 * @param {Reads} reads
 */
function meansOpen(text, reads) {
  const lowered = text.toLowerCase();
  if (reads.opens.includes(lowered)) return true;
  const [word = "", ...rest] = lowered.replaceAll("∞", "∞ ").replaceAll("  ", " ").split(" ");
  return reads.opens.includes(word) && unitOf(rest.join(" "), reads)?.length === 3;
}

/**
 * @param {string} text
 * @param {Reads} reads
 * @returns {Read}
 */
function numberAndUnit(text, reads) {
  const [, sign = "", number = "", exponent = "0", said = ""] = QUANTITY.exec(text) ?? [];
  const digits = digitsOf(number);
  if (digits === null) return { reason: "unreadable", shown: quoted(text) };
  const given = said === "" ? reads.prefix + reads.unit : said;
  const letter = reads.unit === "ohm" ? LETTERS[said] : undefined;
  const written = letter === undefined ? inFull(given, reads) : "";
  const found =
    letter !== undefined
      ? unitOf(reads.unit, reads)
      : ((UNIT.test(written) || said === "" ? unitOf(written, reads) : undefined) ?? unitForAnother(written, reads));
  if (found === undefined) return { reason: "unknown-unit", shown: quoted(text) };
  if (found.length === 1) {
    const reason = reads.unit === "ohm" && written === "m" ? "metres-for-ohms" : "other-quantity";
    return { reason, shown: quoted(text), given: found[0] };
  }
  const [power, factor, offset] = found;
  const value = Number(`${sign}${digits}e${Number(exponent) + (letter ?? power)}`);
  return { value: (factor >= 1 ? value * factor : value / (1 / factor)) + offset };
}

/** @param {string} number */
function digitsOf(number) {
  if (PLAIN.test(number)) return number;
  if (GROUPED.test(number)) return number.replaceAll(",", "").replaceAll(" ", "");
  const comma = DECIMAL_COMMA.exec(number);
  return comma === null ? null : `${comma[1]}.${comma[2]}`;
}

/**
 * The unit as it would be written in full where the trade says less.
 * @param {string} text
 * @param {Reads} reads
 */
function inFull(text, reads) {
  if (reads.unit === "celsius") return reads.degrees[text] ?? text;
  const said = SAID[text.toLowerCase()];
  if (reads.unit === "ohm" && said !== undefined) return `${said}ohm`;
  return reads.prefixes && ALONE[text] !== undefined ? `${ALONE[text]}${reads.unit}` : text;
}

/**
 * What a unit that is none here would be where another quantity is asked for: "°" is degrees, "V AC" is volts.
 * @param {string} text
 * @param {Reads} reads
 */
function unitForAnother(text, reads) {
  const degrees = reads.degrees[text] ?? text;
  const bare = (/^[kKMG][0-9]+((?: ?[A-Za-z].*)?)$/.exec(degrees)?.[1] ?? degrees).trim();
  const found = unitOf(bare.replace(/(?<=[VAa-z]) ?(?:a\.?c\.?|d\.?c\.?|~)$/i, ""), reads);
  return found?.length === 1 ? found : undefined;
}

/**
 * @param {string} text
 * @param {Reads} reads
 */
function unitOf(text, reads) {
  const key = text
    .replaceAll("Ω", "Ω")
    .replaceAll("µ", "μ")
    .replaceAll("²", "2")
    .replace(/[ ·*_]/g, "");
  const ways = [key, key.slice(0, 1) + key.slice(1).toLowerCase(), key.toLowerCase()];
  const found = ways.find((way) => Object.hasOwn(reads.units, way));
  return found === undefined || key === "" ? undefined : reads.units[found];
}

/** @param {string} text */
function quoted(text) {
  const shown = text.replace(/[\p{C}\p{Zl}\p{Zp}]|(?! )\p{Zs}/gu, "\ufffd");
  const letters = [...shown];
  return letters.length <= 28 ? `"${shown}"` : `"${letters.slice(0, 24).join("")}..."`;
}
