// Draws the sheet on one canvas.
import { paintCloth, pixel } from "./drawdown.js";
import { columnsOf } from "./operations.js";
import { emptyThread, paintMarks, paintStrip, within } from "./editor_marks.js";
import { clothBox, columnX, endX, pickY, shaftY } from "./editor_sheet.js";

const STEPS = [5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000];
let kept = null; // the pixels of the cloth, reused if the size is the same

/** The colors of the page's current theme, light or dark. */
export function inks() {
  const style = getComputedStyle(document.documentElement);
  const of = (name) => style.getPropertyValue(`--${name}`).trim();
  const names = ["paper", "sheet", "ink", "quiet", "line", "ground", "woad", "madder", "weld", "sage"];
  const found = Object.fromEntries(names.map((name) => [name, of(name)]));
  return {
    ...found,
    sans: of("sans") || "sans-serif",
    lamp: matchMedia("(prefers-color-scheme: dark)").matches,
  };
}

/**
 * @param {CanvasRenderingContext2D} pen
 * @param {any} scene draft, at (the layout), look, caret, run (selected threads), found (what is marked), inks
 */
export function paint(pen, scene) {
  const { draft, at, inks: ink } = scene;
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.fillStyle = ink.sheet;
  pen.fillRect(0, 0, at.width, at.height);
  const seen = { ends: endsSeen(draft, at), picks: picksSeen(draft, at) };
  cloth(pen, scene);
  paintMarks(pen, scene, seen);
  threading(pen, scene, seen);
  side(pen, scene, seen);
  if (draft.tieup) tieup(pen, scene);
  bars(pen, scene, seen);
  rulers(pen, scene, seen);
  paintStrip(pen, scene, seen);
  chosen(pen, scene);
  caret(pen, scene);
}

function endsSeen(draft, at) {
  const columns = [
    Math.floor(Math.max(0, at.left) / at.cell),
    Math.ceil((at.left + at.cloth.width) / at.cell),
  ];
  const [low, high] = [columns[0], Math.min(draft.ends, columns[1])];
  return at.end1Right ? [draft.ends - high, draft.ends - low] : [low, high];
}

function picksSeen(draft, at) {
  return [
    Math.floor(at.top / at.cell),
    Math.min(draft.picks, Math.ceil((at.top + at.cloth.height) / at.cell)),
  ];
}

function cloth(pen, { draft, at, look, inks: ink }) {
  const { x, y, width, height } = at.cloth;
  if (width < 1 || height < 1) return;
  if (!kept || kept.width !== width || kept.height !== height) {
    kept = new ImageData(width, height);
    kept.pixels = new Uint32Array(kept.data.buffer);
  }
  paintCloth(kept.pixels, draft, {
    width,
    height,
    cell: at.cell,
    left: at.left,
    top: at.top,
    end1Right: at.end1Right,
    cloth: look.cloth,
    back: look.back,
    sides: look.sides.map(pixel),
    line: pixel(ink.line),
    ground: pixel(ink.sheet),
  });
  pen.putImageData(kept, x, y);
  frame(pen, ink, clothBox(at));
}

function frame(pen, ink, box) {
  pen.strokeStyle = ink.quiet;
  pen.lineWidth = 1;
  pen.strokeRect(box.x - 0.5, box.y - 0.5, box.width + 1, box.height + 1);
}

/** Hairlines, every fifth and tenth darker, counted from thread 1; fewer where cells are small. */
function grid(pen, ink, { x, y, rows, columns, wide, high, fromRight = false, fromBottom = false, unit }) {
  const lines = (count, size, place, draw) => {
    for (let number = 0; number <= count; number++) {
      const step = number % 10 === 0 ? 10 : number % 5 === 0 ? 5 : 1;
      if (size < (step === 1 ? 5 : 2) * unit) continue;
      pen.fillStyle = step === 1 ? ink.line : ink.quiet;
      pen.globalAlpha = step === 5 ? 0.55 : 1;
      draw(place(number));
    }
    pen.globalAlpha = 1;
  };
  const [width, height] = [columns * wide, rows * high];
  lines(
    columns,
    wide,
    (n) => (fromRight ? x + width - n * wide : x + n * wide),
    (at) => pen.fillRect(at, y, 1, height + 1),
  );
  lines(
    rows,
    high,
    (n) => (fromBottom ? y + height - n * high : y + n * high),
    (at) => pen.fillRect(x, at, width + 1, 1),
  );
}

