// The engine's operations on a draft, done at once in the page: the same results, the same errors.
import { liftsOf } from "./drawdown.js";
import { word } from "./editor_words.js";

/** The engine's limits, which come with the page: warp, weft, shafts, treadles, colors and crossings, at most. */
export const MOST = JSON.parse(document.getElementById("limits")?.textContent ?? "{}");

/** An operation that cannot be done, with the message that came with the page. */
export class Refused extends Error {
  constructor(name, places = {}) {
    super(word(`refused_${name}`, places));
  }
}

const nouns = { warp: "ends", weft: "picks" };

/** The draft from the server, as arrays. */
export function fromWords(words) {
  const columns = words.treadles ?? words.shafts;
  const draft = {
    title: words.title,
    rising: words.rising,
    shafts: words.shafts,
    treadles: words.treadles,
    threading: Uint8Array.from(words.threading),
    tieup: null,
    side: table(words.side, columns),
    palette: [...words.palette],
    warp: Uint16Array.from(words.warp_colors),
    weft: Uint16Array.from(words.weft_colors),
  };
  if (words.treadles !== null) {
    draft.tieup = new Uint8Array(words.shafts * columns);
    words.tieup.forEach((shafts, treadle) => {
      for (const shaft of shafts) draft.tieup[(shaft - 1) * columns + treadle] = 1;
    });
  }
  return settled(draft);
}

function table(rows, columns) {
  const made = new Uint8Array(rows.length * columns);
  rows.forEach((numbers, row) => {
    for (const number of numbers) made[row * columns + number - 1] = 1;
  });
  return made;
}

function settled(draft, before = null) {
  draft.ends = draft.threading.length;
  draft.picks = draft.weft.length;
  const same =
    before && draft.side === before.side && draft.tieup === before.tieup && draft.rising === before.rising;
  if (!same) draft.lifts = liftsOf(draft);
  return draft;
}

export const columnsOf = (draft) => draft.treadles ?? draft.shafts;
export const lengthOf = (draft, side) => (side === "warp" ? draft.ends : draft.picks);

/** The draft after an operation; the one before stays as it is. @throws Refused */
export function apply(draft, operation) {
  const made = settled(DO[operation.do]({ ...draft }, operation), draft);
  if (made.ends * made.picks > MOST.crossings) throw new Refused("crossings");
  return made;
}

function checkRun(draft, side, first, last) {
  const there = lengthOf(draft, side);
  for (const thread of [first, last]) {
    if (!(thread >= 1 && thread <= there))
      throw new Refused(`no_${nouns[side]}`, { number: thread, most: there });
  }
}

function checkNumber(number, what, least, most) {
  if (!(Number.isInteger(number) && number >= least && number <= most)) {
    throw new Refused(`no_${what}${least ? "" : "_or_none"}`, { number, most });
  }
}

function checkColumn(draft, column) {
  checkNumber(column, draft.treadles === null ? "shaft" : "treadle", 1, columnsOf(draft));
}

function checkCount(side, count) {
  if (count > MOST[side]) throw new Refused(`many_${nouns[side]}`, { count, most: MOST[side] });
}

/** The threads of one side in another order: `sources` from 0, -1 for an empty thread like the one before it. */
function taken(draft, side, sources) {
  checkCount(side, sources.length);
  const colors = draft[side];
  const like = (index) => {
    while (index >= 0 && sources[index] < 0) index--;
    return index < 0 ? 0 : sources[index];
  };
  draft[side] = Uint16Array.from(sources, (source, index) => colors[source < 0 ? like(index) : source]);
  if (side === "warp") {
    draft.threading = Uint8Array.from(sources, (source) => (source < 0 ? 0 : draft.threading[source]));
  } else {
    const columns = columnsOf(draft);
    const rows = new Uint8Array(sources.length * columns);
    sources.forEach((source, row) => {
      if (source >= 0) rows.set(draft.side.subarray(source * columns, (source + 1) * columns), row * columns);
    });
    draft.side = rows;
  }
  return draft;
}

const all = (draft, side) => Array.from({ length: lengthOf(draft, side) }, (_, thread) => thread);

function needTreadles(draft) {
  if (draft.treadles === null) throw new Refused("plan");
}

function columnsTo(cells, rows, before, after) {
  const made = new Uint8Array(rows * after);
  for (let row = 0; row < rows; row++) {
    made.set(cells.subarray(row * before, row * before + Math.min(before, after)), row * after);
  }
  return made;
}

