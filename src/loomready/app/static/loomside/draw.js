// Each screen as elements for the card, and the words to read aloud.
import { onShafts, pickOf } from "./screens.js";

/**
 * An element with a class, words and children.
 * @template {keyof HTMLElementTagNameMap} Tag @param {Tag} tag @param {string} kind @param {(string | Node)[]} inside
 */
export function make(tag, kind = "", ...inside) {
  const made = document.createElement(tag);
  if (kind) made.className = kind;
  made.append(...inside);
  return made;
}

/** A sentence with its placeholders filled in: {n} and the like. */
export const fill = (text, values = {}) => text.replace(/\{(\w+)\}/g, (_, name) => number(values[name]));
const number = (value) => (typeof value === "number" ? value.toLocaleString("en-US") : String(value ?? ""));

/**
 * @param {any} page the page's data
 * @param {string} name the job
 * @param {import("./screens.js").Screen} screen
 * @param {Uint8Array} done
 * @returns {{place: string, count: string, card: Node[], say: string, short: string}}
 */
export function draw(page, name, screen, done) {
  const job = page.jobs[name];
  const drawn = { card: [], say: "", place: "", count: "", short: "" };
  const by = { ready, take, winding, sleying, threading, beaming, "tying-in": tyingIn, tying, weaving }[
    screen.kind
  ];
  return { ...drawn, ...by(page, job, screen, done) };
}

function ready(page, job) {
  const words = page.words;
  const lines = job.ready.map((line) => make("li", "", line));
  /** @type {HTMLElement[]} */
  const card = [make("ul", "ready", ...lines)];
  if (job.way) card.unshift(wayOver(job.way));
  if (job.care.length) card.push(make("p", "care", `${words.care} ${job.care.join(" ")}`));
  return { place: words.ready, card, say: job.ready.join(" "), short: words.ready };
}

/** The path of the warp over the board, to scale. */
export function wayOver(way) {
  const drawn = new DOMParser().parseFromString(way.svg, "image/svg+xml").documentElement;
  const words = [make("b", "", way.board), make("span", "", way.pegs), make("span", "", way.length)];
  return make("div", "path-over", document.importNode(drawn, true), make("div", "path-words", ...words));
}

/** "ends 9–16 of 361", or one end. */
function endsOf(page, first, last, of) {
  const words = page.words;
  return first === last
    ? fill(words.end_of, { a: first, n: of })
    : fill(words.ends_of, { a: first, b: last, n: of });
}

/** A chip of yarn: its color, letter and name. */
function yarnChip(page, key, text = "") {
  const yarn = page.yarns[key];
  const chip = make("span", "yarnchip", yarn.letter);
  chip.style.background = yarn.color;
  chip.style.color = yarn.ink;
  return make("span", "yarn", chip, ` ${text || yarn.name}`);
}

/** Runs of color as they come to hand, and as bands that show how many ends each has. */
function bands(page, step, back) {
  const patterns = (back ? [...step.runs].reverse() : step.runs).map(([times, runs]) => [
    times,
    back ? [...runs].reverse() : runs,
  ]);
  const band = ([key, count]) => {
    const made = make("div", "run", make("b", "", number(count)), yarnChip(page, key));
    made.style.setProperty("--yarn", page.yarns[key].color);
    return made;
  };
  const size = patterns.reduce((sum, [, runs]) => sum + runs.length, 0);
  const list = make(
    "div",
    `runs${size > 3 ? " many" : ""}`,
    ...patterns.map(([times, runs]) =>
      times > 1
        ? make(
            "div",
            "pattern",
            make("b", "times", `${number(times)} ×`),
            make("div", "runs", ...runs.map(band)),
          )
        : make("div", "runs", ...runs.map(band)),
    ),
  );
  return { patterns, list };
}

function tyingIn(page, job, { step, back }) {
  const words = page.words;
  const { patterns, list } = bands(page, step, back);
  const to = step.old_first ? fill(words.to_old, { a: step.old_first, b: step.old_last }) : words.no_old;
  return {
    place: fill(words.knots_of, { a: step.first, b: step.last, n: job.units }),
    count: endsOf(page, step.first, step.last, job.units),
    card: [list, make("p", "strong", to)],
    say: [told(patterns, (key) => ` ${page.yarns[key].name}`, ", ", words.times), to].join(". "),
    short: told(patterns, (key) => ` ${page.yarns[key].letter}`, " · ", "×").slice(0, 60),
  };
}

