// Facts from the loom, as in loomready/loomside/log/facts.py: a row is [job, plan, first, last, 1 or 0,
// counter, hand]. Merging is union; the last fact that covers an end holds.

/** @typedef {[string, string, number, number, number, number, string]} Row */

const MOST = 2_000_000; // ends or picks of a job
const MOST_COUNTER = 2 ** 40;

/** The row's identity: its whole content. @param {Row} row */
export const nameOf = (row) => row.join("/");

/** Which of two facts is the later one. @param {Row} a @param {Row} b */
export function compare(a, b) {
  for (const part of [5, 6, 2, 3, 4, 0, 1]) {
    if (a[part] !== b[part]) return a[part] < b[part] ? -1 : 1;
  }
  return 0;
}

/** Whether this is a fact at all. @param {unknown} row */
export function isFact(row) {
  if (!Array.isArray(row) || row.length !== 7) return false;
  const [job, plan, first, last, done, counter, hand] = row;
  const whole = [first, last, counter].every(Number.isSafeInteger);
  return (
    typeof job === "string" &&
    /^[0-9a-f]{16}$/.test(plan) &&
    /^[0-9a-f]{8,32}$/.test(hand) &&
    whole &&
    1 <= first &&
    first <= last &&
    last <= MOST &&
    counter >= 1 &&
    counter <= MOST_COUNTER &&
    (done === 0 || done === 1)
  );
}

/**
 * What is done of a job: a byte for each end, turn or pick.
 * @param {Iterable<Row>} rows @param {string} job @param {number} units @param {string} plan
 * @param {Record<string, number[][]>} earlier what earlier plans share with this one: [first, last, shift]
 */
export function stateOf(rows, job, units, plan, earlier = {}) {
  const done = new Uint8Array(units);
  const mine = [...rows].filter((row) => row[0] === job && (row[1] === plan || earlier[row[1]]));
  for (const row of mine.sort(compare)) apply(done, row, plan, earlier);
  return done;
}

/**
 * One more fact, later than all before.
 * @param {Uint8Array} done @param {Row} row @param {string} plan @param {Record<string, number[][]>} earlier
 */
export function apply(done, row, plan, earlier = {}) {
  const [, of, first, last, value] = row;
  const moves = of === plan ? [[first, last, 0]] : (earlier[of] ?? []);
  for (const [from, to, shift] of moves) {
    const start = Math.max(first, from) + shift;
    const stop = Math.min(last, to) + shift;
    if (start <= stop) done.fill(value, Math.max(0, start - 1), Math.max(0, stop));
  }
}

/** Where the bytes from first to last (from 1) have this value: [first, last] from 1. @param {Uint8Array} done */
export function stretches(done, value = 1, first = 1, last = done.length) {
  const found = [];
  let start = 0;
  for (let at = first; at <= last + 1; at++) {
    const is = at <= last && done[at - 1] === value;
    if (is && !start) start = at;
    if (!is && start) {
      found.push([start, at - 1]);
      start = 0;
    }
  }
  return found;
}

/** One above every counter seen. @param {Iterable<Row>} rows */
export function nextCounter(rows) {
  let most = 0;
  for (const row of rows) most = Math.max(most, row[5]);
  return most + 1;
}

const SUMMED = 1_000_003; // counters are summed modulo this

/** A summary of these facts, the same as the server's of its own. @param {Iterable<Row>} rows */
export function heldOf(rows) {
  const held = [0, 0, 0, 0];
  for (const row of rows) {
    held[0] += 1;
    held[1] += row[5] % SUMMED;
    held[2] += row[2];
    held[3] += row[3];
  }
  return held;
}

/** A sum over facts in any order, to detect a file that was edited or damaged. @param {Iterable<Row>} rows */
export function checkSum(rows) {
  let total = 0;
  for (const row of rows) total ^= fnv(nameOf(row));
  return (total >>> 0).toString(16).padStart(8, "0");
}

/** FNV-1a, 32 bits. @param {string} text */
export function fnv(text) {
  let value = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(text)) value = Math.imul(value ^ byte, 0x01000193);
  return value >>> 0;
}
