// @ts-check
// What each act does on a bench that is a table: from how the job stands to how it stands then, with what is seen.

import { doMeter, doNull, doProbe } from "./table-reading.js";
import {
  canReach,
  isDead,
  isInsulated,
  isOver,
  no,
  notDead,
  spend,
  stop,
  unreadSides,
  withItem,
  without,
} from "./table-standing.js";
import { filled, listed } from "./table-words.js";

/** @typedef {import("./table-types").BenchTable} BenchTable */
/** @typedef {import("./table-types").Stand} Stand */
/** @typedef {import("./table-types").Shown} Shown */
/** @typedef {import("./table-types").Doer} Doer */

const EMPTY = /** @type {ReadonlySet<string>} */ (new Set());

/** @param {string | undefined} text @returns {Shown} */
const seen = (text) => ({ text: text ?? "", done: true });

/** @type {Doer} */
function isolate({ job, says }, stand) {
  if (stand.isolated) return no(stand, says.refused.isolated);
  const fresh = { locked: false, proved: false, provedAgain: false, untried: false, tested: EMPTY };
  const after = { ...stand, isolated: true, ...fresh };
  return [spend(after, job.minutes.switch_off, true), seen(says.seen.isolate)];
}

/** @type {Doer} */
function lock({ job, says }, stand) {
  if (!stand.isolated || stand.locked) return no(stand, says.refused[stand.locked ? "locked" : "not-isolated"]);
  return [spend({ ...stand, locked: true }, job.minutes.lock_off, true), seen(says.seen["lock off"])];
}

/** @type {Doer} */
function prove({ job, says }, stand) {
  /** @type {Stand} */
  let after = stand.proved
    ? { ...stand, provedAgain: stand.tested.size > 0 }
    : { ...stand, proved: true, tested: EMPTY };
  if (stand.proved) after = { ...after, provedDead: after.provedDead || isDead(after) };
  return [spend(after, job.minutes.prove_tester, true), seen(says.seen["prove tester"])];
}

/** @type {Doer} */
function test({ job, says }, stand, pair) {
  if (!stand.pairs.includes(pair)) return no(stand, says.refused["no-pair"]);
  if (!stand.isolated) return [spend(stand, job.minutes.test_dead, true), seen(says.seen[`live ${pair}`])];
  const untried = stand.untried || !stand.proved;
  const after = { ...stand, tested: withItem(stand.tested, pair), provedAgain: false, untried };
  return [spend(after, job.minutes.test_dead, true), seen(says.seen[`test dead ${pair}`])];
}

/** @type {Doer} */
function coverOff(table, stand, cover) {
  const { job, says } = table;
  const seconds = job.covers[cover];
  if (seconds === undefined || stand.uncovered.has(cover)) return no(stand, says.refused["no-cover"]);
  const [slip, why] = notDead(table, stand);
  if (slip !== "") return stop(table, stand, slip, filled(says.stop.covers[cover], { why }));
  const after = { ...stand, uncovered: withItem(stand.uncovered, cover) };
  return [spend(after, seconds / 60), seen(says.seen[`cover off: ${cover}`])];
}

/** @type {Doer} */
function coverOn({ job, says }, stand, cover) {
  if (!stand.uncovered.has(cover)) return no(stand, says.refused["cover-on"]);
  const after = { ...stand, uncovered: without(stand.uncovered, cover) };
  return [spend(after, (job.covers[cover] ?? 0) / 60), seen(says.seen[`cover on: ${cover}`])];
}

/** @type {Doer} */
function lift(table, stand, mark) {
  const { job, says } = table;
  const wire = job.wires.find((one) => one.mark === mark);
  if (wire === undefined || stand.lifted.has(mark)) return no(stand, says.refused["no-wire"]);
  if (!canReach(table, stand, mark)) return no(stand, says.covered.wire[mark]);
  const [slip, why] = notDead(table, stand);
  if (slip !== "") return stop(table, stand, slip, filled(says.stop["taking-wire-off"], { why }));
  const after = { ...stand, lifted: withItem(stand.lifted, mark), earth: wire.earth ? EMPTY : stand.earth };
  return [spend(after, job.minutes.lift), seen(says.seen[`lift ${mark}`])];
}

