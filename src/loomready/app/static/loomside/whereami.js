// Where am I: the last picks, compared with the treadling as a continuous repeat.

/**
 * @param {number[][]} repeat for each pick of one repeat the shafts that are up
 * @param {(Record<number, boolean>)[]} seen the last pick first: shaft to whether it was up; what is not
 *   named was not looked at
 * @returns {number[]} places in the repeat, from 0, at which the last pick may be
 */
export function placesOf(repeat, seen) {
  const size = repeat.length;
  const lifts = repeat.map((up) => new Set(up));
  return [...lifts.keys()].filter((place) =>
    seen.every((pick, back) => {
      const lift = lifts[(((place - back) % size) + size) % size];
      return Object.entries(pick).every(([shaft, up]) => lift.has(Number(shaft)) === up);
    }),
  );
}

/**
 * The pick nearest to the one expected, among the places in the repeat.
 * @param {number[]} places @param {number} size @param {number} first @param {number} last picks of the stretch
 * @param {number} expected
 */
export function nearest(places, size, first, last, expected) {
  let best = 0;
  for (const place of places) {
    for (let pick = first + place; pick <= last; pick += size) {
      const nearer = Math.abs(pick - expected) - Math.abs(best - expected);
      if (!best || nearer < 0 || (nearer === 0 && pick < best)) best = pick;
    }
  }
  return best;
}
