// The marks of a test weave: which bits say what, as in loomready/slips/marks.py and job.py.
import { UNSEEN, inferStretch, withSlips } from "./slip_infer.js";
import { KINDS, SIGNS } from "./slip_possible.js";
import { mend } from "./slip_mending.js";
import { slip } from "./slip_naming.js";
import { stretches } from "./facts.js";

const ON_SHAFT = ["wrong shaft", "extra"];
const SURE_ENOUGH = 19; // odds of a slip that questions found

export class Marks {
  /** @param {any} job the page's data of the test weave @param {Uint8Array} done its bits */
  constructor(job, done) {
    this.job = job;
    this.done = done;
    this.ends = job.units;
    this.own = Boolean(job.own.length) && job.use_own !== Boolean(this.at("other"));
    this.picks = this.own ? job.own : job.test;
  }

  /** The bit of a block, counted from 0 in it. */
  at(name, place = 0) {
    return this.done[this.job.blocks[name][0] + place];
  }

  /** A change of bits in a block, as a fact says it: first and last from 1, and the value. */
  change(name, first, last, value) {
    const start = this.job.blocks[name][0];
    return [start + first + 1, start + last + 1, value];
  }

  whole(name, value = 0) {
    const [start, size] = this.job.blocks[name];
    return [start + 1, start + size, value];
  }

  get rows() {
    return this.job.test.length + this.job.own.length;
  }

  /** The row among all picks, test picks first, of a pick that is woven. */
  row(pick) {
    return pick + (this.own ? this.job.test.length : 0);
  }

  looked(end) {
    return this.at("looked", (this.own ? this.ends : 0) + end) === 1;
  }

  differs(pick, end) {
    return this.at("differs", this.row(pick) * this.ends + end) === 1;
  }

  /** Whether the end lies on top in a pick, as planned. */
  planned(pick, end) {
    return this.picks[pick].includes(this.job.threading[end] + 1);
  }

  /** What was seen, [pick][end]; -1 where nobody looked. */
  cells() {
    return this.picks.map((_, pick) =>
      Int8Array.from({ length: this.ends }, (__, end) =>
        this.looked(end) ? Number(this.planned(pick, end) !== this.differs(pick, end)) : UNSEEN,
      ),
    );
  }

  /** [pick][shaft] of these picks. */
  lifts(picks = this.picks) {
    return picks.map((pick) =>
      Uint8Array.from({ length: this.job.shafts }, (_, shaft) => Number(pick.includes(shaft + 1))),
    );
  }

