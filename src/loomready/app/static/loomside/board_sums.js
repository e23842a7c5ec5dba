// What the board's page works out itself; tests hold it to loomready/app/forms/quantity_input.py and
// loomready/loomside/board/drawing.py.

/** @typedef {{left: number, top: number, width: number, height: number}} Frame mm; the drawing's upper left corner */
/** @typedef {{name: string, x: number, y: number}} Peg mm */

const UNITS = 36; // height or width of a drawing, in letters
const LETTER = 0.62; // width of a letter, in units
const PEG_MM = 12; // drawn radius

const VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞";
const SHARES = [
  1 / 4,
  1 / 2,
  3 / 4,
  1 / 7,
  1 / 9,
  1 / 10,
  1 / 3,
  2 / 3,
  1 / 5,
  2 / 5,
  3 / 5,
  4 / 5,
  1 / 6,
  5 / 6,
  1 / 8,
  3 / 8,
  5 / 8,
  7 / 8,
];
const PART = new RegExp(
  `^\\s*([+-]?)(?:(?:(\\d{1,12})(?:\\s+|-))?(\\d{1,6})\\s?[/⁄]\\s?(\\d{1,6})|(\\d{1,12})?\\s?([${VULGAR}])|(\\d[\\d.,]*|[.,]\\d+))\\s*([^\\s\\d.,+-][^\\d,+-]*)?$`,
);

/**
 * A length as it is typed, in mm; null where it is none, or may mean two things ("1,250").
 * @param {string} text @param {number} bare mm of a number without a unit @param {Record<string, number>} units mm of each
 * @returns {number | null}
 */
export function millimeters(text, bare, units) {
  const match = text.length <= 60 ? PART.exec(text) : null;
  if (!match) return null;
  const [, sign, whole, over, under, ahead, vulgar, number, name] = match;
  const size = name === undefined ? bare : known(name.trim(), units);
  let value = null;
  if (over !== undefined) value = Number(under) ? Number(whole ?? 0) + Number(over) / Number(under) : null;
  else if (vulgar !== undefined) value = Number(ahead ?? 0) + (SHARES[VULGAR.indexOf(vulgar)] ?? 0);
  else value = withPoint(number ?? "");
  return value === null || size === null ? null : (sign === "-" ? -value : value) * size;
}

/** @param {string} name @param {Record<string, number>} units @returns {number | null} */
function known(name, units) {
  const bare = name.replace(/\.+$/, "");
  for (const each of [name, name.toLowerCase(), bare, bare.toLowerCase()]) {
    if (Object.hasOwn(units, each)) return units[each] ?? null;
  }
  return null;
}

/** A number with its decimal comma or point; null where a comma may stand for thousands. @param {string} text */
function withPoint(text) {
  if (/^\d+\.?$|^\d*\.\d+$/.test(text)) return Number(text);
  if (/^[1-9]\d{0,2},\d{3}$/.test(text)) return null;
  if (/^\d*,\d+$/.test(text)) return Number(`0${text.replace(",", ".")}`);
  return null;
}

/** @param {number} mm @param {string} unit @param {Record<string, number>} units mm of each */
export const written = (mm, unit, units) => `${Number((mm / (units[unit] ?? 1)).toFixed(3))} ${unit}`;

/**
 * Space for the pegs and for their names outside them.
 * @param {Peg[]} pegs two or more @param {{least: number, share: number}} around space around the pegs: mm, share of the board
 * @returns {Frame}
 */
export function frameOf(pegs, around) {
  const [xs, ys] = [pegs.map((peg) => peg.x), pegs.map((peg) => peg.y)];
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const [wide, tall] = [right - left, high - low];
  const edge = Math.max(around.least, Math.max(wide, tall) * around.share);
  // The names are a share of the whole drawing, which they make wider.
  const share = (2 * Math.max(...pegs.map((peg) => [...peg.name].length)) * LETTER) / UNITS;
  const beside = Math.max(edge, (Math.max(tall, wide / Math.max(0.4, 1 - share)) * share) / 2 + edge / 2);
  return { left: left - beside, top: high + edge, width: wide + 2 * beside, height: tall + 2 * edge };
}

/** The size from which letters and lines are sized. @param {Frame} frame */
export const unitOf = (frame) => Math.max(frame.width, frame.height) / UNITS;

/** The radius of a drawn peg. @param {Frame} frame */
export const radiusOf = (frame) => Math.max(PEG_MM, unitOf(frame) * 0.5);

/**
 * Where each name goes: beside pegs at the sides, above or below the others, farther away if need be.
 * @param {Peg[]} pegs in the order of the board @param {Frame} frame
 * @returns {{x: number, y: number, anchor: string}[]} for each peg
 */
export function spotsOf(pegs, frame) {
  const xs = pegs.map((peg) => peg.x);
  const [least, most] = [Math.min(...xs), Math.max(...xs)];
  const aside = 0.02 * (most - least);
  const lowest = Math.min(...pegs.map((peg) => peg.y));
  const unit = unitOf(frame);
  const radius = radiusOf(frame);
  /** @type {Map<Peg, {x: number, y: number, anchor: string}>} */
  const found = new Map();
  /** @type {{left: number, right: number, at: number}[]} */
  const taken = [];
  /** @param {number} left @param {number} right @param {number} height whether a name lies there */
  const over = (left, right, height) =>
    taken.some((each) => left < each.right && each.left < right && Math.abs(height - each.at) < unit);
  for (const peg of [...pegs].sort((a, b) => b.y - a.y || a.x - b.x)) {
    const [x, y] = [peg.x - frame.left, frame.top - peg.y];
    const wide = [...peg.name].length * LETTER * unit;
    const side = most > least ? Number(peg.x >= most - aside) - Number(peg.x <= least + aside) : 0;
    let near = x + side * (radius + unit * 0.5);
    let height = y + unit * 0.35;
    let [left, right] = [Math.min(near, near + side * wide), Math.max(near, near + side * wide)];
    let anchor = side < 0 ? "end" : "start";
    if (!side || over(left, right, height)) {
      [near, left, right, anchor] = [x, x - wide / 2, x + wide / 2, "middle"];
      const below = peg.y <= lowest + 0.1 * frame.height;
      height = below ? y + radius + unit * 1.2 : y - radius - unit * 0.45;
      while (over(left, right, height)) height += unit * (below ? 1.15 : -1.15);
    }
    taken.push({ left, right, at: height });
    found.set(peg, { x: near, y: height, anchor });
  }
  return pegs.map((peg) => found.get(peg) ?? { x: 0, y: 0, anchor: "middle" });
}