function bandGrid(pen, { draft, at, inks: ink }, seen, band) {
  if (at.cell < 5 * at.unit) return;
  const [from, to] = seen;
  for (let thread = from; thread <= to; thread++) {
    const step = thread % 10 === 0 ? 10 : thread % 5 === 0 ? 5 : 1;
    pen.fillStyle = step === 1 ? ink.line : ink.quiet;
    pen.globalAlpha = step === 5 ? 0.55 : 1;
    if (band === "ends") {
      const x = endX(at, draft, thread) + (at.end1Right ? at.cell : 0);
      pen.fillRect(x, at.threading.y, 1, at.threading.height);
    } else pen.fillRect(at.side.x, pickY(at, thread), at.side.width, 1);
  }
  pen.globalAlpha = 1;
}

function numeral(pen, { inks: ink }, x, y, wide, high, number) {
  const size = Math.floor(Math.min(high * 0.78, wide * (number < 10 ? 1 : 0.74)));
  pen.font = `600 ${size}px ${ink.sans}`;
  pen.fillStyle = ink.ink;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText(String(number), x + (wide + 1) / 2, y + high / 2 + size * 0.06);
}

/** Whether numbers are turned on and fit into cells of this size. */
function isNumbered({ at, look }, wide, high) {
  return look.numbers && wide >= 11 * at.unit && high >= 11 * at.unit;
}

/** Cells of a band: with their numbers, or, many and small, stamped as pixels. `each` calls with x, y, number. */
function cells(pen, scene, box, wide, high, each) {
  const { inks: ink } = scene;
  if (isNumbered(scene, wide, high)) {
    each((x, y, number) => {
      pen.fillStyle = ink.woad;
      pen.globalAlpha = 0.22;
      pen.fillRect(x, y, wide, high);
      pen.globalAlpha = 1;
      numeral(pen, scene, x, y, wide, high, number);
    });
    return;
  }
  if (box.width < 1 || box.height < 1) return;
  const image = new ImageData(box.width, box.height);
  const pixels = new Uint32Array(image.data.buffer).fill(pixel(ink.sheet));
  const color = pixel(ink.woad);
  each((x, y) => {
    const left = Math.max(0, x - box.x);
    const right = Math.min(box.width, x - box.x + wide);
    const bottom = Math.min(box.height, y - box.y + high);
    if (left >= right) return;
    for (let row = Math.max(0, y - box.y); row < bottom; row++) {
      pixels.fill(color, row * box.width + left, row * box.width + right);
    }
  });
  pen.putImageData(image, box.x, box.y);
}

function threading(pen, scene, { ends }) {
  const { draft, at, inks: ink } = scene;
  const box = clothBox(at);
  const band = { x: box.x, y: at.threading.y, width: box.width, height: at.threading.height };
  within(pen, { ...band, width: box.width + 1 }, () => {
    cells(pen, scene, band, Math.max(1, at.cell), at.rowHeight, (draw) => {
      for (let end = ends[0]; end < ends[1]; end++) {
        const shaft = draft.threading[end];
        if (shaft) draw(endX(at, draft, end), shaftY(at, draft, shaft), shaft);
      }
    });
    if (scene.look.marks.empty) {
      for (let end = ends[0]; end < ends[1]; end++) {
        if (draft.threading[end]) continue;
        emptyThread(pen, scene, {
          x: endX(at, draft, end),
          y: band.y,
          width: Math.max(1, at.cell),
          height: band.height,
        });
      }
    }
    bandGrid(pen, scene, ends, "ends");
    if (at.rowHeight >= 5 * at.unit) {
      grid(pen, ink, {
        x: box.x,
        y: at.threading.y,
        rows: draft.shafts,
        columns: 1,
        wide: box.width,
        high: at.rowHeight,
        fromBottom: at.shaft1Below,
        unit: at.unit,
      });
    }
  });
  frame(pen, ink, band);
}

function side(pen, scene, { picks }) {
  const { draft, at, inks: ink } = scene;
  const columns = columnsOf(draft);
  const height = clothBox(at).height;
  const band = { x: at.side.x, y: at.side.y, width: at.side.width, height };
  within(pen, { ...band, height: height + 1 }, () => {
    cells(pen, scene, band, at.columnWidth, Math.max(1, at.cell), (draw) => {
      for (let pick = picks[0]; pick < picks[1]; pick++) {
        for (let column = 0; column < columns; column++) {
          if (draft.side[pick * columns + column]) draw(columnX(at, column + 1), pickY(at, pick), column + 1);
        }
      }
    });
    if (scene.look.marks.empty) {
      for (let pick = picks[0]; pick < picks[1]; pick++) {
        if (draft.side.subarray(pick * columns, (pick + 1) * columns).includes(1)) continue;
        emptyThread(pen, scene, {
          x: band.x,
          y: pickY(at, pick),
          width: band.width,
          height: Math.max(1, at.cell),
        });
      }
    }
    bandGrid(pen, scene, picks, "picks");
    if (at.columnWidth >= 5 * at.unit) {
      grid(pen, ink, {
        x: at.side.x,
        y: at.side.y,
        rows: 1,
        columns,
        wide: at.columnWidth,
        high: height,
        unit: at.unit,
      });
    }
  });
  frame(pen, ink, band);
}

