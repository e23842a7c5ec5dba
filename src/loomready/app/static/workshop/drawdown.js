// From threading, tie-up and treadling to cloth, and from cloth to pixels. The engine's own vectors test it.
//
// A draft here: threading Uint8Array[ends], shafts from 1 (0: not threaded); tieup Uint8Array[shafts * treadles]
// or null; side Uint8Array[picks * columns], treadling or lift plan; warp and weft Uint16Array, colors from 1.

/** @returns {Uint8Array} lifts[picks * shafts], 1 where the shaft is up */
export function liftsOf(draft) {
  const { picks, shafts, treadles, tieup, side, rising } = draft;
  if (treadles === null) return side;
  const lifts = new Uint8Array(picks * shafts);
  const known = new Map(); // picks on the same treadles have the same lift
  for (let pick = 0; pick < picks; pick++) {
    const row = side.subarray(pick * treadles, (pick + 1) * treadles);
    const key = row.join("");
    let lift = known.get(key);
    if (!lift) {
      lift = new Uint8Array(shafts);
      if (row.includes(1)) {
        for (let shaft = 0; shaft < shafts; shaft++) {
          let tied = 0;
          for (let treadle = 0; treadle < treadles; treadle++)
            tied |= row[treadle] & tieup[shaft * treadles + treadle];
          lift[shaft] = rising ? tied : 1 - tied;
        }
      }
      known.set(key, lift);
    }
    lifts.set(lift, pick * shafts);
  }
  return lifts;
}

/** Whether the warp is on top where an end crosses a pick (both from 0). */
export function isUp(draft, end, pick) {
  const shaft = draft.threading[end];
  return shaft > 0 && draft.lifts[pick * draft.shafts + shaft - 1] === 1;
}

/** The whole drawdown, Uint8Array[picks * ends]. */
export function drawdown(draft) {
  const block = new Uint8Array(draft.picks * draft.ends);
  for (let pick = 0, at = 0; pick < draft.picks; pick++) {
    for (let end = 0; end < draft.ends; end++, at++) block[at] = isUp(draft, end, pick) ? 1 : 0;
  }
  return block;
}

/** "#rrggbb" as a pixel of an ImageData, seen as Uint32 (little-endian: all browsers' machines are). */
export function pixel(color) {
  const value = parseInt(color.slice(1), 16);
  return (0xff000000 | ((value & 0xff) << 16) | (value & 0xff00) | (value >> 16)) >>> 0;
}

const LIGHT = Float64Array.from({ length: 256 }, (_, code) => {
  const share = code / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
});

function code(light) {
  const share = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
  return Math.max(0, Math.min(255, Math.round(255 * share)));
}

function channels(one) {
  return [one & 0xff, (one >> 8) & 0xff, (one >> 16) & 0xff];
}

function packed(red, green, blue) {
  return (0xff000000 | (blue << 16) | (green << 8) | red) >>> 0;
}

const LEVELS = 32;

/** Each color at each level of shade, Uint32Array[colors * LEVELS]: light is scaled, not code values. */
export function shades(colors) {
  const table = new Uint32Array(colors.length * LEVELS);
  colors.forEach((color, number) => {
    const lights = channels(color).map((value) => LIGHT[value]);
    for (let level = 0; level < LEVELS; level++) {
      const root = 0.3 + (0.82 * level) / (LEVELS - 1);
      const gleam = 0.25 * Math.max(0, root - 1);
      table[number * LEVELS + level] = packed(...lights.map((light) => code(light * root * root + gleam)));
    }
  });
  return table;
}

const tilesKept = new Map();

/** Levels of shade of a crossing, Uint8Array[8 * cell * cell]: 4 warp on top, 2 it dives before, 1 it dives after. */
export function tiles(cell) {
  if (tilesKept.has(cell)) return tilesKept.get(cell);
  const made = new Uint8Array(8 * cell * cell);
  for (let kind = 0; kind < 8; kind++) {
    for (let y = 0; y < cell; y++) {
      for (let x = 0; x < cell; x++) {
        const [across, along] = kind & 4 ? [x, y] : [y, x];
        const u = ((across + 0.5) / cell) * 2 - 1;
        const v = ((along + 0.5) / cell) * 2 - 1;
        const rise = kind & 2 ? Math.max(0, Math.min(1, (-v - 0.2) / 0.8)) : 0;
        const fall = kind & 1 ? Math.max(0, Math.min(1, (v - 0.2) / 0.8)) : 0;
        const inside = Math.abs(u) ** 3 + (0.96 * Math.max(rise, fall)) ** 3 <= 1;
        const leanAcross = 0.93 * u;
        const leanAlong = 0.66 * (fall - rise);
        const toEye = Math.sqrt(Math.max(0.03, 1 - leanAcross ** 2 - leanAlong ** 2));
        const [leanX, leanY] = kind & 4 ? [leanAcross, leanAlong] : [leanAlong, leanAcross];
        const lit = Math.max(0, -0.42 * leanX - 0.52 * leanY + 0.74 * toEye) / 0.74;
        const share = inside ? (0.34 + 0.66 * lit) * (1 - 0.55 * rise ** 2) * (1 - 0.3 * fall ** 2) : 0.12;
        const level = Math.round(((Math.sqrt(share) - 0.3) / 0.82) * (LEVELS - 1));
        made[kind * cell * cell + y * cell + x] = Math.max(0, Math.min(LEVELS - 1, level));
      }
    }
  }
  tilesKept.set(cell, made);
  return made;
}