  #size(kind) {
    return (this.ends + 1) * (ON_SHAFT.includes(kind) ? this.job.shafts + 1 : 1);
  }

  /** The place of a slip in its blocks. */
  code({ kind, end, pick, planned, found }) {
    let first = 0;
    for (const each of KINDS) {
      if (each === kind) {
        const size = ON_SHAFT.includes(kind) ? this.job.shafts + 1 : 1;
        return first + (end - 1) * size + (size > 1 ? (found ?? 0) : 0);
      }
      first += this.#size(each);
    }
    return first + this.row(pick - 1) * this.job.shafts + (planned ?? found) - 1;
  }

  /** How sure questions were of the slip at an end; 0: it was not kept. */
  odds(end) {
    const bits = this.#oddsBits;
    let step = 0;
    for (let bit = 0; bit < bits; bit++) step += this.at("odds", (end - 1) * bits + bit) << bit;
    return step ? this.job.odds[step - 1] : 0;
  }

  /** The changes that keep the odds of the slip at an end, rounded down to a step; 0: none. */
  withOdds(end, odds) {
    const bits = this.#oddsBits;
    const step = odds ? Math.max(1, this.job.odds.filter((each) => each <= odds).length) : 0;
    return Array.from({ length: bits }, (_, bit) =>
      this.change("odds", (end - 1) * bits + bit, (end - 1) * bits + bit, (step >> bit) & 1),
    );
  }

  get #oddsBits() {
    return this.job.blocks.odds[1] / (this.ends + 1);
  }

  /** The slip of the threading at a place in its block. */
  #slipAt(code) {
    const { threading, shafts } = this.job;
    const on = (end) => (end <= threading.length && threading[end - 1] < shafts ? threading[end - 1] + 1 : 0);
    let left = code;
    for (const kind of KINDS) {
      const size = this.#size(kind);
      if (left >= size) {
        left -= size;
        continue;
      }
      const each = size / (this.ends + 1);
      const end = Math.floor(left / each) + 1;
      if (kind === "crossed")
        return slip(kind, { end, planned: on(end), found: on(end + 1), odds: SURE_ENOUGH });
      const shown = ["wrong shaft", "skipped", "round its heddle"].includes(kind);
      return slip(kind, {
        end,
        planned: shown ? on(end) : null,
        found: ON_SHAFT.includes(kind) ? left % each : null,
        odds: SURE_ENOUGH,
      });
    }
    return null;
  }

  /** Slips that questions found. */
  kept() {
    const [start, size] = this.job.blocks.kept;
    const found = [];
    for (const [first, last] of stretches(this.done, 1, start + 1, start + size)) {
      for (let bit = first; bit <= last; bit++) found.push(this.#slipAt(bit - 1 - start));
    }
    return found
      .filter(Boolean)
      .map((each) => ({ ...each, odds: this.odds(each.end) || each.odds, kept: true }));
  }

  /** The slips from cells and questions, how to mend those that do not stay, and the web as it stands. */
  standing() {
    const { job, ends } = this;
    let told = this.kept();
    const cells = this.cells();
    const looked = cells[0].reduce((count, cell) => count + Number(cell !== UNSEEN), 0);
    let slips = [];
    let alternatives = [];
    let unexplained = 0;
    if (looked) {
      const of = plannedEnds(ends, told);
      const free = of.map((end) => (end < 0 ? 0 : job.free[end]));
      const found = inferStretch(cells, this.lifts(), withSlips(job.threading, told, job.shafts), free);
      const named = found.slips.map((each) => this.#named(each, of));
      const wrong = new Set(
        named
          .filter((each) => each.kind === "wrong shaft" && each.found === each.planned)
          .map((each) => each.end),
      );
      told = told.filter((each) => !(each.kind === "wrong shaft" && wrong.has(each.end)));
      const stay = [...named.keys()].filter(
        (place) => named[place].end === null || !wrong.has(named[place].end),
      );
      slips = stay.map((place) => named[place]);
      alternatives = found.alternatives
        .filter((each) => stay.includes(each.instead))
        .map((each) => ({ instead: stay.indexOf(each.instead), slip: this.#named(each.slip, of) }));
      unexplained = Math.round((1 - found.explains) * looked * this.picks.length);
    }
    slips = [...slips, ...told];
    const along = ({ end, pick }) => end ?? 1e9 + (pick ?? 0); // from end 1 on, wrong lifts last
    const order = [...slips.keys()].sort((a, b) => along(slips[a]) - along(slips[b]));
    slips = order.map((place) => slips[place]);
    alternatives = alternatives.map((each) => ({ ...each, instead: order.indexOf(each.instead) }));
    const left = slips.map((each) => this.at("left", this.code(each)) === 1);
    const mended = slips.map((each) => this.at("mended", this.code(each)) === 1);
    const places = [...slips.keys()].filter((place) => !left[place]);
    const mending = mend(
      places.map((place) => slips[place]),
      {
        ends,
        picks: this.picks.length,
        spare: job.spare,
        rates: job.rates,
        sentences: job.sentences,
        pressed: job.pressed[this.own ? "own" : "test"],
      },
    ).map((each) => ({
      ...each,
      actions: each.actions.map((action) => ({ ...action, slips: action.slips.map((at) => places[at]) })),
    }));
    return {
      slips,
      alternatives,
      unexplained,
      looked,
      left,
      mended,
      mending,
      there: withSlips(job.threading, slips, job.shafts),
    };
  }

  /** A slip of the web as it stands, named by the ends of the web as planned. */
  #named(each, of) {
    if (each.end === null) return each;
    const { threading, shafts } = this.job;
    const end = of.slice(each.end - 1).find((planned) => planned >= 0) ?? threading.length;
    const planned =
      each.planned !== null && each.kind !== "crossed" && end < threading.length
        ? threading[end] < shafts
          ? threading[end] + 1
          : 0
        : each.planned;
    return { ...each, end: end + 1, planned };
  }

  /** The web as it stands with these slips, for a search, and how a slip found in it is named. */
  standingWith(slips) {
    const of = plannedEnds(this.ends, slips);
    return {
      web: withSlips(this.job.threading, slips, this.job.shafts),
      free: of.map((end) => (end < 0 ? 0 : this.job.free[end])),
      named: (each) => this.#named(each, of),
    };
  }

  /** The set of actions that was chosen. */
  get way() {
    return Math.max(
      0,
      [0, 1, 2].findLastIndex((way) => this.at("way", way)),
    );
  }

  /** What was answered so far in the search for a slip. */
  answers() {
    const { job, ends } = this;
    const spans = stretches(this.done, 1, ...this.#bounds("at"));
    const start = job.blocks.at[0];
    const lifts = job.lifts
      .map((shafts, lift) => {
        const seen = [];
        const unseen = [];
        for (let end = 0; end < ends; end++) {
          if (this.at("answered", lift * ends + end))
            seen.push([end + 1, this.at("rose", lift * ends + end) === 1]);
          if (this.at("unseen", lift * ends + end)) unseen.push(end + 1);
        }
        return { shafts, lift, seen, unseen };
      })
      .filter((each) => each.seen.length || each.unseen.length);
    return {
      at: spans.length ? [spans[0][0] - start, spans.at(-1)[1] - start] : null,
      signs: SIGNS.filter((_, sign) => this.at("sign", sign)),
      passed: { where: this.at("passed", 0) === 1, looks: this.at("passed", 1) === 1 },
      lifts,
      any: ["at", "sign", "passed", "answered", "unseen"].some((name) => this.any(name)),
    };
  }

  #bounds(name) {
    const [start, size] = this.job.blocks[name];
    return [start + 1, start + size];
  }

  any(name) {
    const [start, size] = this.job.blocks[name];
    return this.done.subarray(start, start + size).includes(1);
  }

  /** Clears the search. */
  forgotten() {
    return ["at", "sign", "passed", "answered", "rose", "unseen"].map((name) => this.whole(name));
  }
}

/** The planned end (from 0) in each place once these slips are there; -1: one too many. */
function plannedEnds(ends, slips) {
  const there = [...Array(ends).keys()];
  for (const each of [...slips].sort((a, b) => (b.end ?? 0) - (a.end ?? 0))) {
    const at = (each.end ?? 1) - 1;
    if (each.kind === "skipped" && at < there.length) there.splice(at, 1);
    else if (each.kind === "extra") there.splice(at, 0, -1);
  }
  return there;
}