function winding(page, job, { step, back }) {
  const words = page.words;
  const { patterns, list } = bands(page, step, back);
  const [first, last] = job.bouts[step.bout - 1];
  const given = step.cones.reduce((sum, [, count]) => sum + count, 0);
  const cones = step.cones.map(
    ([cone, count]) => `${fill(words.cone_now, { cone })}${step.cones.length > 1 ? ` (${count})` : ""}`,
  );
  if (words.no_cone && given < step.every) cones.push(words.no_cone);
  const after = nextCone(job, step, words);
  const tie = step.tie ? words.count_tie : step.last === last ? "" : words.no_tie;
  const end = (back ? step.first === first : step.last === last) ? words.bout_end : "";
  const lines = [ofTwo(step, words), tie, end, cones.join(" · "), after].filter(Boolean);
  return {
    place: fill(words.bout_of, { a: step.bout, n: job.bouts.length }),
    count: endsOf(page, step.first, step.last, job.units),
    card: [list, ...lines.map((line) => make("p", line === words.count_tie ? "strong" : "", line))],
    say: [told(patterns, (key) => ` ${page.yarns[key].name}`, ", ", words.times), tie, end]
      .filter(Boolean)
      .join(". "),
    short: told(patterns, (key) => ` ${page.yarns[key].letter}`, " · ", "×").slice(0, 60),
  };
}

/** Which of two warps a step is of, and how long that one is. */
const ofTwo = (step, words) =>
  step.warp ? fill(step.warp === 2 ? words.warp_2 : words.warp_1, { length: step.length }) : "";

/** Runs of color in a line: "2 A · 3 B", patterns that repeat as "7 × (1 A · 1 B)". */
function told(patterns, named, between, times) {
  return patterns
    .map(([again, runs]) => {
      const line = runs.map(([key, count]) => `${count}${named(key)}`).join(between);
      return again > 1 ? `${again} ${times} (${line})` : line;
    })
    .join(between);
}

function nextCone(job, step, words) {
  const here = step.cones.map(([cone]) => cone);
  const following = job.steps
    .find((each) => each.first > step.last)
    ?.cones.find(([cone]) => !here.includes(cone))?.[0];
  return following ? fill(words.cone_next, { cone: following }) : "";
}

/** Figures side by side, in the direction of work. */
function figures(page, cells, screen, columns) {
  return make(
    "div",
    `figures of-${columns}${wide(cells)}${toRight(page, screen) ? "" : " leftward"}`,
    ...cells,
  );
}

/** Figures in one line of text, lying as they do on the card. */
const inLine = (page, figures, screen) => (toRight(page, screen) ? figures : figures.reverse()).join(" · ");

/** Shafts and treadles from 10 on take more room. */
const wide = (cells) =>
  cells.some((cell) => cell.querySelector(".digit").textContent.length > 1) ? " wide" : "";

/** Up to four stand in one line, more in two. */
const columnsFor = (count) => (count > 6 ? 4 : count > 4 ? 3 : count);

/** Whether work goes from left to right on the loom. */
export function toRight(page, screen) {
  if (page.settings?.run === "read") return true;
  return (page.end_1 === "left") !== Boolean(screen.back);
}

function sleying(page, job, screen) {
  const words = page.words;
  const { step, back } = screen;
  const counts = back ? [...step.counts].reverse() : step.counts;
  const cells = counts.map((count) => {
    const cell = make(
      "div",
      `cell dent${count ? "" : " none"}`,
      make("span", "digit", count ? number(count) : "–"),
    );
    cell.append(make("span", "ticks", "❘".repeat(Math.min(count, 6))));
    return cell;
  });
  const last = step.first_dent + step.counts.length - 1;
  const dents =
    last > step.first_dent
      ? fill(words.dents, { a: step.first_dent, b: last })
      : fill(words.dent, { a: step.first_dent });
  const card = [figures(page, cells, screen, columnsFor(counts.length))];
  if (step.floating) card.push(make("p", "strong", words.floating));
  return {
    place: dents,
    count: endsOf(page, step.first, step.last, job.units),
    card,
    say: counts.map((count) => count || words.empty).join(", "),
    short: inLine(
      page,
      counts.map((count) => count || "–"),
      screen,
    ),
  };
}

