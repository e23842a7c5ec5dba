// How probable each move of an alignment is, as in loomready/slips/forward_backward.py.
import { NEVER, table } from "./slip_align.js";

const LEAST = -700; // exp of less is nothing

export class Sums {
  /** @param {import("./slip_align.js").Lattice} lattice */
  constructor(lattice) {
    this.lattice = lattice;
    const { fits, rare, columns, width } = lattice;
    this.top = fits.map((row) => Math.max(...row));
    this.em = fits.map((row, column) => row.map((fit) => Math.exp(fit - this.top[column])));
    this.rareShaft = rare.shaft.map((row) => row.map(Math.exp));
    this.rareAny = rare.any.map(Math.exp);
    this.slip = Math.exp(rare.slip);
    this.extra = this.em.map((row) => dot(row, this.rareAny) * this.slip);
    this.one = table(columns, width);
    this.cross = table(columns, width);
    for (let column = 0; column < columns; column++) {
      const wrong = this.rareShaft.map((row) => dot(this.em[column], row) * this.slip);
      const both = this.top[column] + (column + 1 < columns ? this.top[column + 1] : 0);
      for (let place = 0; place < width; place++) {
        if (lattice.inside[column][place]) {
          const ok = Math.exp(Math.max(lattice.ok[column][place] - this.top[column], LEAST));
          this.one[column][place] =
            ok + (lattice.fixed[column][place] ? 0 : wrong[lattice.shaft[column][place]]);
        }
        if (lattice.cross[column][place] > NEVER / 2) {
          this.cross[column][place] = Math.exp(Math.max(lattice.cross[column][place] - both, LEAST));
        }
      }
    }
    this.#forward();
    this.#backward();
  }

  #forward() {
    const { columns, width, open, low, last } = this.lattice;
    this.reached = table(columns + 1, width);
    this.skipped = table(columns + 1, width);
    this.byExtra = table(columns + 1, width);
    this.settled = table(columns + 1, width);
    this.aheadLog = new Float64Array(columns + 1);
    this.reached[0][-low] = 1;
    for (let column = 0; column <= columns; column++) {
      const [reached, skipped, byExtra, settled] = [
        this.reached,
        this.skipped,
        this.byExtra,
        this.settled,
      ].map((each) => each[column]);
      let sum = 0;
      for (let place = 0; place < width; place++) {
        sum = sum * this.slip + reached[place];
        skipped[place] = open[column][place] === 0 ? sum : 0;
        settled[place] = skipped[place] + byExtra[place];
      }
      const size = Math.max(...settled);
      for (const row of [reached, skipped, byExtra, settled])
        for (let place = 0; place < width; place++) row[place] /= size;
      this.aheadLog[column] += Math.log(size);
      if (column === columns) break;
      const log = this.aheadLog[column];
      const gap = column ? Math.exp(this.aheadLog[column - 1] - log) : 0;
      for (let place = 0; place < width; place++) {
        let ways = settled[place] * this.one[column][place];
        if (column) ways += this.settled[column - 1][place] * this.cross[column - 1][place] * gap;
        this.reached[column + 1][place] = ways;
        if (place)
          this.byExtra[column + 1][place - 1] = (reached[place] + byExtra[place]) * this.extra[column];
      }
      this.aheadLog[column + 1] = log;
    }
    this.total = this.aheadLog[columns] + Math.log(Math.max(this.settled[columns][last], 1e-300));
  }

  #backward() {
    const { columns, width, open, last } = this.lattice;
    this.afterColumn = table(columns + 1, width);
    this.afterSkips = table(columns + 1, width);
    this.afterExtra = table(columns + 1, width);
    this.backLog = new Float64Array(columns + 1);
    for (let column = columns; column >= 0; column--) {
      const straight = new Float64Array(width);
      const extra = new Float64Array(width);
      let log = 0;
      if (column === columns) {
        straight[last] = 1;
      } else {
        log = this.backLog[column + 1];
        const gap = column + 2 <= columns ? Math.exp(this.backLog[column + 2] - log) : 0;
        for (let place = 0; place < width; place++) {
          straight[place] = this.afterColumn[column + 1][place] * this.one[column][place];
          if (column + 2 <= columns)
            straight[place] += this.afterColumn[column + 2][place] * this.cross[column][place] * gap;
          if (place) extra[place] = this.afterExtra[column + 1][place - 1] * this.extra[column];
        }
      }
      const skips = new Float64Array(width);
      let sum = 0;
      for (let place = width - 1; place >= 0; place--) {
        sum = sum * this.slip + (open[column][place] === 0 ? straight[place] : 0);
        skips[place] = sum;
      }
      const size = Math.max(...skips.map((each, place) => each + extra[place]));
      for (let place = 0; place < width; place++) {
        this.afterSkips[column][place] = skips[place] / size;
        this.afterColumn[column][place] = (skips[place] + extra[place]) / size;
        this.afterExtra[column][place] = (straight[place] + extra[place]) / size;
      }
      this.backLog[column] = log + Math.log(size);
    }
  }

  #share(before, weight, after, column, to) {
    return before * weight * after * Math.exp(this.aheadLog[column] + this.backLog[to] - this.total);
  }

  #place(end, column) {
    return end - column - this.lattice.low;
  }

  /** That the column is this end's, on one of these shafts. */
  wrong(end, column, shafts) {
    const place = this.#place(end, column);
    if (place < 0 || place >= this.lattice.width) return 0;
    const rare = this.rareShaft[this.lattice.planned[end]];
    const weight = shafts.reduce((sum, shaft) => sum + this.em[column][shaft] * rare[shaft], 0) * this.slip;
    return this.#share(
      this.settled[column][place],
      weight,
      this.afterColumn[column + 1][place],
      column,
      column + 1,
    );
  }

  /** That this column is the next end's, and the next column this end's. */
  crossed(end, column) {
    const place = this.#place(end, column);
    if (place < 0 || place >= this.lattice.width) return 0;
    return this.#share(
      this.settled[column][place],
      this.cross[column][place],
      this.afterColumn[column + 2][place],
      column,
      column + 2,
    );
  }

  /** That the column is one too many, before this end and on one of these shafts. */
  extraBefore(end, column, shafts) {
    const place = this.#place(end, column);
    if (place <= 0 || place >= this.lattice.width) return 0;
    const weight =
      shafts.reduce((sum, shaft) => sum + this.em[column][shaft] * this.rareAny[shaft], 0) * this.slip;
    const before = this.reached[column][place] + this.byExtra[column][place];
    return this.#share(before, weight, this.afterExtra[column + 1][place - 1], column, column + 1);
  }

  /** That no column is this end's. */
  skippedEnd(end) {
    let found = 0;
    for (let column = 0; column <= this.lattice.columns; column++) {
      const place = this.#place(end, column);
      if (place >= 0 && place < this.lattice.width - 1) {
        found += this.#share(
          this.skipped[column][place],
          this.slip,
          this.afterSkips[column][place + 1],
          column,
          column,
        );
      }
    }
    return found;
  }
}

/** Several sums, each with its share: one for each rate of misread cells that may be so. */
export class Mixed {
  /** @param {[number, Sums][]} parts */
  constructor(parts) {
    const over =
      (name) =>
      (...given) =>
        parts.reduce((sum, [share, sums]) => sum + share * sums[name](...given), 0);
    for (const name of ["wrong", "crossed", "extraBefore", "skippedEnd"]) this[name] = over(name);
  }
}

const dot = (one, other) => one.reduce((sum, each, at) => sum + each * other[at], 0);
