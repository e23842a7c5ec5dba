// Ends that were seen, aligned with the planned threading, as in loomready/slips/align.py.

export const NEVER = -1e9;
const SLACK = 5; // ends that skipped and extra ones may drift apart, beyond what the numbers of ends say
const SAME = 1e-9;
const A_WEB = 2; // slips of each kind that a test weave may well show
const LEAST_ENDS = 24;
const NEIGHBOR = 4; // a thread one shaft off is so much likelier than on any other
const RARE = 0.05;

export const table = (rows, columns, value = 0) =>
  Array.from({ length: rows }, () => new Float64Array(columns).fill(value));
const clip = (value, most) => Math.min(Math.max(value, 0), most);

/** The place of the greatest value, the first of equals. */
export function argmax(values) {
  let best = 0;
  for (let at = 1; at < values.length; at++) if (values[at] > values[best]) best = at;
  return best;
}

/**
 * Logarithms of how rare each slip is. `shaft`: [planned][found], the last: not threaded.
 * @param {number} ends @param {number[]} used shafts from 0 @param {number} shafts
 */
export function costs(ends, used, shafts) {
  const weight = new Float64Array(shafts + 1).fill(RARE);
  for (const shaft of used) weight[shaft] = 1;
  const shaft = table(shafts + 1, shafts + 1);
  shaft.forEach((row, planned) => {
    let sum = 0;
    for (let found = 0; found <= shafts; found++) {
      const beside = planned < shafts && found < shafts && Math.abs(planned - found) === 1;
      row[found] = planned === found ? 0 : weight[found] * (beside ? NEIGHBOR : 1);
      sum += row[found];
    }
    for (let found = 0; found <= shafts; found++) {
      row[found] = row[found] > 0 ? Math.max(Math.log(row[found] / Math.max(sum, RARE)), NEVER) : NEVER;
    }
  });
  const total = weight.reduce((sum, each) => sum + each, 0);
  return {
    slip: -Math.log(Math.max(ends, LEAST_ENDS) / A_WEB),
    shaft,
    any: weight.map((each) => Math.log(each / total)),
  };
}

/** All ways to align columns with ends; the fields are those of Lattice in align.py. */
export class Lattice {
  /**
   * @param {Float64Array[]} fits [column][shaft], log-likelihoods, the last shaft: not threaded
   * @param {Float64Array} loose for each column, the same for an end whose cells say nothing
   * @param {number[]} planned @param {ArrayLike<number>} free @param {ReturnType<typeof costs>} rare
   */
  constructor(fits, loose, planned, free, rare) {
    this.fits = fits;
    this.planned = planned;
    this.free = free;
    this.rare = rare;
    this.columns = fits.length;
    this.ends = planned.length;
    const gap = this.ends - this.columns;
    this.low = Math.min(0, gap) - SLACK;
    this.width = Math.max(0, gap) + SLACK - this.low + 1;
    this.last = gap - this.low;
    this.inside = table(this.columns, this.width);
    this.shaft = table(this.columns, this.width);
    this.fixed = table(this.columns, this.width);
    this.ok = table(this.columns, this.width, NEVER);
    this.cross = table(this.columns, this.width, NEVER);
    this.open = table(this.columns + 1, this.width);
    for (let column = 0; column <= this.columns; column++) {
      for (let place = 0; place < this.width; place++) this.#node(column, place, loose);
    }
  }