function take(page, job, { group }, done) {
  const words = page.words;
  const counts = new Map();
  for (const part of group.parts) {
    for (const shaft of part.shafts) if (shaft) counts.set(shaft, (counts.get(shaft) ?? 0) + 1);
  }
  const shafts = [...counts.keys()].sort((a, b) => a - b);
  const cells = shafts.map((shaft) =>
    make(
      "div",
      "cell",
      make("span", "of", shafts.length > 8 ? String(shaft) : fill(words.shaft, { n: shaft })),
      make("span", "digit", number(counts.get(shaft))),
    ),
  );
  const columns = shafts.length > 12 ? 8 : shafts.length > 8 ? 6 : Math.min(4, shafts.length);
  return {
    place: group.place,
    count: endsOf(page, group.first, group.last, job.units),
    card: [
      make("p", "strong", words.take),
      make("div", `figures taking of-${columns}`, ...cells),
      frame(page, job, done),
    ],
    say: `${words.take}. ${shafts.map((shaft) => `${fill(words.shaft, { n: shaft })}: ${counts.get(shaft)}`).join(", ")}`,
    short: group.place,
  };
}

/** What is left to thread on each shaft, to compare with the heddles. */
function frame(page, job, done) {
  const left = onShafts(job, done, 0);
  const most = Math.max(1, ...left.values(), ...onShafts(job, done, 1).values());
  const bars = [...left].map(([shaft, count]) => {
    const bar = make("span", "left-bar");
    bar.style.setProperty("--share", String(count / most));
    return make("div", "left", make("b", "", number(count)), bar, make("span", "", String(shaft)));
  });
  return make(
    "div",
    "frame",
    make("p", "quiet", page.words.left_on),
    make("div", `lefts${bars.length > 8 ? " many" : ""}`, ...bars),
  );
}

/** A shaft as its number; on a rigid heddle loom the hole or slot that the end goes through. */
const threadedIn = (job, shaft) => job.named?.[shaft] ?? String(shaft);

function threading(page, job, screen) {
  const words = page.words;
  const { step, group, back } = screen;
  const pairs = step.shafts.map((shaft, at) => [shaft, job.keys[step.yarns[at]]]);
  if (back) pairs.reverse();
  const several = new Set(job.keys).size > 1;
  const cells = pairs.map(([shaft, key]) => {
    const yarn = page.yarns[key];
    const bar = make("span", "band", several ? yarn.letter : "");
    bar.style.background = yarn.color;
    bar.style.color = yarn.ink;
    return make(
      "div",
      `cell${job.named?.[shaft] ? " word" : ""}`,
      bar,
      make("span", "digit", shaft ? threadedIn(job, shaft) : "–"),
    );
  });
  const card = [figures(page, cells, screen, columnsFor(pairs.length))];
  if (pairs.every(([shaft]) => !shaft)) card.push(make("p", "strong", words.no_heddle));
  let before = "";
  const say = pairs.map(([shaft, key]) => {
    const told = several && key !== before ? `${page.yarns[key].name} ` : "";
    before = key;
    return `${told}${shaft ? threadedIn(job, shaft) : words.no_heddle}`;
  });
  return {
    place: group.place,
    count: endsOf(page, step.first, step.last, job.units),
    card,
    say: say.join(", "),
    short: inLine(
      page,
      pairs.map(([shaft]) => (shaft ? threadedIn(job, shaft) : "–")),
      screen,
    ),
  };
}

function beaming(page, job, { step }) {
  const words = page.words;
  const lines = [fill(words.on_beam, { length: step.to })];
  // Of two warps the steps count for themselves; the second beam is not measured.
  const [at, of] = step.warp ? [step.number, step.of] : [step.first, job.units];
  const turns = job.turns && step.warp !== 2;
  // Without a measured beam the stretches run from choke tie to choke tie, the last one to the end.
  const toTheEnd = !turns && at === of;
  if (!turns && !toTheEnd) lines.unshift(words.untie);
  if (step.sticks) lines.unshift(step.sticks > 1 ? fill(words.sticks, { n: step.sticks }) : words.one_stick);
  else if (turns) lines.unshift(words.paper);
  if (step.warp) lines.unshift(ofTwo(step, words));
  return {
    place: toTheEnd
      ? words.to_the_end
      : fill(turns ? words.turn_of : words.tie_of, { a: at, n: turns ? of : of - 1 }),
    count: step.length ?? job.length,
    card: [make("p", "single digit", String(at)), ...lines.map((line) => make("p", "strong", line))],
    say: `${at}. ${lines.join(". ")}`,
    short: String(at),
  };
}

