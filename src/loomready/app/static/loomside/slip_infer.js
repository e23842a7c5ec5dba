// From the cells of a test weave to the slips that made them, as in loomready/slips/infer.py and stretch.py.
import { Lattice, costs, table } from "./slip_align.js";
import { Mixed, Sums } from "./slip_forward_backward.js";
import { MOST_ODDS, named, slip } from "./slip_naming.js";

export const UNSEEN = -1;
const MISREAD = 0.01; // share of the cells that are read wrongly, to begin with
const [LEAST_MISREAD, MOST_MISREAD] = [1e-5, 0.2];
const FEW_MISREAD = 10; // cells: so few may all be slips
const ROUNDS = 6; // of finding lifts and aligning again
const MOST_SHIFT = 2; // ends missing or too many before the stretch that was looked at
const BESIDE = 16; // unseen ends that are aligned on each side of those that were seen

/**
 * The likeliest slips where only stretches were looked at; arguments as for `infer`.
 * @returns {{slips: any[], alternatives: {instead: number, slip: any}[], explains: number, threading: number[], score: number}}
 */
export function inferStretch(cells, lifts, threading, free) {
  const columns = aligned(cells);
  let best = null;
  for (const shift of [0, ...Array.from({ length: MOST_SHIFT }, (_, at) => [-1 - at, 1 + at]).flat()]) {
    const ends = endsOf(columns, shift, threading.length);
    if (!ends.length) continue;
    const seen = cells.map((row) => columns.map((column) => row[column]));
    const found = infer(
      seen,
      lifts,
      ends.map((end) => threading[end]),
      ends.map((end) => free[end]),
      threading.length,
    );
    if (!best || found.score > best.score) best = ofWeb(found, ends);
    if (shift === 0 && !found.slips.length) break; // nothing moved what was seen
  }
  return { ...best, threading: withSlips(threading, best.slips, lifts[0].length) };
}

/** Columns that are aligned: those seen, and a few beside them up to the last that was seen. */
function aligned(cells) {
  const ends = cells[0].length;
  const near = new Uint8Array(ends);
  let last = -1;
  for (let end = 0; end < ends; end++) {
    if (!cells.some((row) => row[end] !== UNSEEN)) continue;
    near.fill(1, Math.max(0, end - BESIDE), Math.min(ends, end + BESIDE + 1));
    last = end;
  }
  return [...near.keys()].filter((end) => near[end] && end <= last);
}

/** The planned ends that these columns hold, so many more or fewer before the last column. */
function endsOf(columns, shift, ends) {
  const last = columns.at(-1);
  const reach = last + 1 + shift;
  if (reach > ends) return [];
  const kept = columns.filter((column) => column < reach);
  for (let end = last + 1; end < reach; end++) kept.push(end);
  return kept;
}

/** The same slips, by the ends of the whole web. */
function ofWeb(found, ends) {
  const of = (each) =>
    each.end === null
      ? each
      : { ...each, end: each.end - 1 < ends.length ? ends[each.end - 1] + 1 : ends.at(-1) + 2 };
  return {
    ...found,
    slips: found.slips.map(of),
    alternatives: found.alternatives.map((each) => ({ ...each, slip: of(each.slip) })),
  };
}

/** The shaft (from 0; `shafts`: not threaded) of each end as it stands, with these slips in the planned web. */
export function withSlips(web, slips, shafts) {
  const there = [...web];
  const on = (found) => (found ? found - 1 : shafts);
  for (const each of [...slips].sort((a, b) => (b.end ?? 0) - (a.end ?? 0))) {
    const at = (each.end ?? 1) - 1;
    if (each.kind === "wrong shaft" && at < there.length) there[at] = on(each.found);
    else if (each.kind === "crossed" && at + 1 < there.length)
      [there[at], there[at + 1]] = [there[at + 1], there[at]];
    else if (each.kind === "skipped" && at < there.length) there.splice(at, 1);
    else if (each.kind === "extra") there.splice(at, 0, on(each.found));
  }
  return there;
}

/**
 * The likeliest slips.
 * @param {(number[] | Int8Array)[]} cells [pick][column]: 1 warp on top, 0 weft on top, -1 unseen
 * @param {ArrayLike<number>[]} lifts [pick][shaft] @param {number[]} threading shafts from 0; their number: not threaded
 * @param {ArrayLike<number>} free 1 for ends whose cells say nothing @param {number} [rareIn] ends of the whole web
 */
export function infer(cells, lifts, threading, free, rareIn = threading.length) {
  const shafts = lifts[0].length;
  const used = [...new Set(threading)].filter((shaft) => shaft < shafts).sort((a, b) => a - b);
  const columns = cells[0].length;
  let seen = 0;
  for (const row of cells) for (const cell of row) if (cell !== UNSEEN) seen += 1;
  const web = {
    cells,
    lifts,
    planned: threading,
    free,
    rare: costs(rareIn, used, shafts),
    columns,
    shafts,
    seen,
  };
  return told(web, bestOf(web));
}