/**
 * Paint the part of the cloth that is seen. Only what is seen is worked out.
 *
 * @param {Uint32Array} target width * height pixels
 * @param {any} view  width, height; cell: pixels a thread (below 1: 1 / cell threads a pixel);
 *   left, top: the cloth's pixel that lies at the corner; end1Right; cloth: in its colors, else by structure;
 *   back: seen from the back, each end still under its heddle; sides: [warp on top, weft on top] and line, ground
 */
export function paintCloth(target, draft, view) {
  target.fill(view.ground);
  if (view.cell < 1) paintFar(target, draft, view);
  else if (view.cloth && view.cell >= 4) paintThreads(target, draft, view);
  else paintCells(target, draft, view);
}

/** The ends in the columns that are seen: [first pixel, number of pixels, end] each. */
function columnsSeen(draft, view) {
  const { cell, left, width, end1Right } = view;
  const first = Math.max(0, Math.floor(left / cell));
  const last = Math.min(draft.ends - 1, Math.floor((left + width - 1) / cell));
  return { first, last, endAt: (column) => (end1Right ? draft.ends - 1 - column : column) };
}

function rowsSeen(draft, view) {
  const first = Math.max(0, Math.floor(view.top / view.cell));
  return { first, last: Math.min(draft.picks - 1, Math.floor((view.top + view.height - 1) / view.cell)) };
}

/** Rows of the drawdown are alike where lift and color are: numbers for them, from 0. */
function alike(draft, first, last, withColor) {
  const known = new Map();
  const numbers = new Int32Array(Math.max(0, last - first + 1));
  for (let pick = first; pick <= last; pick++) {
    let key = withColor ? `${draft.weft[pick]}:` : "";
    const start = pick * draft.shafts;
    for (let shaft = 0, word = 0; shaft < draft.shafts; shaft++) {
      word = (word << 1) | draft.lifts[start + shaft];
      if ((shaft & 15) === 15 || shaft === draft.shafts - 1) {
        key += String.fromCharCode(word + 1);
        word = 0;
      }
    }
    let number = known.get(key);
    if (number === undefined) {
      number = known.size;
      known.set(key, number);
    }
    numbers[pick - first] = number;
  }
  return numbers;
}

function paintCells(target, draft, view) {
  const { width, height, cell, left, top, cloth, back, sides, line } = view;
  const columns = columnsSeen(draft, view);
  const rows = rowsSeen(draft, view);
  const count = columns.last - columns.first + 1;
  if (count < 1 || rows.last < rows.first) return;
  const numbers = alike(draft, rows.first, rows.last, cloth);
  const painted = new Map(); // number of a row: its place in the target
  const lined = !cloth && cell >= 6;
  const shaftOf = new Int32Array(count);
  const warpOf = new Uint32Array(count);
  const palette = draft.palette.map(pixel);
  for (let index = 0; index < count; index++) {
    const end = columns.endAt(columns.first + index);
    shaftOf[index] = draft.threading[end];
    warpOf[index] = cloth ? palette[draft.warp[end] - 1] : sides[0];
  }
  const rules = lined ? new Uint32Array(width).fill(view.ground) : null;
  if (rules) rules.fill(line, Math.max(0, -left), Math.max(0, Math.min(width, draft.ends * cell - left)));
  for (let pick = rows.first; pick <= rows.last; pick++) {
    const from = Math.max(0, pick * cell - top);
    const to = Math.min(height, (pick + 1) * cell - top);
    const number = numbers[pick - rows.first];
    let source = painted.get(number);
    if (source === undefined) {
      source = from * width;
      painted.set(number, source);
      const weft = cloth ? palette[draft.weft[pick] - 1] : sides[1];
      const lift = pick * draft.shafts - 1;
      for (let index = 0, x = columns.first * cell - left; index < count; index++, x += cell) {
        const shaft = shaftOf[index];
        const up = shaft > 0 && draft.lifts[lift + shaft] === 1;
        const color = up !== back ? warpOf[index] : weft;
        const stop = Math.min(width, x + cell);
        for (let at = Math.max(0, x); at < stop; at++) target[source + at] = color;
        if (lined && x >= 0) target[source + x] = line;
      }
    }
    for (let y = from; y < to; y++) {
      if (y * width !== source) target.copyWithin(y * width, source, source + width);
    }
    if (lined && pick * cell - top >= 0 && from * width !== source) target.set(rules, from * width);
  }
  if (lined) {
    // A row that others were copied from gets its line last.
    for (const source of painted.values()) {
      if ((source / width + top) % cell === 0) target.set(rules, source);
    }
  }
}

