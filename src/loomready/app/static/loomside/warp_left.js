// Is there enough warp left: the same as loomready/loomside/log/warp_left.py, for a page without a network.

import { yarnsOf } from "./screens.js";

/**
 * @param {any} of the plan's figures @param {number} picks woven so far
 * @param {{woven_mm?: number, warp_left_mm?: number, border?: number}} measured
 */
export function reach(of, picks, measured = {}) {
  const total = of.stretches.at(-1)[1];
  const planned = lengthOf(of, 1, picks);
  const ratio = measured.woven_mm !== undefined && planned ? measured.woven_mm / planned : 1;
  const woven_mm = planned * ratio;
  const to_weave_mm = lengthOf(of, picks + 1, total) * ratio;
  const fringe = (wanted) => of.pieces.filter(wanted).reduce((sum, each) => sum + each[3], 0);
  const left =
    measured.warp_left_mm ?? of.warp_mm - woven_mm * (1 + of.take_up) - fringe(([, last]) => last <= picks);
  const spare_mm = left - to_weave_mm * (1 + of.take_up) - fringe(([, last]) => last > picks);
  let last_pick = total;
  // Each piece rounds its picks up: less than a pick per piece is not a shortage.
  const slack_mm = of.stretches.reduce((sum, [, , mm]) => sum + mm, 0) * ratio * (1 + of.take_up);
  if (spare_mm <= -slack_mm) {
    let [low, high] = [picks, total];
    while (low < high) {
      const middle = Math.floor((low + high + 1) / 2);
      const free = fringe(([first, last]) => last > picks && first <= middle);
      const needed = lengthOf(of, picks + 1, middle) * ratio * (1 + of.take_up) + free;
      if (needed <= left + 1e-6) low = middle;
      else high = middle - 1;
    }
    last_pick = low;
  }
  const piece = of.pieces.find((each) => each[1] > picks) ?? of.pieces.at(-1);
  const border = measured.border ?? piece[2];
  const border_from = Math.max(piece[0], Math.min(piece[1], last_pick) - border + 1);
  return { woven_mm, to_weave_mm, spare_mm, last_pick, reaches: last_pick >= total, border_from };
}

export function lengthOf(of, first, last) {
  return of.stretches.reduce(
    (sum, [start, stop, mm]) => sum + Math.max(0, Math.min(last, stop) - Math.max(first, start) + 1) * mm,
    0,
  );
}

/** Grams of a weft yarn that are still to be woven. */
export function weftOf(job, picks, key) {
  let count = 0;
  for (const stretch of job.stretches) {
    const { first, last } = stretch;
    const yarns = yarnsOf(stretch);
    const times = (until) => {
      const woven = Math.max(0, until - first + 1);
      const whole = Math.floor(woven / yarns.length);
      const all = yarns.filter((yarn) => yarn === key).length;
      return whole * all + yarns.slice(0, woven % yarns.length).filter((yarn) => yarn === key).length;
    };
    count += (stretch.strands ?? 1) * (times(last) - times(Math.min(picks, last)));
  }
  return count * job.reach.pick_m * (job.reach.grams_per_m[key] ?? 0);
}