  #node(column, place, loose) {
    const { fits, planned, free, ends, columns } = this;
    const end = column + place + this.low;
    if (end > ends) this.open[column][place] = NEVER;
    if (column === columns) return;
    const at = clip(end, ends - 1);
    const shaft = planned[at];
    this.shaft[column][place] = shaft;
    this.fixed[column][place] = free[at];
    if (end < 0 || end >= ends) return;
    this.inside[column][place] = 1;
    this.ok[column][place] = free[at] ? loose[column] : fits[column][shaft];
    if (end + 1 >= ends || column + 1 >= columns || free[at] || free[at + 1]) return;
    const other = planned[at + 1];
    if (other !== shaft)
      this.cross[column][place] = fits[column][other] + fits[column + 1][shaft] + this.rare.slip;
  }

  /** For each column and planned shaft the best other shaft, and its score. */
  #wrongByShaft() {
    const { fits, rare } = this;
    const best = table(this.columns, rare.any.length);
    const which = table(this.columns, rare.any.length);
    for (let column = 0; column < this.columns; column++) {
      for (let shaft = 0; shaft < rare.any.length; shaft++) {
        const found = argmax(fits[column].map((fit, on) => fit + rare.shaft[shaft][on]));
        which[column][shaft] = found;
        best[column][shaft] = fits[column][found] + rare.shaft[shaft][found] + rare.slip;
      }
    }
    return { best, which };
  }

  /** The likeliest path: its score, its slips, and the planned end of each column (-1: one too many). */
  best() {
    const { columns, width, rare } = this;
    const wrong = this.#wrongByShaft();
    const extras = this.fits.map((row) => row.map((fit, shaft) => fit + rare.any[shaft]));
    const on = extras.map(argmax);
    const reached = table(columns + 1, width, NEVER);
    const skipped = table(columns + 1, width);
    const byExtra = table(columns + 1, width, NEVER);
    const settled = table(columns + 1, width);
    reached[0][-this.low] = 0;
    for (let column = 0; column <= columns; column++) {
      let most = -Infinity;
      for (let place = 0; place < width; place++) {
        most = Math.max(most, reached[column][place] - rare.slip * place);
        skipped[column][place] = most + rare.slip * place + this.open[column][place];
        settled[column][place] = Math.max(skipped[column][place], byExtra[column][place]);
      }
      if (column === columns) break;
      const extra = extras[column][on[column]] + rare.slip;
      for (let place = 0; place < width; place++) {
        const able = this.inside[column][place] && !this.fixed[column][place];
        const other = able ? wrong.best[column][this.shaft[column][place]] : NEVER;
        let score = settled[column][place] + Math.max(this.ok[column][place], other);
        if (column) score = Math.max(score, settled[column - 1][place] + this.cross[column - 1][place]);
        reached[column + 1][place] = score;
        if (place)
          byExtra[column + 1][place - 1] = Math.max(reached[column][place], byExtra[column][place]) + extra;
      }
    }
    return this.#trace({ reached, skipped, byExtra, settled }, wrong.which, on);
  }

  #trace({ reached, skipped, byExtra, settled }, which, on) {
    let column = this.columns;
    let place = this.last;
    const moves = [];
    const endOf = new Array(this.columns).fill(-1);
    let came = skipped;
    for (;;) {
      if (byExtra[column][place] > came[column][place]) {
        column -= 1;
        place += 1;
        came = reached;
        moves.push({ kind: "extra", end: column + place + this.low, column, shaft: on[column] });
        continue;
      }
      while (came === skipped && reached[column][place] < came[column][place] - SAME) {
        place -= 1;
        moves.push({ kind: "skipped", end: column + place + this.low, column, shaft: -1 });
      }
      if (column === 0) break;
      const here = reached[column][place];
      const end = column - 1 + place + this.low;
      column -= 1;
      came = skipped;
      endOf[column] = end;
      if (settled[column][place] + this.ok[column][place] >= here - SAME) continue;
      const crossing = column ? settled[column - 1][place] + this.cross[column - 1][place] : NEVER;
      if (crossing >= here - SAME) {
        column -= 1;
        endOf[column] = end - 1;
        moves.push({ kind: "crossed", end: end - 1, column, shaft: this.planned[end] });
      } else {
        moves.push({ kind: "wrong shaft", end, column, shaft: which[column][this.planned[end]] });
      }
    }
    return { score: settled[this.columns][this.last], moves: moves.reverse(), end: endOf };
  }
}