function tieup(pen, scene) {
  const { draft, at, inks: ink } = scene;
  const { x, y } = at.tieup;
  grid(pen, ink, {
    x,
    y,
    rows: draft.shafts,
    columns: draft.treadles,
    wide: at.columnWidth,
    high: at.rowHeight,
    fromBottom: at.shaft1Below,
    unit: at.unit,
  });
  frame(pen, ink, at.tieup);
  pen.strokeStyle = draft.rising ? ink.woad : ink.madder;
  pen.fillStyle = pen.strokeStyle;
  const size = Math.min(at.columnWidth, at.rowHeight);
  pen.lineWidth = Math.max(1, size * 0.13);
  for (let shaft = 1; shaft <= draft.shafts; shaft++) {
    for (let treadle = 1; treadle <= draft.treadles; treadle++) {
      if (!draft.tieup[(shaft - 1) * draft.treadles + treadle - 1]) continue;
      const left = columnX(at, treadle);
      const above = shaftY(at, draft, shaft);
      if (size < 6 * at.unit) pen.fillRect(left, above, at.columnWidth, at.rowHeight);
      else if (draft.rising) {
        pen.beginPath();
        pen.arc(left + (at.columnWidth + 1) / 2, above + (at.rowHeight + 1) / 2, size * 0.29, 0, 7);
        pen.stroke();
      } else {
        const [cx, cy, r] = [left + (at.columnWidth + 1) / 2, above + (at.rowHeight + 1) / 2, size * 0.26];
        pen.beginPath();
        pen.moveTo(cx - r, cy - r);
        pen.lineTo(cx + r, cy + r);
        pen.moveTo(cx + r, cy - r);
        pen.lineTo(cx - r, cy + r);
        pen.stroke();
      }
    }
  }
}

/** Threads of one color side by side are one box. */
function bars(pen, { draft, at, inks: ink }, seen) {
  const box = clothBox(at);
  const size = Math.max(1, Math.ceil(at.cell));
  const runs = (colors, [from, to], draw) => {
    for (let first = from; first < to; ) {
      let last = first;
      while (last + 1 < to && colors[last + 1] === colors[first]) last++;
      pen.fillStyle = draft.palette[colors[first] - 1];
      draw(first, last);
      first = last + 1;
    }
  };
  within(pen, { x: box.x, y: at.warp.y, width: box.width, height: at.bar }, () => {
    runs(draft.warp, seen.ends, (first, last) => {
      const [one, other] = [endX(at, draft, first), endX(at, draft, last)];
      pen.fillRect(Math.min(one, other), at.warp.y, Math.abs(other - one) + size, at.bar);
    });
  });
  frame(pen, ink, { x: box.x, y: at.warp.y, width: box.width, height: at.bar });
  within(pen, { x: at.weft.x, y: box.y, width: at.bar, height: box.height }, () => {
    runs(draft.weft, seen.picks, (first, last) => {
      const y = pickY(at, first);
      pen.fillRect(at.weft.x, y, at.bar, pickY(at, last) - y + size);
    });
  });
  frame(pen, ink, { x: at.weft.x, y: box.y, width: at.bar, height: box.height });
}

