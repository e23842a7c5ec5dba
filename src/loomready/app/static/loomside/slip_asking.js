// The question whose answer narrows most what one slip could be, as in loomready/slips/asking.py.
import { KINDS, MISREAD, SHOWS, SIGNS, certainty, on, top } from "./slip_possible.js";

const SURE = 0.95; // of one possibility: nothing more is asked
const WINDOW = 4; // ends looked at together
const STRIPS = 4;
const NARROW = 12; // ends in which a lift is worth a look
const LEAST_BITS = 0.02;

/**
 * @typedef {{kind: "where", stretches: [number, number][]} | {kind: "looks"}
 *   | {kind: "lift", shafts: number[], ends: number[], patterns: boolean[][], masses: number[]}} Question
 */

export const sure = (possible) => certainty(possible, top(possible)) >= SURE;

/**
 * The question to ask next; null: one possibility is left, or no question would tell more.
 * @param {number[][]} lifts shafts (from 1) that can be lifted together
 * @param {(question: Question) => boolean} known what was asked already
 * @returns {Question | null}
 */
export function best(possible, lifts, known) {
  if (sure(possible)) return null;
  const mass = byEnd(possible);
  const [first, last] = spread(mass, possible.planned.length);
  /** @type {Question[]} */
  const made = [{ kind: "looks" }];
  if (last - first >= NARROW) {
    made.push(where(mass, possible.planned.length, first, last));
  } else {
    const several = [
      ...new Map(
        lifts.map((each) => {
          const shafts = [...each].sort((a, b) => a - b);
          return [shafts.join(), shafts];
        }),
      ).values(),
    ].filter((each) => each.length);
    for (const ends of windows(mass, possible.planned.length)) {
      const shafts = ends.map((end) => on(possible, end - 1));
      made.push(...several.map((each) => lift(possible, each, ends, shafts)));
    }
  }
  let found = null;
  let most = -Infinity;
  for (const question of made) {
    if (known(question)) continue;
    const worth = bits(possible, question, mass);
    if (worth > most) [found, most] = [question, worth];
  }
  return most >= LEAST_BITS ? found : null;
}

/** The information that the answer is expected to give, in bits. */
export function bits(possible, question, mass = byEnd(possible)) {
  if (question.kind === "where") {
    return entropy(
      question.stretches.map(([first, last]) =>
        mass.subarray(first - 1, last).reduce((sum, each) => sum + each, 0),
      ),
    );
  }
  if (question.kind === "looks") {
    const kinds = new Float64Array(KINDS.length);
    possible.weight.forEach((weight, place) => {
      kinds[possible.kind[place]] += weight;
    });
    const lost = SHOWS.reduce((sum, row, kind) => sum + kinds[kind] * entropy(row), 0);
    return (
      entropy(SIGNS.map((_, sign) => SHOWS.reduce((sum, row, kind) => sum + kinds[kind] * row[sign], 0))) -
      lost
    );
  }
  return entropy(question.masses) - question.ends.length * entropy([MISREAD, 1 - MISREAD]);
}

function entropy(mass) {
  const total = mass.reduce((sum, each) => sum + each, 0);
  return mass.reduce((sum, each) => (each > 0 ? sum - (each / total) * Math.log2(each / total) : sum), 0);
}

/** How likely the fault is at each end; one place more for what stands after the last. */
function byEnd(possible) {
  const mass = new Float64Array(possible.planned.length + 1);
  possible.weight.forEach((weight, place) => {
    mass[possible.end[place]] += weight;
  });
  return mass;
}

/** First and last end, from 0, between which the fault lies with 98 in 100. */
function spread(mass, ends) {
  let sum = 0;
  let [first, last] = [mass.length, mass.length];
  mass.forEach((each, end) => {
    sum += each;
    if (sum >= 0.01) first = Math.min(first, end);
    if (sum >= 0.99) last = Math.min(last, end);
  });
  last = Math.min(last, ends - 1);
  return [Math.min(first, last), last];
}

/**
 * Stretches that are about equally likely; those at the edges reach as far as the fault may lie.
 * @returns {Question}
 */
function where(mass, ends, from, to) {
  let [first, last] = [from, to];
  while (first > 0 && mass[first - 1] > mass[first] / 10) first -= 1;
  while (last + 1 < ends && mass[last + 1] > mass[last] / 10) last += 1;
  const sums = [];
  let sum = 0;
  for (let end = first; end <= last; end++) {
    sum += mass[end];
    sums.push(sum);
  }
  const cuts = new Set();
  for (let strip = 1; strip < STRIPS; strip++) {
    const share = (strip / STRIPS) * sums.at(-1);
    const cut = sums.findIndex((sum) => sum >= share);
    cuts.add(first + (cut < 0 ? sums.length : cut) + 1);
  }
  cuts.delete(last + 1);
  const bounds = [first, ...[...cuts].sort((a, b) => a - b), last + 1];
  return { kind: "where", stretches: bounds.slice(1).map((stop, at) => [bounds[at] + 1, stop]) };
}

/** The few ends, from 1, that the fault lies at most likely, and those beside them. */
function windows(mass, ends) {
  const size = Math.min(WINDOW, ends);
  const sums = [0];
  for (let end = 0; end < ends; end++) sums.push(sums[end] + mass[end]);
  let most = 0;
  const here = (first) => Number((sums[first + size] - sums[first]).toFixed(12));
  for (let first = 1; first + size <= ends; first++) if (here(first) > here(most)) most = first;
  const firsts = new Set([0, size, -size].map((step) => Math.min(Math.max(most + step, 0), ends - size)));
  return [...firsts].map((first) => Array.from({ length: size }, (_, at) => first + 1 + at));
}

/** @returns {Question} */
function lift(possible, shafts, ends, on_) {
  const rises = new Uint8Array(possible.shafts + 1);
  for (const shaft of shafts) rises[shaft - 1] = 1;
  const masses = new Float64Array(1 << ends.length);
  possible.weight.forEach((weight, place) => {
    let code = 0;
    for (let at = 0; at < ends.length; at++) code |= rises[on_[at][place]] << at;
    masses[code] += weight;
  });
  const order = [...masses.keys()].sort((a, b) => masses[b] - masses[a]).filter((each) => masses[each] > 0);
  return {
    kind: "lift",
    shafts,
    ends,
    patterns: order.map((each) => ends.map((_, at) => Boolean((each >> at) & 1))),
    masses: order.map((each) => masses[each]),
  };
}