const size = (web) => web.lifts.length * web.shafts;
const price = (web) => Math.log(Math.max(size(web), 2)) + Math.log(100);

/** Seen cells of each column that differ from each shaft's lifts, [column][shaft]. */
function misses(web, lifts) {
  const found = table(web.columns, web.shafts + 1);
  web.cells.forEach((row, pick) => {
    for (let column = 0; column < web.columns; column++) {
      if (row[column] === UNSEEN) continue;
      for (let shaft = 0; shaft <= web.shafts; shaft++) {
        if (Number(shaft < web.shafts && lifts[pick][shaft]) !== row[column]) found[column][shaft] += 1;
      }
    }
  });
  return found;
}

function lattice(web, lifts, misread) {
  const weight = Math.log((1 - misread) / misread);
  const fits = misses(web, lifts).map((row) => row.map((count) => -weight * count));
  const loose = new Float64Array(web.columns);
  for (const row of web.cells)
    for (let column = 0; column < web.columns; column++) if (row[column] !== UNSEEN) loose[column] += 1;
  return new Lattice(
    fits,
    loose.map((count) => count * Math.log(0.5 / (1 - misread))),
    web.planned,
    web.free,
    web.rare,
  );
}

function align(web, lifts, misread) {
  const path = lattice(web, lifts, misread).best();
  const score = path.score + web.seen * Math.log1p(-misread) - Math.max(0, Math.log(misread / MISREAD));
  return { lifts, misread, path, score };
}

function bestOf(web) {
  let best = withLifts(web, MISREAD);
  const seen = Math.max(web.seen, 1);
  const found = Math.min(Math.max(wrongCells(web, best) / seen, LEAST_MISREAD), MOST_MISREAD);
  const rates = new Set(found * seen <= FEW_MISREAD ? [LEAST_MISREAD] : []);
  if (!(0.5 < found / MISREAD && found / MISREAD < 2)) rates.add(found);
  for (const rate of [...rates].sort((a, b) => a - b)) {
    const other = withLifts(web, rate);
    if (other.score > best.score) best = other;
  }
  return best;
}

/** Align, change the lifts that nearly all ends of a shaft contradict, align again. */
function withLifts(web, misread) {
  let best = align(web, web.lifts, misread);
  for (let round = 0; round < ROUNDS; round++) {
    const flips = contradicted(web, best);
    if (!flips.some((row) => row.includes(1))) break;
    const other = align(
      web,
      best.lifts.map((row, pick) => Array.from(row, (up, shaft) => up ^ flips[pick][shaft])),
      misread,
    );
    other.score -= price(web) * liftSlips(web, other.lifts);
    if (other.score <= best.score) break;
    best = other;
  }
  return best;
}

/** For each pick the first pick that should lift the same shafts. */
const sameLift = (web) => {
  const first = new Map();
  return web.lifts.map((row, pick) => {
    const name = Array.from(row, Number).join("");
    if (!first.has(name)) first.set(name, pick);
    return first.get(name);
  });
};

/** Wrong lifts that recur on every pick, of two or more, that should lift the same shafts. */
function tied(web, lifts) {
  const group = sameLift(web);
  const wrong = (pick, shaft) => Boolean(lifts[pick][shaft]) !== Boolean(web.lifts[pick][shaft]);
  return web.lifts.map((row, pick) => {
    const alike = [...group.keys()].filter((other) => group[other] === group[pick]);
    return Array.from(row, (_, shaft) => alike.length > 1 && alike.every((other) => wrong(other, shaft)));
  });
}

/** Wrong lifts; one shaft on every pick that should lift the same counts once. */
function liftSlips(web, lifts) {
  const group = sameLift(web);
  let count = 0;
  tied(web, lifts).forEach((row, pick) => {
    row.forEach((is, shaft) => {
      const wrong = Boolean(lifts[pick][shaft]) !== Boolean(web.lifts[pick][shaft]);
      if (is ? group[pick] === pick : wrong) count += 1;
    });
  });
  return count;
}