function rulers(pen, { draft, at, inks: ink }, seen) {
  const size = Math.round(11 * at.unit);
  pen.font = `${size}px ${ink.sans}`;
  pen.fillStyle = ink.quiet;
  pen.textBaseline = "middle";
  const numbered = (count, room, draw, [from, to]) => {
    const step = STEPS.find((each) => each * at.cell >= room) ?? STEPS.at(-1);
    if (from === 0 && (step - 1) * at.cell >= room) draw(1);
    for (
      let number = Math.max(step, Math.ceil((from + 1) / step) * step);
      number <= Math.min(count, to);
      number += step
    )
      draw(number);
  };
  const box = clothBox(at);
  const wide = pen.measureText(String(draft.ends)).width;
  pen.textAlign = "center";
  numbered(
    draft.ends,
    wide + 8 * at.unit,
    (end) => {
      const middle = endX(at, draft, end - 1) + at.cell / 2;
      const half = pen.measureText(String(end)).width / 2;
      const x = Math.max(box.x + half, Math.min(middle, box.x + box.width - half));
      pen.fillText(String(end), x, at.ruler / 2);
    },
    seen.ends,
  );
  pen.textAlign = at.end1Right ? "left" : "right";
  const beside = at.end1Right ? at.weft.x + at.bar + 4 * at.unit : at.weft.x - 4 * at.unit;
  numbered(
    draft.picks,
    size * 1.3,
    (pick) => {
      const y = Math.min(pickY(at, pick - 1) + at.cell / 2, box.y + box.height - size / 2);
      pen.fillText(String(pick), beside, Math.max(box.y + size / 2, y));
    },
    seen.picks,
  );
  const room = Math.max(1, Math.ceil((size * 1.05) / at.rowHeight));
  for (let shaft = room; shaft <= draft.shafts; shaft += room) {
    pen.fillText(
      String(shaft),
      draft.tieup ? beside : besideThreading(at),
      shaftY(at, draft, shaft) + at.rowHeight / 2 + 1,
    );
  }
  const across = Math.max(1, Math.ceil((pen.measureText("00").width + 2 * at.unit) / at.columnWidth));
  pen.textAlign = "center";
  for (let column = across; column <= columnsOf(draft); column += across) {
    const above = draft.tieup ? at.tieup.y - 8 * at.unit : at.side.y - 7 * at.unit;
    pen.fillText(String(column), columnX(at, column) + at.columnWidth / 2, above);
  }
}

function besideThreading(at) {
  return at.end1Right ? at.side.x - 4 * at.unit : at.cloth.x - 4 * at.unit;
}

/** The run that is selected: a wash over its band and color bar, a line on both sides through the cloth. */
function chosen(pen, { draft, at, run, inks: ink }) {
  if (!run) return;
  const box = clothBox(at);
  pen.lineWidth = Math.max(1.5, 1.5 * at.unit);
  const boxes = [];
  if (run.side === "warp") {
    const one = endX(at, draft, run.first - 1);
    const other = endX(at, draft, run.last - 1);
    const x = Math.min(one, other);
    const width = Math.abs(one - other) + Math.max(1, at.cell);
    boxes.push({
      x,
      y: at.warp.y - 2,
      width,
      height: at.threading.y + at.threading.height - at.warp.y + 4,
      full: true,
    });
    boxes.push({ x, y: box.y, width, height: box.height });
  } else {
    const y = pickY(at, run.first - 1);
    const height = pickY(at, run.last - 1) - y + Math.max(1, at.cell);
    const x = Math.min(at.side.x, at.weft.x) - 2;
    boxes.push({ x, y, width: at.side.width + at.bar + 3 * at.unit + 4, height, full: true });
    boxes.push({ x: box.x, y, width: box.width, height });
  }
  const sheet = { x: Math.min(box.x, at.weft.x, at.side.x) - 3, y: 0, width: at.width, height: at.height };
  const clip =
    run.side === "warp"
      ? { ...sheet, x: box.x - 1, width: box.width + 2 }
      : { ...sheet, y: box.y - 1, height: box.height + 2 };
  within(pen, clip, () => {
    for (const each of boxes) {
      pen.strokeStyle = ink.woad;
      pen.fillStyle = ink.woad;
      pen.globalAlpha = each.full ? 0.14 : 0.07;
      pen.fillRect(each.x, each.y, each.width, each.height);
      pen.globalAlpha = 1;
      pen.strokeRect(each.x, each.y, each.width, each.height);
    }
  });
}

/** The cursor: ink with a rim of paper, so that it is seen on any color. */
function caret(pen, { draft, at, caret: place, focused, inks: ink }) {
  const size = Math.max(at.cell, 5 * at.unit);
  const x = endX(at, draft, place.end - 1);
  const y = pickY(at, place.pick - 1);
  const boxes = {
    threading: () => [x, shaftY(at, draft, place.shaft), size, at.rowHeight],
    warp: () => [x, at.warp.y, size, at.bar],
    side: () => [columnX(at, place.column), y, at.columnWidth, size],
    weft: () => [at.weft.x, y, at.bar, size],
    tieup: () => [columnX(at, place.column), shaftY(at, draft, place.shaft), at.columnWidth, at.rowHeight],
    cloth: () => [x, y, size, size],
  };
  const [left, above, width, height] = boxes[place.part]();
  const out = Math.max(1, at.unit);
  for (const [color, grow] of [
    [ink.sheet, 2.5 * out],
    [focused ? ink.weld : ink.quiet, out],
  ]) {
    pen.strokeStyle = color;
    pen.lineWidth = 2 * out;
    pen.strokeRect(left - grow + 0.5, above - grow + 0.5, width + 2 * grow, height + 2 * grow);
  }
}