const DO = {
  thread(draft, { first, shafts }) {
    checkRun(draft, "warp", first, first + shafts.length - 1);
    for (const shaft of shafts) checkNumber(shaft, "shaft", 0, draft.shafts);
    draft.threading = draft.threading.slice();
    draft.threading.set(shafts, first - 1);
    return draft;
  },
  tie(draft, { cells, on }) {
    needTreadles(draft);
    draft.tieup = draft.tieup.slice();
    for (const [treadle, shaft] of cells) {
      checkNumber(treadle, "treadle", 1, draft.treadles);
      checkNumber(shaft, "shaft", 1, draft.shafts);
      draft.tieup[(shaft - 1) * draft.treadles + treadle - 1] = on ? 1 : 0;
    }
    return draft;
  },
  tread(draft, { cells, on }) {
    draft.side = draft.side.slice();
    for (const [pick, column] of cells) {
      checkRun(draft, "weft", pick, pick);
      checkColumn(draft, column);
      draft.side[(pick - 1) * columnsOf(draft) + column - 1] = on ? 1 : 0;
    }
    return draft;
  },
  treadling(draft, { first, rows }) {
    checkRun(draft, "weft", first, first + rows.length - 1);
    draft.side = draft.side.slice();
    const columns = columnsOf(draft);
    rows.forEach((numbers, index) => {
      const start = (first - 1 + index) * columns;
      draft.side.fill(0, start, start + columns);
      for (const column of numbers) {
        checkColumn(draft, column);
        draft.side[start + column - 1] = 1;
      }
    });
    return draft;
  },
  color(draft, { side, first, colors }) {
    checkRun(draft, side, first, first + colors.length - 1);
    for (const number of colors) checkNumber(number, "color", 1, draft.palette.length);
    draft[side] = draft[side].slice();
    draft[side].set(colors, first - 1);
    return draft;
  },
  palette(draft, { number, value }) {
    checkNumber(number, "color", 1, Math.min(draft.palette.length + 1, MOST.colors));
    draft.palette = [...draft.palette];
    draft.palette[number - 1] = value.toLowerCase();
    return draft;
  },
  insert(draft, { side, before, count }) {
    checkCount(side, lengthOf(draft, side) + count);
    const sources = all(draft, side);
    sources.splice(before - 1, 0, ...Array(count).fill(-1));
    return taken(draft, side, sources);
  },
  delete(draft, { side, first, last }) {
    checkRun(draft, side, first, last);
    const sources = all(draft, side);
    if (last - first + 1 === sources.length) throw new Refused(`every_${nouns[side]}`);
    sources.splice(first - 1, last - first + 1);
    return taken(draft, side, sources);
  },
  move(draft, { side, first, last, before }) {
    checkRun(draft, side, first, last);
    if (before > first && before <= last) return draft;
    const sources = all(draft, side);
    const run = sources.splice(first - 1, last - first + 1);
    sources.splice(before > last ? before - 1 - run.length : before - 1, 0, ...run);
    return taken(draft, side, sources);
  },
  copy(draft, { side, first, last, before }) {
    checkRun(draft, side, first, last);
    const sources = all(draft, side);
    sources.splice(before - 1, 0, ...sources.slice(first - 1, last));
    return taken(draft, side, sources);
  },
  mirror(draft, { side, first, last, turn = "once" }) {
    checkRun(draft, side, first, last);
    const sources = all(draft, side);
    const back = sources.slice(first - 1, last).reverse();
    sources.splice(last, 0, ...back.slice(turn === "once" ? 1 : 0));
    return taken(draft, side, sources);
  },
  reverse(draft, { side, first, last }) {
    checkRun(draft, side, first, last);
    const sources = all(draft, side);
    sources.splice(first - 1, last - first + 1, ...sources.slice(first - 1, last).reverse());
    return taken(draft, side, sources);
  },
  repeat(draft, { side, first, last, times }) {
    checkRun(draft, side, first, last);
    const sources = all(draft, side);
    const run = sources.slice(first - 1, last);
    checkCount(side, sources.length + run.length * (times - 1));
    sources.splice(first - 1, run.length, ...Array.from({ length: times }, () => run).flat());
    return taken(draft, side, sources);
  },
  slide(draft, { side, first, last, by }) {
    checkRun(draft, side, first, last);
    const round = (number, count) => ((number % count) + count) % count;
    if (side === "warp") {
      draft.threading = draft.threading.slice();
      for (let end = first - 1; end < last; end++) {
        if (draft.threading[end])
          draft.threading[end] = round(draft.threading[end] - 1 + by, draft.shafts) + 1;
      }
      return draft;
    }
    const columns = columnsOf(draft);
    const before = draft.side;
    draft.side = before.slice();
    for (let pick = first - 1; pick < last; pick++) {
      for (let column = 0; column < columns; column++) {
        draft.side[pick * columns + round(column + by, columns)] = before[pick * columns + column];
      }
    }
    return draft;
  },
  count(draft, { what, to }) {
    if (!(Number.isInteger(to) && to >= 1 && to <= MOST[what])) {
      throw new Refused(`count_${what}`, { to, most: MOST[what] });
    }
    if (what === "treadles") {
      needTreadles(draft);
      for (let treadle = draft.treadles; treadle > to; treadle--) {
        for (let pick = 0; pick < draft.picks; pick++) {
          if (draft.side[pick * draft.treadles + treadle - 1]) {
            throw new Refused("treadled", { treadle });
          }
        }
      }
      draft.tieup = columnsTo(draft.tieup, draft.shafts, draft.treadles, to);
      draft.side = columnsTo(draft.side, draft.picks, draft.treadles, to);
      draft.treadles = to;
      return draft;
    }
    const used = draft.threading.reduce((most, shaft) => Math.max(most, shaft), 0);
    if (used > to) throw new Refused("holds", { shaft: used });
    if (draft.treadles === null) draft.side = columnsTo(draft.side, draft.picks, draft.shafts, to);
    else draft.tieup = columnsTo(draft.tieup, 1, draft.tieup.length, to * draft.treadles);
    draft.shafts = to;
    return draft;
  },
  lifting(draft, { by }) {
    if (by === "lift plan") {
      return { ...draft, side: draft.lifts, tieup: null, treadles: null, rising: true };
    }
    if (draft.treadles !== null) return draft;
    const known = new Map();
    const of = [];
    for (let pick = 0; pick < draft.picks; pick++) {
      const lift = draft.lifts.subarray(pick * draft.shafts, (pick + 1) * draft.shafts);
      const key = lift.join("");
      if (lift.includes(1) && !known.has(key)) known.set(key, { number: known.size, lift });
      of.push(known.get(key)?.number);
    }
    if (known.size > MOST.treadles) {
      throw new Refused("lifts", { count: known.size, most: MOST.treadles });
    }
    if (!known.size) throw new Refused("nothing");
    const tieup = new Uint8Array(draft.shafts * known.size);
    for (const { number, lift } of known.values()) {
      lift.forEach((on, shaft) => {
        tieup[shaft * known.size + number] = on;
      });
    }
    const side = new Uint8Array(draft.picks * known.size);
    of.forEach((number, pick) => {
      if (number !== undefined) side[pick * known.size + number] = 1;
    });
    return { ...draft, tieup, side, treadles: known.size, rising: true };
  },
  shed(draft, { rising, keep }) {
    needTreadles(draft);
    if (draft.rising === rising) return draft;
    if (keep === "ties") return { ...draft, rising };
    const made = { ...draft, rising, tieup: draft.tieup.map((tied) => 1 - tied) };
    const other = liftsOf(made).findIndex((lift, cell) => lift !== draft.lifts[cell]);
    if (other >= 0) throw new Refused("feet", { pick: Math.floor(other / draft.shafts) + 1 });
    return made;
  },
};

const CRC = Uint32Array.from({ length: 256 }, (_, byte) => {
  for (let bit = 0; bit < 8; bit++) byte = byte & 1 ? (byte >>> 1) ^ 0xedb88320 : byte >>> 1;
  return byte;
});

/** CRC-32 over everything shown of a draft, the same as the engine's. */
export function fingerprint(draft) {
  let found = 0xffffffff;
  const take = (byte) => (found = (found >>> 8) ^ CRC[(found ^ byte) & 0xff]);
  const twice = (values, less) => {
    for (const value of values) {
      take((value - less) & 0xff);
      take((value - less) >> 8);
    }
  };
  twice(draft.threading, 0);
  twice(draft.warp, 1);
  twice(draft.weft, 1);
  take(draft.rising ? 1 : 0);
  if (draft.tieup) draft.tieup.forEach(take);
  draft.side.forEach(take);
  for (const color of draft.palette) {
    for (const at of [1, 3, 5]) take(parseInt(color.slice(at, at + 2), 16));
  }
  return (found ^ 0xffffffff) >>> 0;
}
