// The layout of the sheet in device pixels: threading above, tie-up in the corner on end 1's side, treadling
// or lift plan beside the cloth, a color bar along both.
import { columnsOf } from "./operations.js";

export const ZOOMS = [1, 2, 3, 4, 6, 8, 10, 12, 14, 17, 20, 24, 30, 40, 56];

export const FURTHEST = 256; // threads a pixel

const between = (least, value, most) => Math.max(least, Math.min(value, most));

/** @param {any} look cell, scroll {end, pick}, end1Right, shaft1Below; @param {{width: number, height: number, unit: number}} size width, height, unit */
export function layOut(draft, look, size) {
  const { width, height, unit } = size;
  const { end1Right } = look;
  const cell = look.cell >= 1 ? Math.round(look.cell) : 1 / Math.round(1 / look.cell); // whole pixels, or whole threads
  const columns = columnsOf(draft);
  const px = (value) => Math.round(value * unit);
  const bar = px(13);
  const gap = px(11);
  const ruler = px(15);
  const digits = String(Math.max(draft.picks, 10)).length;
  const margin = px(6 + digits * 7);
  const thick = between(px(9), Math.round(cell), px(22));
  const rowHeight = between(
    px(3),
    thick,
    Math.max(px(3), Math.floor((0.46 * height - ruler - bar) / draft.shafts)),
  );
  const columnWidth = between(px(3), thick, Math.max(px(3), Math.floor((0.42 * width) / columns)));
  const threading = { y: ruler + bar + px(3), height: rowHeight * draft.shafts + 1 };
  const sideWidth = columnWidth * columns + 1;
  const clothTop = threading.y + threading.height + gap;
  const whole = { width: Math.ceil(draft.ends * cell), height: Math.ceil(draft.picks * cell) };
  // The corner where the tie-up stands is at end 1's side; a small draft stands in the middle of the sheet.
  const beside = margin + bar + px(3) + sideWidth + gap;
  const spare = Math.max(0, Math.floor((width - 2 * px(1) - beside - whole.width) / 2));
  const sideX = end1Right ? width - spare - margin - bar - px(3) - sideWidth : spare + margin + bar + px(3);
  const cloth = {
    x: end1Right ? px(1) : sideX + sideWidth + gap,
    y: clothTop,
    width: end1Right ? sideX - gap - px(1) : width - (sideX + sideWidth + gap) - px(1),
    height: height - clothTop - px(1),
  };
  // Scroll counts from the corner: pixels of cloth that have gone past it.
  const most = {
    end: Math.max(0, whole.width - cloth.width),
    pick: Math.max(0, whole.height - cloth.height),
  };
  const held = (scroll, furthest) => Math.round(between(0, scroll, furthest));
  const scroll = { end: held(look.scroll.end, most.end), pick: held(look.scroll.pick, most.pick) };
  const left = end1Right ? whole.width - cloth.width - scroll.end : scroll.end;
  return {
    ...size,
    cell,
    bar,
    gap,
    ruler,
    margin,
    rowHeight,
    columnWidth,
    cloth,
    whole,
    scroll,
    left,
    top: scroll.pick,
    end1Right,
    shaft1Below: look.shaft1Below,
    threading: { x: cloth.x, width: cloth.width, ...threading },
    side: { x: sideX, y: clothTop, width: sideWidth, height: cloth.height },
    tieup: { x: sideX, y: threading.y, width: sideWidth, height: threading.height },
    warp: { x: cloth.x, y: ruler, width: cloth.width, height: bar },
    weft: {
      x: end1Right ? sideX + sideWidth + px(3) : sideX - px(3) - bar,
      y: clothTop,
      width: bar,
      height: cloth.height,
    },
  };
}

/** Left pixel of an end (from 0) on the sheet; how wide it is never falls below a pixel. */
export function endX(at, draft, end) {
  const column = at.end1Right ? draft.ends - 1 - end : end;
  return at.cloth.x + Math.floor(column * at.cell) - at.left;
}

export function pickY(at, pick) {
  return at.cloth.y + Math.floor(pick * at.cell) - at.top;
}

/** Top pixel of the row of a shaft (from 1). */
export function shaftY(at, draft, shaft) {
  return at.threading.y + (at.shaft1Below ? draft.shafts - shaft : shaft - 1) * at.rowHeight;
}

export function columnX(at, column) {
  return at.side.x + (column - 1) * at.columnWidth;
}

/** The part of the cloth's window that cloth fills. */
export function clothBox(at) {
  const left = Math.max(at.cloth.x, at.cloth.x - at.left);
  const right = Math.min(at.cloth.x + at.cloth.width, at.cloth.x - at.left + at.whole.width);
  const bottom = Math.min(at.cloth.y + at.cloth.height, at.cloth.y - at.top + at.whole.height);
  return { x: left, y: at.cloth.y, width: right - left, height: bottom - at.cloth.y };
}

/** What is at a place on the sheet: its part, and the end, pick, shaft, column there (from 1), held to the
draft. */
export function partAt(at, draft, x, y) {
  const inside = (box, slack = 0) =>
    x >= box.x - slack &&
    x < box.x + box.width + slack &&
    y >= box.y - slack &&
    y < box.y + box.height + slack;
  const column = Math.floor((x - at.cloth.x + at.left) / at.cell);
  const end = between(1, at.end1Right ? draft.ends - column : column + 1, draft.ends);
  const pick = between(1, Math.floor((y - at.cloth.y + at.top) / at.cell) + 1, draft.picks);
  const row = Math.floor((y - at.threading.y) / at.rowHeight);
  const shaft = between(1, at.shaft1Below ? draft.shafts - row : row + 1, draft.shafts);
  const foot = between(1, Math.floor((x - at.side.x) / at.columnWidth) + 1, columnsOf(draft));
  const place = { end, pick, shaft, column: foot };
  const within = column >= 0 && column < draft.ends;
  const below = (y - at.cloth.y + at.top) / at.cell < draft.picks;
  for (const part of ["threading", "warp"]) if (within && inside(at[part])) return { part, ...place };
  for (const part of ["side", "weft"]) if (below && inside(at[part])) return { part, ...place };
  if (draft.treadles !== null && inside(at.tieup)) return { part: "tieup", ...place };
  if (within && below && inside(at.cloth)) return { part: "cloth", ...place };
  return { part: null, ...place };
}

/** The scroll that brings a place into view with the least movement. */
export function inSight(at, end, pick) {
  const scroll = { ...at.scroll };
  if (end) {
    const from = Math.floor((end - 1) * at.cell);
    scroll.end = between(from + Math.ceil(at.cell) - at.cloth.width, scroll.end, from);
  }
  if (pick) {
    const from = Math.floor((pick - 1) * at.cell);
    scroll.pick = between(from + Math.ceil(at.cell) - at.cloth.height, scroll.pick, from);
  }
  return scroll;
}

/** The zoom that shows the whole cloth: a pixel may then hold several threads. */
export function wholeZoom(draft, look, size) {
  const fits = (cell) => {
    const { cloth, whole } = layOut(draft, { ...look, cell }, size);
    return whole.width <= cloth.width && whole.height <= cloth.height;
  };
  const near = ZOOMS.filter((zoom) => zoom <= 24 * size.unit && fits(zoom)).pop();
  if (near) return near;
  let many = 2;
  while (many < FURTHEST && !fits(1 / many)) many++;
  return 1 / many;
}