/** @type {Doer} */
function refit(table, stand, mark) {
  const { job, says } = table;
  if (!stand.lifted.has(mark)) return no(stand, says.refused["wire-on"]);
  if (!canReach(table, stand, mark)) return no(stand, says.covered.wire[mark]);
  const after = { ...stand, lifted: without(stand.lifted, mark) };
  return [spend(after, job.minutes.lift), seen(says.seen[`refit ${mark}`])];
}

/** @type {Doer} */
function controls({ job, says }, stand, name) {
  if (name === stand.position || !job.positions.some((one) => one.name === name))
    return no(stand, says.refused["no-position"]);
  return [spend({ ...stand, position: name }, job.minutes.set_controls), seen(says.seen[`controls ${name}`])];
}

/** @param {boolean} calling @returns {Doer} */
function thermostat(calling) {
  return ({ job, says }, stand) => {
    if (stand.calling === calling || !job.cycles) return no(stand, says.refused.thermostat);
    const text = says.seen[calling ? "thermostat calling" : "thermostat resting"];
    return [spend({ ...stand, calling }, job.minutes.set_controls), seen(text)];
  };
}

/** @type {Doer} */
function look(table, stand, mark) {
  const { job, says, looks } = table;
  if (!Object.hasOwn(looks, mark)) return no(stand, says.refused["no-look"]);
  if (!canReach(table, stand, mark)) return no(stand, says.covered.look[mark]);
  return [spend({ ...stand, trials: stand.trials + 1 }, job.minutes.look), seen(looks[mark])];
}

/** @type {Doer} */
function dry({ job, says }, stand) {
  if (!stand.isolated || stand.dried) return no(stand, says.refused["not-now"]);
  const bad = stand.bad !== null && !stand.bad.insulation ? stand.bad : null;
  return [spend({ ...stand, dried: true, insulated: EMPTY, bad }, job.minutes.dry_out), seen(says.seen["dry out"])];
}

/** @type {Doer} */
function energise(table, stand) {
  const { job, says } = table;
  if (!stand.isolated) return no(stand, says.refused["supply-on"]);
  const loose = [...stand.lifted].sort();
  if (job.wires.some((wire) => wire.earth && stand.lifted.has(wire.mark)))
    return stop(table, stand, "earth-forgotten", says.stop["earth-off"]);
  if (stand.uncovered.size > 0 || loose.length > 0) {
    const covers = [...stand.uncovered].sort().map((cover) => says.stop.cover[cover] ?? "");
    const off = listed(says.list, [...covers, ...loose.map((mark) => says.stop.wire[mark] ?? "")]);
    return stop(table, stand, "energised-open", filled(says.stop.open, { off }));
  }
  const why = unproved(table, stand);
  if (why !== "") return stop(table, stand, "untested-return", filled(says.stop.unproved, { why }));
  const fresh = { isolated: false, locked: false, proved: false, provedAgain: false, tested: EMPTY };
  return [spend({ ...stand, ...fresh }, job.minutes.restore), seen(says.seen.energise)];
}

/**
 * Why earth and insulation do not allow the supply yet; empty when they do.
 * @param {BenchTable} table
 * @param {Stand} stand
 */
function unproved({ job, says }, stand) {
  if (stand.bad !== null)
    return filled(says.unproved[stand.bad.insulation ? "bad-insulation" : "bad-earth"], {
      ...stand.bad,
      insulation: "",
    });
  const unread = job.metal.filter((place) => !stand.earth.has(place));
  if (job.earth !== "" && unread.length > 0)
    return filled(says.unproved["no-earth"], { places: listed(says.list, unread) });
  if (job.metal.length === 0 || isInsulated(job, stand.insulated)) return "";
  return filled(says.unproved["no-insulation"], { sides: listed(says.list, unreadSides(job, stand.insulated)) });
}

/** @type {Doer} */
function watch({ job, says, tries }, stand) {
  if (stand.isolated) return no(stand, says.refused["supply-off"]);
  if (!stand.calling) return no(stand, says.refused["not-calling"]);
  const found = tries[stand.position]?.watched ?? null;
  if (found === null) return no(stand, says.untried["no-lamp"][stand.position]);
  const after = { ...stand, trials: stand.trials + 1, safetyTrials: stand.safetyTrials + 1 };
  return [spend(after, job.minutes.look, true), { ...seen(found.said), lit: found.lit }];
}

