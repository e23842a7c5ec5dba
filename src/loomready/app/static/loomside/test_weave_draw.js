// Pictures of a test weave: the planned web at its width on the loom, the cloth beside a slip, and its floats.

const SVG = "http://www.w3.org/2000/svg";
const PICK_PX = 12;
const AROUND = 8; // ends shown on each side of a slip
const CLOTH_PICKS = 16;

function part(tag, kind, values) {
  const made = document.createElementNS(SVG, tag);
  if (kind) made.setAttribute("class", kind);
  for (const [name, value] of Object.entries(values)) made.setAttribute(name, String(value));
  return made;
}

const rect = (kind, x, y, width, height) => part("rect", kind, { x, y, width, height });

/** Stretches of true places: first and one past the last, from 0. */
function runs(count, is) {
  const found = [];
  for (let at = 0; at < count; at++) {
    if (!is(at)) continue;
    const start = at;
    while (at + 1 < count && is(at + 1)) at += 1;
    found.push([start, at + 1]);
  }
  return found;
}

/**
 * The planned test web as wide as in the reed, pick 1 at the bottom, with what was looked at and the slips.
 * @param {import("./test_weave_marks.js").Marks} marks @param {any[]} slips @param {number} first end of those shown large
 * @param {number} size of these @param {boolean} flip end 1 lies at the right
 */
export function testWeb(marks, slips, first, size, flip) {
  const { ends, picks, job } = marks;
  const left = (end, width = 1) => (flip ? ends - end - width : end);
  const svg = part("svg", "testweb", {
    viewBox: `0 0 ${ends} ${picks.length + 1}`,
    preserveAspectRatio: "none",
    width: `${job.width_mm}mm`,
    height: (picks.length + 1) * PICK_PX,
  });
  const path = picks.flatMap((_, pick) =>
    runs(ends, (end) => marks.planned(pick, end)).map(
      ([start, stop]) =>
        `M${left(start, stop - start)} ${picks.length - 1 - pick}h${stop - start}v1h${start - stop}z`,
    ),
  );
  svg.append(rect("weft", 0, 0, ends, picks.length), part("path", "warp", { d: path.join("") }));
  for (const [start, stop] of runs(ends, (end) => marks.looked(end))) {
    svg.append(rect("looked", left(start, stop - start), picks.length + 0.3, stop - start, 0.5));
  }
  for (const { end } of slips)
    if (end) svg.append(rect("slip", left(Math.min(end, ends) - 1), 0, 1, picks.length));
  svg.append(rect("here", left(first - 1, size), 0, size, picks.length));
  return svg;
}

/** A patch of the draft's cloth around an end (from 1), dark where the warp is on top. */
export function patch(job, threading, end, flip) {
  const from = Math.max(end - 1 - AROUND, 0);
  const on = threading.slice(from, Math.min(end + AROUND, threading.length));
  const svg = part("svg", "patch", { viewBox: `0 0 ${on.length} ${CLOTH_PICKS}`, "aria-hidden": "true" });
  svg.append(rect("weft", 0, 0, on.length, CLOTH_PICKS));
  for (let pick = 0; pick < CLOTH_PICKS; pick++) {
    const lift = job.weave[pick % job.weave.length];
    on.forEach((shaft, at) => {
      if (lift[shaft] === "1")
        svg.append(rect("warp", flip ? on.length - 1 - at : at, CLOTH_PICKS - 1 - pick, 1.02, 1.02));
    });
  }
  return svg;
}

/**
 * Longest warp and weft float of the draft's cloth in this threading, as a continuous repeat; null: without end.
 * @param {string[]} weave a text of 0 and 1 for each pick @param {number[]} threading shafts from 0
 */
export function floatsOf(weave, threading) {
  const threaded = threading.filter((shaft) => shaft < (weave[0]?.length ?? 0));
  if (!threaded.length || !weave.length) return { warp: null, weft: null };
  const warp = [...new Set(threaded)].map((shaft) => longest(weave.map((lift) => lift[shaft])));
  const weft = [...new Set(weave)].map((lift) => longest(threaded.map((shaft) => lift[shaft])));
  const most = (all) => (all.includes(null) ? null : Math.max(...all));
  return { warp: most(warp), weft: most(weft) };
}

/** The longest run of equal signs, around the end; null: all are equal. */
function longest(signs) {
  const start = signs.findIndex((sign, at) => sign !== signs.at(at - 1));
  if (start < 0) return null;
  let [most, run] = [0, 0];
  for (let step = 0; step < signs.length; step++) {
    const at = (start + step) % signs.length;
    run = step && signs[at] === signs.at(at - 1) ? run + 1 : 1;
    most = Math.max(most, run);
  }
  return most;
}
