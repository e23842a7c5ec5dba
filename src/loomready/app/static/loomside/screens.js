// The screens of a job, one for each step, in the order of work.

/**
 * @typedef {{kind: string, first: number, last: number, step?: any, group?: any, back?: boolean, round?: number,
 *   pick?: number}} Screen first and last are 0 where nothing is done by going on.
 */

/**
 * The screens of a job.
 * @param {string} name @param {any} job @param {"first" | "far" | "middle"} from where work begins
 * @returns {{count: number, at: (place: number) => Screen, find: (unit: number) => number}}
 */
export function screensOf(name, job, from) {
  if (name === "weaving") return woven(job);
  const made = [{ kind: "ready", first: 0, last: 0 }];
  const lay = { threading: threaded, tying: tied, "test-weave": tested }[name] ?? plain;
  made.push(...lay(name, job, from));
  return {
    count: made.length,
    at: (place) => made[place],
    find: (unit) => made.findIndex((each) => each.first && each.first <= unit && unit <= each.last),
  };
}

/** @returns {{count: number, at: (place: number) => Screen, find: (unit: number) => number}} */
function woven(job) {
  const ready = { kind: "ready", first: 0, last: 0 };
  return {
    count: job.units + 1,
    at: (place) => (place ? { kind: "weaving", first: place, last: place, pick: place } : ready),
    find: (unit) => unit,
  };
}

function plain(name, job, from) {
  const steps = job.steps.map((step) => ({ kind: name, first: step.first, last: step.last, step }));
  if (from === "first") return steps;
  if (from === "far") return steps.reverse().map((each) => ({ ...each, back: true }));
  // From the middle: toward end 1 first, then from the middle to the far side.
  const middle = steps.findIndex((each) => each.last * 2 > job.units);
  const toward = steps
    .slice(0, middle + 1)
    .reverse()
    .map((each) => ({ ...each, back: true }));
  return [...toward, ...steps.slice(middle + 1)];
}

function threaded(name, job, from) {
  const back = from === "far";
  const made = [];
  const numbers = job.groups.map((_, number) => number);
  if (back) numbers.reverse();
  for (const number of numbers) {
    const parts = job.steps.filter((step) => step.group === number);
    if (back) parts.reverse();
    const group = { ...job.groups[number], number, parts };
    // The holes of a rigid heddle need no counting out.
    const counted = !Object.keys(job.named ?? {}).length;
    if (counted && parts.some((step) => step.shafts.some(Boolean))) {
      made.push({ kind: "take", first: 0, last: 0, group, back });
    }
    for (const step of parts)
      made.push({ kind: name, first: step.first, last: step.last, step, group, back });
  }
  return made;
}

function tied(name, job) {
  const made = [];
  for (let round = 0; round * job.ends < job.units; round++) {
    for (const step of job.steps) {
      const [first, last] = [step.first + round * job.ends, step.last + round * job.ends];
      made.push({ kind: name, first, last, step, round: round + 1 });
    }
  }
  return made;
}

/** The picks to weave, then the cloth to look at until the whole web is right. */
function tested(_name, job) {
  return [
    { kind: "picks", first: 0, last: 0 },
    { kind: "find", first: 1, last: job.units },
  ];
}

/** The stretch that a pick belongs to, and its place in the repeat. */
export function pickOf(job, pick) {
  const stretch = job.stretches.find((each) => pick <= each.last) ?? job.stretches.at(-1);
  const at = (pick - stretch.first) % stretch.repeat.length;
  const shed = stretch.repeat[at];
  return {
    stretch,
    at,
    shed: stretch.colors.length ? { ...shed, yarn: yarnIn(stretch.colors, pick - stretch.first) } : shed,
  };
}

/**
 * The yarn of a pick in weft stripes that go on as a continuous repeat.
 * @param {[string, number][]} colors yarn and picks of each stripe
 * @param {number} place of the pick, from 0
 */
function yarnIn(colors, place) {
  let left = place % colors.reduce((sum, [, count]) => sum + count, 0);
  for (const [yarn, count] of colors) {
    if (left < count) return yarn;
    left -= count;
  }
  return "";
}

/** The yarn of each pick of a stretch until they begin again. */
export function yarnsOf(stretch) {
  return stretch.colors.length
    ? stretch.colors.flatMap(([key, count]) => Array(count).fill(key))
    : stretch.repeat.map((pick) => pick.yarn);
}

/** How many ends each shaft holds among those that have this value in `done`. */
export function onShafts(job, done, value) {
  const found = new Map(job.used.map((shaft) => [shaft, 0]));
  for (const step of job.steps) {
    step.shafts.forEach((shaft, at) => {
      if (shaft && done[step.first - 1 + at] === value) found.set(shaft, found.get(shaft) + 1);
    });
  }
  return found;
}