function paintThreads(target, draft, view) {
  const { width, height, cell, left, top, back } = view;
  const columns = columnsSeen(draft, view);
  const rows = rowsSeen(draft, view);
  const tile = tiles(cell);
  const size = cell * cell;
  const table = shades(draft.palette.map(pixel));
  const count = columns.last - columns.first + 1;
  if (count < 1) return;
  const { picks, ends, shafts, lifts, threading } = draft;
  // The thread beside the first and the last one seen says where a float ends.
  const endOf = Int32Array.from({ length: count + 2 }, (_, index) => {
    const column = columns.first + index - 1;
    return columns.endAt((column + ends) % ends);
  });
  const read = (pick, row) => {
    const start = ((pick + picks) % picks) * shafts - 1;
    for (let index = 0; index < count + 2; index++) {
      const shaft = threading[endOf[index]];
      row[index] = (shaft > 0 && lifts[start + shaft] === 1) !== back ? 1 : 0;
    }
    return row;
  };
  let above = read(rows.first - 1, new Uint8Array(count + 2));
  let here = read(rows.first, new Uint8Array(count + 2));
  let below = new Uint8Array(count + 2);
  for (let pick = rows.first; pick <= rows.last; pick++) {
    read(pick + 1, below);
    const from = Math.max(0, pick * cell - top);
    const to = Math.min(height, (pick + 1) * cell - top);
    const skipped = from - (pick * cell - top);
    for (let index = 1, x = columns.first * cell - left; index <= count; index++, x += cell) {
      const up = here[index];
      const before = up ? above[index] !== up : here[index - 1] !== up;
      const after = up ? below[index] !== up : here[index + 1] !== up;
      const kind = 4 * up + 2 * Number(before) + Number(after);
      const shade = ((up ? draft.warp[endOf[index]] : draft.weft[pick]) - 1) * LEVELS;
      const start = Math.max(0, x);
      const stop = Math.min(width, x + cell);
      for (let y = from, line = kind * size + skipped * cell; y < to; y++, line += cell) {
        for (let at = start; at < stop; at++) target[y * width + at] = table[shade + tile[line + at - x]];
      }
    }
    [above, here, below] = [here, below, above];
  }
}

/**
 * From afar a pixel holds many crossings, and shows the mean of their light, exactly: what lies on top depends
 * on shaft and pick alone, so the sum over crossings is a sum over shafts.
 */
function paintFar(target, draft, view) {
  const { width, height, left, top, end1Right, back, cloth } = view;
  const many = Math.round(1 / view.cell);
  const { ends, picks, shafts, lifts, threading } = draft;
  const lights = (cloth ? draft.palette.map(pixel) : view.sides).map((one) =>
    channels(one).map((c) => LIGHT[c]),
  );
  const wide = Math.min(width, Math.ceil(ends / many) - Math.max(0, left));
  const high = Math.min(height, Math.ceil(picks / many) - top);
  const x0 = Math.max(0, -left);
  const slots = shafts + 1;
  const each = (first, length) => [first * many, Math.min(length, (first + 1) * many)];
  const warp = new Float64Array(slots * 4);
  const columns = [];
  for (let x = x0; x < x0 + wide && x < width; x++) {
    warp.fill(0);
    const [from, to] = each(x + left, ends);
    for (let column = from; column < to; column++) {
      const end = end1Right ? ends - 1 - column : column;
      const light = lights[cloth ? draft.warp[end] - 1 : 0];
      const at = threading[end] * 4;
      warp[at]++;
      for (let c = 0; c < 3; c++) warp[at + 1 + c] += light[c];
    }
    const used = [];
    for (let slot = 0; slot < slots; slot++)
      if (warp[slot * 4]) used.push(slot, ...warp.subarray(slot * 4, slot * 4 + 4));
    columns.push([Float64Array.from(used), Math.max(1, to - from)]);
  }
  const on = new Float64Array(slots); // picks in which the warp on this shaft is on top
  const weft = new Float64Array(slots * 3); // light of the picks that lie over it
  for (let y = 0; y < high; y++) {
    on.fill(0);
    weft.fill(0);
    const [from, to] = each(y + top, picks);
    for (let pick = from; pick < to; pick++) {
      const light = lights[cloth ? draft.weft[pick] - 1 : 1];
      for (let slot = 0; slot < slots; slot++) {
        const up = (slot > 0 && lifts[pick * shafts + slot - 1] === 1) !== back;
        if (up) on[slot]++;
        else for (let c = 0; c < 3; c++) weft[slot * 3 + c] += light[c];
      }
    }
    columns.forEach(([used, across], index) => {
      let red = 0;
      let green = 0;
      let blue = 0;
      for (let at = 0; at < used.length; at += 5) {
        const slot = used[at];
        red += used[at + 2] * on[slot] + used[at + 1] * weft[slot * 3];
        green += used[at + 3] * on[slot] + used[at + 1] * weft[slot * 3 + 1];
        blue += used[at + 4] * on[slot] + used[at + 1] * weft[slot * 3 + 2];
      }
      const all = across * Math.max(1, to - from);
      target[y * width + x0 + index] = packed(code(red / all), code(green / all), code(blue / all));
    });
  }
}
