// Marks on the cloth: each has its own shape, never only a color.
import { clothBox, endX, pickY } from "./editor_sheet.js";

/** Marks must show on any color of cloth, in light and dark theme: dark with a pale outline. */
const ON_CLOTH = { mark: "#96331f", mirror: "#3f6140", rim: "#fffdf6" };

/** Draw inside a box only. */
export function within(pen, box, draw) {
  pen.save();
  pen.beginPath();
  pen.rect(box.x, box.y, box.width, box.height);
  pen.clip();
  draw();
  pen.restore();
}

/** An end that is not threaded or a pick that opens no shed: its whole length in the band, shaded and dashed. */
export function emptyThread(pen, { at, inks: ink }, box) {
  pen.fillStyle = ink.madder;
  pen.globalAlpha = 0.14;
  pen.fillRect(box.x, box.y, box.width, box.height);
  pen.globalAlpha = 1;
  if (Math.min(box.width, box.height) < 5 * at.unit) return;
  const inset = 1.5 * at.unit;
  pen.strokeStyle = ink.madder;
  pen.lineWidth = 1.2 * at.unit;
  pen.setLineDash([3 * at.unit, 2.5 * at.unit]);
  pen.strokeRect(box.x + inset, box.y + inset, box.width - 2 * inset, box.height - 2 * inset);
  pen.setLineDash([]);
}

/** The narrow strip between bands and cloth: letters of parts, and where mirror lines stand. */
export function paintStrip(pen, { draft, at, look, found, inks: ink }, seen) {
  if (!found) return;
  const middleY = at.cloth.y - at.gap / 2;
  const middleX = at.end1Right ? at.side.x - at.gap / 2 : at.side.x + at.side.width + at.gap / 2;
  const diamond = (x, y) => {
    const r = 3.6 * at.unit;
    pen.beginPath();
    pen.moveTo(x, y - r);
    pen.lineTo(x + r, y);
    pen.lineTo(x, y + r);
    pen.lineTo(x - r, y);
    pen.fill();
  };
  const box = clothBox(at);
  if (look.marks.mirror) {
    pen.fillStyle = ink.sage;
    for (const line of apart(at, found.mirror_ends)) {
      const x = lineX(draft, at, line);
      if (x >= box.x && x <= box.x + box.width) diamond(x, middleY);
    }
    for (const line of apart(at, found.mirror_picks)) {
      const y = lineY(at, line);
      if (y >= box.y && y <= box.y + box.height) diamond(middleX, y);
    }
  }
  if (look.marks.parts && at.cell >= 6 * at.unit) {
    pen.font = `700 ${Math.round(Math.min(10 * at.unit, at.cell))}px ${ink.sans}`;
    pen.fillStyle = ink.madder;
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    found.parts.forEach((part, number) => {
      const letter = String.fromCharCode(65 + number);
      for (const end of part.ends) {
        if (end > seen.ends[0] && end <= seen.ends[1])
          pen.fillText(letter, endX(at, draft, end - 1) + at.cell / 2, middleY);
      }
      for (const pick of part.picks) {
        if (pick > seen.picks[0] && pick <= seen.picks[1])
          pen.fillText(letter, middleX, pickY(at, pick - 1) + at.cell / 2);
      }
    });
  }
}

/** A mirror line in half threads: 2 e lies in thread e (from 0), 2 e + 1 after it. */
function lineX(draft, at, line) {
  const along = ((line + 1) / 2) * at.cell;
  const from = at.cloth.x - at.left;
  return Math.round(at.end1Right ? from + draft.ends * at.cell - along : from + along);
}

function lineY(at, line) {
  return Math.round(at.cloth.y - at.top + ((line + 1) / 2) * at.cell);
}

/** Everything that is marked on the cloth itself. */
export function paintMarks(pen, scene, seen) {
  const { draft, at, look, found } = scene;
  if (!found) return;
  within(pen, clothBox(at), () => {
    if (look.marks.parts && found.parts.length) topPart(pen, scene, seen);
    if (look.marks.floats) floats(pen, scene, seen);
    if (look.marks.loose) loose(pen, scene, seen);
    if (look.marks.mirror) {
      pen.beginPath();
      for (const line of apart(at, found.mirror_ends)) {
        const x = lineX(draft, at, line);
        pen.moveTo(x, at.cloth.y);
        pen.lineTo(x, at.cloth.y + at.cloth.height);
      }
      for (const line of apart(at, found.mirror_picks)) {
        const y = lineY(at, line);
        pen.moveTo(at.cloth.x, y);
        pen.lineTo(at.cloth.x + at.cloth.width, y);
      }
      rimmed(pen, at, ON_CLOTH.mirror, [9, 3, 2, 3]);
    }
    if (look.marks.edges) edges(pen, scene, seen);
  });
}

/** Lines far enough apart to be seen separately; else none. */
function apart(at, lines) {
  return lines.length < 2 || ((lines[1] - lines[0]) / 2) * at.cell >= 9 * at.unit ? lines : [];
}

/** Stroke the path in dark ink with a pale outline, dashed. */
function rimmed(pen, at, color, dashes) {
  pen.setLineDash(dashes.map((dash) => dash * at.unit));
  pen.strokeStyle = ON_CLOTH.rim;
  pen.lineWidth = 3.6 * at.unit;
  pen.stroke();
  pen.strokeStyle = color;
  pen.lineWidth = 1.8 * at.unit;
  pen.stroke();
  pen.setLineDash([]);
}

