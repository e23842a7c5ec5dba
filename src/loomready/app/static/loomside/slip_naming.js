// From the moves of a path to slips: which end to name, what else it could be, as in loomready/slips/naming.py.

const NEARLY = Math.log(10); // alternatives are at most ten times less likely
const FARTHEST = 60; // ends looked at on each side for another place of a skipped or extra end
const SAME = 1e-9;
export const MOST_ODDS = 1e6;

/** A probability as odds, at most a million. */
export const odds = (share) => Math.min(MOST_ODDS, Math.max(share, 0) / Math.max(1 - share, 1 / MOST_ODDS));

/** A slip with all its parts; see loomready/slips/result.py. */
export const slip = (kind, parts) => ({
  kind,
  end: null,
  pick: null,
  planned: null,
  found: null,
  odds: 1,
  tied: false,
  ...parts,
});

/**
 * Names the slip of a move.
 * @param {{lattice: import("./slip_align.js").Lattice, sums: any, pathEnd: number[], taken: Set<number>}} on
 * @returns {any[]} the slip, and a list of what could be in its place
 */
export function named(on, move) {
  const { lattice, sums } = on;
  const number = (shaft) => (shaft === lattice.rare.any.length - 1 ? 0 : shaft + 1);
  const planned = lattice.planned[move.end];
  if (move.kind === "skipped") return missing(on, move, number);
  if (move.kind === "extra") return extra(on, move, number);
  if (move.kind === "crossed") {
    const likely = odds(sums.crossed(move.end, move.column));
    return [
      slip("crossed", {
        end: move.end + 1,
        planned: number(planned),
        found: number(lattice.planned[move.end + 1]),
        odds: likely,
      }),
      [],
    ];
  }
  const scores = lattice.fits[move.column].map((fit, shaft) => fit + lattice.rare.shaft[planned][shaft]);
  const { same, near } = shafts(lattice, move.column, move.shaft, scores);
  const found = slip("wrong shaft", {
    end: move.end + 1,
    planned: number(planned),
    found: number(move.shaft),
    odds: odds(sums.wrong(move.end, move.column, same)),
  });
  const rest = near.filter((shaft) => shaft !== move.shaft && shaft !== planned);
  return [
    found,
    rest.map((shaft) => ({
      ...found,
      found: number(shaft),
      odds: odds(sums.wrong(move.end, move.column, [shaft])),
    })),
  ];
}

/** Shafts that the cells of a column cannot tell from this one, and those nearly as likely. */
function shafts(lattice, column, shaft, scores) {
  const fits = lattice.fits[column];
  const any = lattice.rare.any;
  const most = Math.max(...any);
  const same = [];
  const near = [];
  for (let each = 0; each < any.length; each++) {
    if (Math.abs(fits[each] - fits[shaft]) < SAME) same.push(each);
    if (scores[each] >= scores[shaft] - NEARLY && any[each] >= most - SAME) near.push(each);
  }
  return { same, near };
}

/** The missing end is somewhere in a run of ends that would look the same, named by its first. */
function missing({ lattice, sums, pathEnd, taken }, move, number) {
  const same = [move.end];
  const near = [];
  for (const step of [-1, 1]) {
    let loss = 0;
    let end = move.end;
    let at = step < 0 ? move.column - 1 : move.column;
    for (let tried = 0; tried < FARTHEST; tried++) {
      const neighbor = end + step;
      if (neighbor < 0 || neighbor >= lattice.ends || at < 0 || at >= lattice.columns) break;
      if (pathEnd[at] !== neighbor || taken.has(neighbor)) break;
      loss += lattice.fits[at][lattice.planned[neighbor]] - lattice.fits[at][lattice.planned[end]];
      end = neighbor;
      at += step;
      if (Math.abs(loss) < SAME) same.push(end);
      else if (loss <= NEARLY) near.push(end);
      if (loss > 2 * NEARLY) break;
    }
  }
  const likely = odds(same.reduce((sum, end) => sum + sums.skippedEnd(end), 0));
  const of = (end, chance) =>
    slip("skipped", { end: end + 1, planned: number(lattice.planned[end]), odds: chance });
  const alike = same.sort((a, b) => a - b).map((end) => of(end, likely));
  const rest = near.sort((a, b) => a - b).map((end) => of(end, odds(sums.skippedEnd(end))));
  return [alike[0], [...alike.slice(1), ...rest]];
}

/** The end too many may be any of a run that would look the same, named by the first place. */
function extra({ lattice, sums, pathEnd, taken }, move, number) {
  const scores = lattice.fits[move.column].map((fit, shaft) => fit + lattice.rare.any[shaft]);
  const { same, near } = shafts(lattice, move.column, move.shaft, scores);
  const places = [[move.end, move.column]];
  for (const step of [-1, 1]) {
    let { end, column } = move;
    for (let tried = 0; tried < FARTHEST; tried++) {
      const beside = column + step;
      const neighbor = step < 0 ? end - 1 : end;
      if (neighbor < 0 || neighbor >= lattice.ends || beside < 0 || beside >= lattice.columns) break;
      if (pathEnd[beside] !== neighbor || taken.has(neighbor)) break;
      const planned = lattice.planned[neighbor];
      const [one, other] = [lattice.fits[column], lattice.fits[beside]];
      const loss = one[move.shaft] + other[planned] - one[planned] - other[move.shaft];
      if (Math.abs(loss) > SAME || Math.abs(one[planned] - one[move.shaft]) > SAME) break;
      end += step;
      column = beside;
      places.push([end, column]);
    }
  }
  const likely = odds(places.reduce((sum, [end, column]) => sum + sums.extraBefore(end, column, same), 0));
  const alike = places
    .map(([end]) => end)
    .sort((a, b) => a - b)
    .map((end) => slip("extra", { end: end + 1, found: number(move.shaft), odds: likely }));
  const rest = near
    .filter((shaft) => shaft !== move.shaft)
    .map((shaft) => ({
      ...alike[0],
      found: number(shaft),
      odds: odds(sums.extraBefore(move.end, move.column, [shaft])),
    }));
  return [alike[0], [...alike.slice(1), ...rest]];
}