/** @param {"ran" | "recorded"} which @returns {Doer} */
function run(which) {
  return (table, stand) => {
    const { job, says, tries } = table;
    if (stand.isolated) return no(stand, says.refused["supply-off"]);
    const why = unproved(table, stand);
    if (why !== "") return stop(table, stand, "untested-return", filled(says.stop.suspect, { why }));
    const found = tries[stand.position]?.[which] ?? null;
    if (found === null) return no(stand, says.untried["nothing-to-try"][stand.position]);
    const after = { ...stand, trials: stand.trials + 1 };
    return [spend(after, job.minutes[which === "ran" ? "run" : "record"]), { ...seen(found.said), lit: found.lit }];
  };
}

/** @type {Doer} */
function bypass(table, stand, mark) {
  if (!table.job.cut_outs.includes(mark)) return no(stand, table.says.refused["no-bridge"]);
  return stop(table, stand, "bypass", table.says.stop.bridging[mark] ?? "");
}

/** @type {Doer} */
function conclude({ job, says }, stand, what) {
  const ids = what === NOTHING_WRONG ? [] : what.split("+").map((id) => id.trim());
  const faults = [...new Set(ids)].sort();
  const titles = faults.map((id) => job.faults.find((one) => one.id === id)?.title);
  if (titles.includes(undefined)) return no(stand, says.refused["no-fault"]);
  const named = listed(says.list, /** @type {string[]} */ (titles));
  const text = faults.length > 0 ? filled(says.seen.concluded, { faults: named }) : says.seen["concluded-nothing"];
  return [{ ...stand, conclusion: faults.join(" + ") || NOTHING_WRONG }, seen(text)];
}

export const NOTHING_WRONG = "nothing wrong";

/** Verbs in the order in which an act is read; those with a mark behind them are done to something. */
const DOERS = /** @type {readonly (readonly [string, boolean, Doer])[]} */ ([
  ["isolate", false, isolate],
  ["lock off", false, lock],
  ["prove tester", false, prove],
  ["test dead", true, test],
  ["cover off:", true, coverOff],
  ["cover on:", true, coverOn],
  ["lift", true, lift],
  ["refit", true, refit],
  ["controls", true, controls],
  ["thermostat calling", false, thermostat(true)],
  ["thermostat resting", false, thermostat(false)],
  ["meter", true, doMeter],
  ["null leads", false, doNull],
  ["probe", true, doProbe],
  ["look", true, look],
  ["dry out", false, dry],
  ["energise", false, energise],
  ["watch lamps", false, watch],
  ["run", false, run("ran")],
  ["record", false, run("recorded")],
  ["bypass", true, bypass],
  ["conclude", true, conclude],
]);

/**
 * Do an act; what cannot be done leaves all as it is.
 * @param {BenchTable} table
 * @param {Stand} stand
 * @param {string} act
 * @returns {readonly [Stand, Shown]}
 */
export function done(table, stand, act) {
  if (isOver(stand)) return no(stand, table.says.refused.over);
  for (const [verb, isOnThing, doer] of DOERS) {
    if (!isOnThing && act === verb) return doer(table, stand, "");
    if (isOnThing && act.startsWith(`${verb} `)) return doer(table, stand, act.slice(verb.length + 1).trim());
  }
  return no(stand, table.says.refused["no-act"]);
}

/**
 * An act in words.
 * @param {BenchTable} table
 * @param {string} act
 */
export function actWords({ job, says }, act) {
  const plain = says.acts[act];
  if (plain !== undefined) return plain;
  const [verb = "", a = "", b = ""] = act.split(" ");
  if (verb === "probe") return filled(says.acts.probe, { a, b });
  if (act === `conclude ${NOTHING_WRONG}`) return says.acts["conclude nothing"] ?? act;
  const ids = act.slice(verb.length + 1).split(" + ");
  const titles = ids.map((id) => job.faults.find((one) => one.id === id)?.title ?? id);
  return filled(says.acts.conclude, { faults: listed(says.list, titles) });
}