function tying(page, job, { step, round }) {
  const words = page.words;
  const right = (page.end_1 === "right") === step.toward_end_1;
  const where = fill(words.knot, { n: step.number, side: right ? words.right : words.left });
  const size = step.last - step.first + 1;
  return {
    place: round === 1 ? words.round_1 : words.round_2,
    count: endsOf(page, step.first, step.last, job.ends),
    card: [
      make("p", "single digit", right ? "" : "◂ ", number(step.number), right ? " ▸" : ""),
      make("p", "strong", where),
      make("p", "", `${number(size)} ${size === 1 ? words.end : words.ends}`),
    ],
    say: where,
    short: where,
  };
}

function weaving(page, job, { pick }) {
  const words = page.words;
  const { stretch, at, shed } = pickOf(job, pick);
  const before = pick > 1 ? pickOf(job, pick - 1).shed : null;
  const pressed = shed.treadles ?? shed.up;
  const was = before ? (before.treadles ?? before.up) : [];
  const cells = pressed.map((each) =>
    make("div", `cell${was.includes(each) ? "" : " rises"}`, make("span", "digit", String(each))),
  );
  const rises = shed.up.filter((shaft) => before && !before.up.includes(shaft));
  const sinks = before ? before.up.filter((shaft) => !shed.up.includes(shaft)) : [];
  const change = [
    rises.length ? fill(words.rise, { list: rises.join(" ") }) : "",
    sinks.length ? fill(words.sink, { list: sinks.join(" ") }) : "",
  ]
    .filter(Boolean)
    .join(" · ");
  const label = shed.treadles
    ? pressed.length === 1
      ? words.treadle
      : words.treadles
    : page.kind === "rigid heddle"
      ? words.heddles
      : page.kind === "table"
        ? words.levers
        : words.shafts;
  const yarn = page.yarns[shed.yarn];
  const weft = make("div", "weft", yarnChip(page, shed.yarn));
  weft.style.setProperty("--yarn", yarn.color);
  const piece = job.pieces.find((each) => pick <= each.last) ?? job.pieces.at(-1);
  const closes = piece.border && pick > piece.last - piece.border;
  const border = closes ? words.border_now : stretch.part === "hem" ? words.hem_now : "";
  const first =
    pick === piece.first && piece.before.length
      ? fill(words.before_it, { list: piece.before.join("; ") })
      : "";
  const then =
    pick === job.units && job.after.length ? fill(words.after_it, { list: job.after.join("; ") }) : "";
  const roomy = pressed.length <= 10 && wide(cells);
  const few = pressed.length <= 1 ? 1 : pressed.length <= 4 ? 4 : roomy ? 5 : 6;
  const grid = make("div", `figures of-${few}${wide(cells)}`, ...cells);
  const told_change = before && !rises.length && !sinks.length ? words.as_before : change;
  const lines = [make("p", "strong", shed.up.length ? told_change : words.no_shed)];
  if (shed.heddles) lines.length = 0; // the position of the heddles is enough
  if (shed.feet) lines.push(make("p", "quiet", shed.feet));
  else if (shed.treadles) lines.push(make("p", "quiet", fill(words.shafts_up, { list: shed.up.join(" ") })));
  const size = pick === stretch.first ? fill(words.picks_of_it, { list: stretch.times }) : "";
  const told = [first, size, then].filter(Boolean).map((each) => make("p", "starts", each));
  return {
    place: `${piece.label}${border ? ` · ${border}` : ""}`,
    count: fill(words.pick_of, { a: pick, n: job.units }),
    card: [
      make(
        "p",
        "label",
        `${shed.heddles ? "" : `${label} · `}${fill(words.of_repeat, { a: at + 1, n: stretch.repeat.length })}`,
      ),
      ...told,
      shed.heddles ? make("p", "heddles-stand", shed.heddles) : grid,
      weft,
      ...lines,
    ],
    say: `${first ? `${first}. ` : ""}${shed.heddles || `${label} ${pressed.join(" ") || words.no_shed}`}${before && before.yarn !== shed.yarn ? `, ${yarn.name}` : ""}`,
    short: `${shed.heddles || pressed.join(" ")} ${yarn.letter}`,
  };
}