/** Lifts that the cells speak against by more than the price of a wrong lift, [pick][shaft]. */
function contradicted(web, answer) {
  const weight = Math.log((1 - answer.misread) / answer.misread);
  const most = price(web);
  const group = sameLift(web);
  const against = web.cells.map((row, pick) => {
    const speaks = new Float64Array(web.shafts);
    for (let column = 0; column < web.columns; column++) {
      const end = answer.path.end[column];
      if (end < 0 || row[column] === UNSEEN || web.free[end] || web.planned[end] >= web.shafts) continue;
      const shaft = web.planned[end];
      speaks[shaft] += Number(Boolean(answer.lifts[pick][shaft])) === row[column] ? -1 : 1;
    }
    return speaks.map((count) => count * weight);
  });
  const summed = web.lifts.map(() => new Float64Array(web.shafts));
  const least = web.lifts.map(() => new Float64Array(web.shafts).fill(Infinity));
  against.forEach((row, pick) => {
    row.forEach((each, shaft) => {
      summed[group[pick]][shaft] += each;
      least[group[pick]][shaft] = Math.min(least[group[pick]][shaft], each);
    });
  });
  return against.map((row, pick) =>
    Array.from(row, (each, shaft) =>
      Number(each > most || (summed[group[pick]][shaft] > most && least[group[pick]][shaft] > 0)),
    ),
  );
}

/** The shaft of each column, slips included. */
function asFound(web, answer) {
  const shaft = answer.path.end.map((end) => (end < 0 ? 0 : web.planned[end]));
  for (const move of answer.path.moves) {
    if (move.kind === "wrong shaft" || move.kind === "extra") shaft[move.column] = move.shaft;
    else if (move.kind === "crossed") {
      [shaft[move.column], shaft[move.column + 1]] = [web.planned[move.end + 1], web.planned[move.end]];
    }
  }
  return shaft;
}

/** Seen cells that differ from the plan with its slips. */
function wrongCells(web, answer) {
  const shaft = asFound(web, answer);
  const missed = misses(web, answer.lifts);
  return missed.reduce((sum, row, column) => {
    const end = answer.path.end[column];
    return sum + (end >= 0 && web.free[end] ? 0 : row[shaft[column]]);
  }, 0);
}

function told(web, answer) {
  const made = [];
  if (answer.path.moves.length) {
    const on = lattice(web, answer.lifts, answer.misread);
    const sums = mixed(web, answer);
    for (const move of answer.path.moves) {
      const taken = new Set(answer.path.moves.filter((other) => other !== move).map((other) => other.end));
      made.push(named({ lattice: on, sums, pathEnd: answer.path.end, taken }, move));
    }
  }
  for (const each of liftsTold(web, answer)) made.push([each, []]);
  const key = ([each]) => each.end ?? each.pick ?? 0;
  made.sort((a, b) => Number(a[0].end === null) - Number(b[0].end === null) || key(a) - key(b));
  return {
    slips: made.map(([each]) => each),
    alternatives: made.flatMap(([, others], instead) => others.map((other) => ({ instead, slip: other }))),
    explains: 1 - wrongCells(web, answer) / Math.max(web.seen, 1),
    misread: answer.misread,
    threading: asFound(web, answer),
    score: answer.score,
  };
}

/** Rates of misread cells that may be so: the likeliest, and the usual one. */
const ratesOf = (answer) => [...new Set([answer.misread, MISREAD])].sort((a, b) => a - b);

function mixed(web, answer) {
  const sums = ratesOf(answer).map((rate) => [rate, new Sums(lattice(web, answer.lifts, rate))]);
  const logs = sums.map(
    ([rate, each]) => each.total + each.top.reduce((sum, top) => sum + top, 0) + web.seen * Math.log1p(-rate),
  );
  const shares = logs.map((log) => Math.exp(log - Math.max(...logs)));
  const total = shares.reduce((sum, share) => sum + share, 0);
  return new Mixed(sums.map(([, each], at) => [shares[at] / total, each]));
}

function liftsTold(web, answer) {
  const found = [];
  const all = tied(web, answer.lifts);
  const group = sameLift(web);
  web.lifts.forEach((row, pick) => {
    Array.from(row).forEach((up, shaft) => {
      if (Boolean(answer.lifts[pick][shaft]) === Boolean(up)) return;
      const back = answer.lifts.map((lift) => [...lift]);
      back[pick][shaft] = up;
      if (all[pick][shaft])
        back.forEach((lift, other) => {
          if (group[other] === group[pick]) lift[shaft] = up;
        });
      found.push(
        slip("wrong lift", {
          pick: pick + 1,
          planned: up ? shaft + 1 : null,
          found: up ? null : shaft + 1,
          odds: liftOdds(web, answer, back),
          tied: all[pick][shaft],
        }),
      );
    });
  });
  return found;
}

/** The answer's lifts against these, on the same path and over the rates of misread cells. */
function liftOdds(web, answer, back) {
  const [withSlip, without] = [answer, { ...answer, lifts: back }].map((each) => {
    const wrong = wrongCells(web, each);
    return logSum(
      ratesOf(answer).map((rate) => web.seen * Math.log1p(-rate) - wrong * Math.log((1 - rate) / rate)),
    );
  });
  return Math.min(MOST_ODDS, Math.exp(Math.min(withSlip - price(web) - without, 50)));
}

function logSum(logs) {
  const most = Math.max(...logs);
  return most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0));
}