/** Floats of the face that is looked at: a bar along the thread, with a foot at each end. */
function floats(pen, { draft, at, look, found }, seen) {
  const small = at.cell < 4 * at.unit;
  const thick = Math.max(1, small ? at.cell : at.cell * 0.22);
  const inset = small ? 0 : at.cell * 0.2;
  const path = new Path2D();
  const bar = (x, y, width, height) => path.rect(x, y, Math.max(1, width), Math.max(1, height));
  const cap = small ? 0 : at.cell * 0.6;
  for (const { threads, face, runs } of found.warp) {
    if (face === look.back) continue;
    const shown = threads.filter((end) => end > seen.ends[0] && end <= seen.ends[1]);
    if (!shown.length) continue;
    for (const [first, length] of runs) {
      if (first + length - 1 <= seen.picks[0] || first > seen.picks[1]) continue;
      const [y, high] = [pickY(at, first - 1) + inset, length * at.cell - 2 * inset];
      for (const end of shown) {
        const middle = endX(at, draft, end - 1) + at.cell / 2;
        bar(middle - thick / 2, y, thick, high);
        if (cap) {
          bar(middle - cap / 2, y, cap, thick);
          bar(middle - cap / 2, y + high - thick, cap, thick);
        }
      }
    }
  }
  for (const { threads, face, runs } of found.weft) {
    if (face === look.back) continue;
    const shown = threads.filter((pick) => pick > seen.picks[0] && pick <= seen.picks[1]);
    if (!shown.length) continue;
    for (const [first, length] of runs) {
      if (first + length - 1 <= seen.ends[0] || first > seen.ends[1]) continue;
      const one = endX(at, draft, first - 1);
      const other = endX(at, draft, first + length - 2);
      const [x, wide] = [Math.min(one, other) + inset, length * at.cell - 2 * inset];
      for (const pick of shown) {
        const middle = pickY(at, pick - 1) + at.cell / 2;
        bar(x, middle - thick / 2, wide, thick);
        if (cap) {
          bar(x, middle - cap / 2, thick, cap);
          bar(x + wide - thick, middle - cap / 2, thick, cap);
        }
      }
    }
  }
  if (!small) {
    pen.strokeStyle = ON_CLOTH.rim;
    pen.lineWidth = 2 * at.unit;
    pen.stroke(path);
  }
  pen.fillStyle = ON_CLOTH.mark;
  pen.fill(path);
}

/** A dashed line along each thread that never interlaces. */
function loose(pen, { draft, at, found }, seen) {
  pen.beginPath();
  for (const end of found.loose_ends) {
    if (end <= seen.ends[0] || end > seen.ends[1]) continue;
    const x = endX(at, draft, end - 1) + at.cell / 2;
    pen.moveTo(x, at.cloth.y);
    pen.lineTo(x, at.cloth.y + at.cloth.height);
  }
  for (const pick of found.loose_picks) {
    if (pick <= seen.picks[0] || pick > seen.picks[1]) continue;
    const y = pickY(at, pick - 1) + at.cell / 2;
    pen.moveTo(at.cloth.x, y);
    pen.lineTo(at.cloth.x + at.cloth.width, y);
  }
  rimmed(pen, at, ON_CLOTH.mark, [3, 4]);
}

/** The part that lifts off is veiled: its threads show through a thin wash. */
function topPart(pen, { draft, at, found }, seen) {
  const [top] = found.parts;
  pen.fillStyle = ON_CLOTH.mark;
  pen.globalAlpha = 0.16;
  for (const end of top.ends) {
    if (end > seen.ends[0] && end <= seen.ends[1])
      pen.fillRect(endX(at, draft, end - 1), at.cloth.y, Math.max(1, at.cell), at.cloth.height);
  }
  for (const pick of top.picks) {
    if (pick > seen.picks[0] && pick <= seen.picks[1])
      pen.fillRect(at.cloth.x, pickY(at, pick - 1), at.cloth.width, Math.max(1, at.cell));
  }
  pen.globalAlpha = 1;
}

/** A small loop at the edge, where the weft turns and is not caught. */
function edges(pen, { draft, at, found }, seen) {
  const size = Math.max(3 * at.unit, Math.min(at.cell * 0.9, 9 * at.unit));
  pen.fillStyle = ON_CLOTH.mark;
  const box = clothBox(at);
  for (const { end, picks } of found.edges) {
    const x = endX(at, draft, end - 1);
    if (x + at.cell < box.x || x > box.x + box.width) continue;
    const outer = (end === 1) === at.end1Right ? x + at.cell : x;
    const inward = (end === 1) === at.end1Right ? -1 : 1;
    for (const pick of picks) {
      if (pick < seen.picks[0] || pick > seen.picks[1]) continue;
      const y = pickY(at, pick);
      pen.beginPath();
      pen.moveTo(outer, y - size / 2);
      pen.lineTo(outer + inward * size, y);
      pen.lineTo(outer, y + size / 2);
      pen.closePath();
      pen.strokeStyle = ON_CLOTH.rim;
      pen.lineWidth = 2 * at.unit;
      pen.stroke();
      pen.fill();
    }
  }
}
