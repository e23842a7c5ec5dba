// What one slip could be, narrowed by what is seen at the loom, as in loomready/slips/possible.py.
import { costs } from "./slip_align.js";
import { odds, slip } from "./slip_naming.js";

export const KINDS = [
  "wrong shaft",
  "crossed",
  "skipped",
  "extra",
  "empty dent",
  "crowded dent",
  "round its heddle",
];
const [WRONG, CROSSED, SKIPPED, EXTRA, EMPTY, CROWDED] = KINDS.keys();
const UNSEEN_KINDS = 4; // this kind and those after it no lift shows
export const SIGNS = ["one end", "two ends", "shift", "gap", "crowded", "late"];
const OFTEN = [1, 1, 1, 1, 0.5, 0.5, 0.5];
export const SHOWS = [
  [0.8, 0.06, 0.02, 0.04, 0.04, 0.04],
  [0.2, 0.74, 0.02, 0.01, 0.02, 0.01],
  [0.1, 0.04, 0.72, 0.1, 0.02, 0.02],
  [0.14, 0.04, 0.7, 0.01, 0.1, 0.01],
  [0.02, 0.02, 0.02, 0.92, 0.01, 0.01],
  [0.02, 0.04, 0.02, 0.01, 0.9, 0.01],
  [0.24, 0.02, 0.01, 0.01, 0.02, 0.7],
];
export const MISREAD = 0.02; // of answers whether an end rises
const MISCOUNT = 1; // each end farther from where it was seen is e times less likely
const BESIDE = 3; // ends by which a count may be off
const ELSEWHERE = 1e-5; // that the place was wrong altogether

/**
 * All single slips of a web, with weights that add up to 1.
 * @param {number[]} planned shafts from 0; `shafts`: not threaded @param {number} shafts @param {ArrayLike<number>} free
 */
export function everything(planned, shafts, free) {
  const used = [...new Set(planned)].filter((shaft) => shaft < shafts);
  const rare = costs(planned.length, used, shafts);
  const ends = planned.map((_, end) => end).filter((end) => !free[end]);
  const first = [];
  for (const [end, shaft] of planned.entries()) {
    first.push(end && planned[end - 1] === shaft ? first[end - 1] : end);
  }
  const run = first.map((end) => Math.max(end, ends[0] ?? 0));
  const made = [];
  const add = (kind, all) => {
    const total = all.reduce((sum, [, , weight]) => sum + weight, 0);
    if (total > 0)
      for (const [end, shaft, weight] of all)
        if (weight > 0) made.push([kind, end, shaft, (weight / total) * OFTEN[kind]]);
  };
  const every = [...Array(shafts + 1).keys()];
  add(
    WRONG,
    ends.flatMap((end) => every.map((shaft) => [end, shaft, Math.exp(rare.shaft[planned[end]][shaft])])),
  );
  const cross = ends.filter(
    (end) => end + 1 < planned.length && !free[end + 1] && planned[end] !== planned[end + 1],
  );
  add(
    CROSSED,
    cross.map((end) => [end, planned[end + 1], 1]),
  );
  add(SKIPPED, summed(ends.map((end) => [run[end], -1, 1])));
  const places = ends.length ? [...ends, ends.at(-1) + 1] : [];
  add(
    EXTRA,
    summed(
      places.flatMap((end) =>
        every.map((shaft) => {
          const same = end > 0 && planned[end - 1] === shaft && !free[end - 1];
          return [same ? run[end - 1] : end, shaft, Math.exp(rare.any[shaft])];
        }),
      ),
    ),
  );
  for (let kind = UNSEEN_KINDS; kind < KINDS.length; kind++)
    add(
      kind,
      ends.map((end) => [end, -1, 1]),
    );
  const column = (at) => made.map((each) => each[at]);
  return weighed({
    planned,
    shafts,
    kind: Uint8Array.from(column(0)),
    end: Int32Array.from(column(1)),
    shaft: Int16Array.from(column(2)),
    weight: Float64Array.from(column(3)),
  });
}

/** Equal places and shafts as one, in their order. */
function summed(all) {
  const found = new Map();
  for (const [end, shaft, weight] of all) {
    const name = end * 1000 + shaft + 1;
    const there = found.get(name);
    if (there) there[2] += weight;
    else found.set(name, [end, shaft, weight]);
  }
  return [...found.keys()].sort((a, b) => a - b).map((name) => found.get(name));
}

/** @param {(place: number) => number} like */
function weighed(possible, like = () => 1) {
  const weight = possible.weight.map((each, at) => each * like(at));
  const total = weight.reduce((sum, each) => sum + each, 0);
  return { ...possible, weight: weight.map((each) => each / total) };
}

/** The fault was seen at these ends, from 1; they may be miscounted by a little. */
export function seenAt(possible, first, last) {
  return weighed(possible, (place) => {
    const kind = possible.kind[place];
    const end = possible.end[place] + 1 + (kind === CROSSED ? 0.5 : kind === EMPTY ? -0.5 : 0);
    return Math.max(Math.exp(-MISCOUNT * Math.max(first - end, end - last, 0)), ELSEWHERE);
  });
}

/** How the fault looks. */
export const looks = (possible, sign) =>
  weighed(possible, (place) => SHOWS[possible.kind[place]][SIGNS.indexOf(sign)]);

/** The shaft of this end, counted on the loom from 0, by each possibility; `shafts`: in none. */
export function on(possible, column) {
  const { planned, shafts } = possible;
  return possible.kind.reduce((found, kind, place) => {
    const end = possible.end[place];
    if ((kind === WRONG || kind === EXTRA) && column === end) {
      found[place] = possible.shaft[place];
      return found;
    }
    let from = column;
    if (kind === SKIPPED && column >= end) from += 1;
    else if (kind === EXTRA && column > end) from -= 1;
    else if (kind === CROSSED && column === end) from += 1;
    else if (kind === CROSSED && column === end + 1) from -= 1;
    found[place] = from >= 0 && from < planned.length ? planned[from] : from < 0 ? planned[0] : shafts;
    return found;
  }, new Int16Array(possible.kind.length));
}

/**
 * Whether ends (from 1, counted on the loom) rose when these shafts (from 1) were lifted.
 * @param {number[]} lifted @param {[number, boolean][]} seen
 */
export function rose(possible, lifted, seen) {
  const up = new Set(lifted.map((shaft) => shaft - 1));
  const looked = seen.map(([end, rises]) => [on(possible, end - 1), rises]);
  return weighed(possible, (place) =>
    looked.reduce(
      (like, [shafts, rises]) => like * (up.has(shafts[place]) === rises ? 1 - MISREAD : MISREAD),
      1,
    ),
  );
}

/** How likely a possibility is; a slip that no lift shows counts with the ends beside it. */
export function certainty(possible, place) {
  const kind = possible.kind[place];
  if (kind < UNSEEN_KINDS) return possible.weight[place];
  return possible.weight.reduce(
    (sum, weight, other) =>
      possible.kind[other] === kind && Math.abs(possible.end[other] - possible.end[place]) <= BESIDE
        ? sum + weight
        : sum,
    0,
  );
}

/** The place of the likeliest possibility. */
export function top(possible) {
  let best = 0;
  possible.weight.forEach((weight, place) => {
    if (weight > possible.weight[best]) best = place;
  });
  return best;
}

/** A possibility as a slip, with its odds against all others. */
export function slipOf(possible, place) {
  const [kind, end, shaft] = [possible.kind[place], possible.end[place], possible.shaft[place]];
  const number = (each) => (each === possible.shafts ? 0 : each + 1);
  const planned =
    end < possible.planned.length && kind !== EXTRA && kind !== EMPTY && kind !== CROWDED
      ? number(possible.planned[end])
      : null;
  return slip(KINDS[kind], {
    end: end + 1,
    planned,
    found: shaft < 0 ? null : number(shaft),
    odds: odds(certainty(possible, place)),
  });
}
