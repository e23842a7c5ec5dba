// The cheapest way to mend what was found, as in loomready/slips/mending_options.py and mending.py.
import { fill } from "./draw.js";

const BEST = 3; // sets of actions that are told
const MOST_TOGETHER = 40; // slips in a stretch that reaches no edge
const MOST_DENTS = 6; // wrong dents beside slips in heddles that are tried in every way
const SLEYING = ["empty dent", "crowded dent"];

/**
 * @typedef {{do: string, ends: [number, number], minutes: number, slips: number[], needs: {repairs: number[], spare: number[],
 *   moves: [number, number, number][], new: number[]}}} Action `new`: the end of each new end
 */

/**
 * The cheapest sets of actions, cheapest first.
 * @param {any[]} slips @param {{ends: number, picks: number, spare: [number, number][] | null, rates: Record<string, number>,
 *   sentences: Record<string, string>, pressed?: number[][]}} of
 * @returns {{actions: Action[], minutes: number, proved: boolean}[]}
 */
export function mend(slips, of) {
  if (!slips.length) return [];
  const task = { ...of, slips, say: (name, blanks) => fillPlain(of.sentences[name], blanks) };
  const order = slips
    .map((_, place) => place)
    .filter((place) => slips[place].end !== null)
    .sort((a, b) => slips[a].end - slips[b].end);
  const dents = order.filter((place) => SLEYING.includes(slips[place].kind));
  const apart = dents.length <= MOST_DENTS || dents.length === order.length;
  let best = bestWithDents(task, order, apart ? dents : []);
  for (const ways of ofLifts(task)) {
    best = cheapest(
      best.flatMap(([minutes, actions]) =>
        ways.map((way) => [minutes + way.reduce((sum, each) => sum + each.minutes, 0), [...actions, ...way]]),
      ),
    );
  }
  return best.map(([minutes, actions]) => ({
    actions,
    minutes,
    proved: apart && order.length <= MOST_TOGETHER,
  }));
}

/** Numbers as they are: the engine writes no thousands in these sentences. */
const fillPlain = (text, blanks) =>
  fill(text, Object.fromEntries(Object.entries(blanks).map(([name, value]) => [name, String(value)])));

/** The cheapest sets, each once. */
function cheapest(sets) {
  const found = new Map();
  for (const each of sets.sort((a, b) => a[0] - b[0] || a[1].length - b[1].length)) {
    const named = JSON.stringify(each[1].map((action) => [action.do, action.slips]).sort(byFirstSlip));
    if (!found.has(named)) found.set(named, each);
  }
  return [...found.values()].slice(0, BEST);
}

const byFirstSlip = (a, b) => a[1][0] - b[1][0];

/** Each choice of so many of these, in order. */
function choices(places, number) {
  if (!number) return [[]];
  return places.flatMap((place, at) =>
    choices(places.slice(at + 1), number - 1).map((more) => [place, ...more]),
  );
}

/** The best sets, whichever of these dents are sleyed again apart from what is done in the heddles. */
function bestWithDents(task, order, dents) {
  let best = bestFor(task, order);
  if (dents.length === order.length) return best;
  for (let number = 1; number <= dents.length; number++) {
    for (const some of choices(dents, number)) {
      const heddles = bestFor(
        task,
        order.filter((place) => !some.includes(place)),
      );
      const again = bestFor(task, some);
      best = cheapest([...best, ...heddles.flatMap((one) => again.map((other) => both(one, other)))]);
    }
  }
  return best;
}

function both([minutes, actions], [more, others]) {
  const key = (action) => [...action.ends, ...action.slips];
  return [minutes + more, [...actions, ...others].sort((a, b) => byNumbers(key(a), key(b)))];
}

function byNumbers(one, other) {
  for (let at = 0; at < Math.min(one.length, other.length); at++)
    if (one[at] !== other[at]) return one[at] - other[at];
  return one.length - other.length;
}

function bestFor(task, order) {
  const rest = Array.from({ length: order.length + 1 }, () => []);
  rest[order.length] = [[0, []]];
  const add = (to, action, stop) => {
    for (const [minutes, more] of rest[stop]) to.push([action.minutes + minutes, [action, ...more]]);
  };
  for (let place = order.length - 1; place >= 0; place--) {
    const sets = [];
    for (const action of alone(task, order[place])) add(sets, action, place + 1);
    for (let stop = place + 2; stop <= Math.min(order.length, place + MOST_TOGETHER); stop++) {
      const between = toOneAnother(task, order.slice(place, stop));
      if (between) add(sets, between, stop);
    }
    add(sets, toEdge(task, order.slice(place), false), order.length);
    rest[place] = cheapest(sets);
  }
  const found = [...rest[0]];
  for (let stop = 1; stop <= order.length; stop++) add(found, toEdge(task, order.slice(0, stop), true), stop);
  return cheapest(found);
}

const NOTHING = { repairs: [], spare: [], moves: [], new: [] };
const action = (text, ends, minutes, slips, needs = {}) => ({
  do: text,
  ends,
  minutes,
  slips,
  needs: { ...NOTHING, ...needs },
});

/** Ways to mend a slip of the threading where it is. */
function alone(task, number) {
  const { rates, say, ends } = task;
  const { kind, end, planned, found } = task.slips[number];
  if (kind === "wrong shaft") {
    const repair = action(
      say("repair", { planned, end }),
      [end, end],
      rates.repair_heddle + rates.rethread,
      [number],
      { repairs: [planned ?? 0] },
    );
    if (!found) return [repair];
    return [
      repair,
      action(
        say("cut", { end, found, planned }),
        [end, end],
        rates.cut_off + rates.repair_heddle + rates.rethread,
        [number],
      ),
    ];
  }
  if (kind === "crossed") {
    return [
      action(say("cross", { end, next: end + 1 }), [end, end + 1], rates.take_out + 2 * rates.rethread, [
        number,
      ]),
    ];
  }
  if (kind === "skipped") {
    return [
      action(
        say("hang", { end, planned }),
        [end, end],
        rates.new_end + rates.repair_heddle + rates.rethread,
        [number],
        { repairs: [planned ?? 0], new: [end] },
      ),
    ];
  }
  if (kind === "round its heddle")
    return [action(say("eye", { end }), [end, end], rates.take_out + rates.rethread, [number])];
  if (SLEYING.includes(kind)) return [sleyed(task, [number], ...toNearerEdge(task, end))];
  const place = Math.min(end, ends);
  const which = end <= ends ? "before" : "after";
  const [first, last] = toNearerEdge(task, place);
  return [
    action(say(`out_${which}`, { end: place }), [place, place], rates.take_out, [number]),
    action(
      say(`close_${which}`, { end: place }),
      [first, last],
      rates.take_out + rates.begin + (last - first + 1) * rates.resley,
      [number],
    ),
  ];
}

/** Rethread from the first of several slips to the last; null: dents do not cancel. */
function toOneAnother(task, numbers) {
  const [first, last] = span(task, numbers);
  const count = (kind) => numbers.filter((number) => task.slips[number].kind === kind).length;
  if (count("empty dent") !== count("crowded dent")) return null;
  if (onlySleying(task, numbers)) return sleyed(task, numbers, first, last);
  const repairs = lacking(task, numbers);
  const missing = count("skipped") - count("extra");
  const skipped = numbers
    .filter((number) => task.slips[number].kind === "skipped")
    .map((number) => task.slips[number].end);
  const steps = [task.say("rethread", { first, last }), ...withRepairs(task, repairs)];
  if (missing) steps.push(counted(task, missing > 0 ? "new" : "out", Math.abs(missing)));
  return action(
    steps.join("; "),
    [first, last],
    rethreading(task, first, last) + more(task, repairs.length, missing),
    numbers,
    {
      repairs,
      new: missing > 0 ? skipped.slice(skipped.length - missing) : [],
    },
  );
}

/** Rethread from the slips to the edge at end 1 or to the other edge. */
function toEdge(task, numbers, atFirst) {
  const [from, to] = span(task, numbers);
  const [start, stop] = atFirst ? [1, to] : [from, task.ends];
  if (onlySleying(task, numbers)) return sleyed(task, numbers, start, stop);
  const heddles = heddlesOf(task, lacking(task, numbers), atFirst ? 0 : 1);
  const count = (kind) => numbers.filter((number) => task.slips[number].kind === kind).length;
  const missing = count("skipped") - count("extra");
  const moved = heddles.moves.reduce((sum, [, , each]) => sum + each, 0);
  const steps = [
    ...heddles.moves.map(([planned, found, each]) => task.say("carry", { count: each, planned, found })),
    task.say("rethread_edge", { first: atFirst ? to : start, last: atFirst ? 1 : task.ends }),
    ...withRepairs(task, heddles.repairs),
  ];
  if (missing) steps.push(counted(task, missing > 0 ? "new_edge" : "out_edge", Math.abs(missing)));
  const minutes =
    rethreading(task, start, stop) + more(task, heddles.repairs.length, missing) + moved * task.rates.carry;
  const hung = Array.from({ length: Math.max(0, missing) }, (_, at) => (atFirst ? at + 1 : task.ends - at));
  return action(steps.join("; "), [start, stop], minutes, numbers, { ...heddles, new: hung });
}

const rethreading = (task, first, last) => task.rates.begin + (last - first + 1) * task.rates.rethread;

const more = ({ rates }, repairs, missing) =>
  repairs * rates.repair_heddle + (missing > 0 ? missing * rates.new_end : -missing * rates.take_out);

const toNearerEdge = (task, end) => (end <= task.ends - end + 1 ? [1, end] : [end, task.ends]);

const sleyed = (task, numbers, first, last) =>
  action(
    task.say("sley", { first, last }),
    [first, last],
    task.rates.begin + (last - first + 1) * task.rates.resley,
    numbers,
  );

const onlySleying = (task, numbers) => numbers.every((number) => SLEYING.includes(task.slips[number].kind));

const counted = (task, name, count) => task.say(count === 1 ? `${name}_one` : name, { count });

const withRepairs = (task, shafts) =>
  shafts.length
    ? [task.say(shafts.length === 1 ? "repairs_one" : "repairs", { shafts: listed(shafts) })]
    : [];

function listed(numbers) {
  const said = [...numbers].sort((a, b) => a - b).map(String);
  return said.length > 1 ? `${said.slice(0, -1).join(", ")} and ${said.at(-1)}` : said.join();
}

/** The first and the last planned end that these slips touch. */
function span(task, numbers) {
  const slips = numbers.map((number) => task.slips[number]);
  const last = Math.max(...slips.map((each) => each.end + Number(each.kind === "crossed")));
  return [Math.min(...slips.map((each) => each.end), task.ends), Math.min(last, task.ends)];
}

/** A shaft for each heddle that a stretch with these slips lacks, once all its heddles are used again. */
function lacking(task, numbers) {
  const left = new Map();
  const add = (shaft, count) => {
    if (shaft) left.set(shaft, (left.get(shaft) ?? 0) + count);
  };
  for (const number of numbers) {
    const { kind, planned, found } = task.slips[number];
    if (kind === "wrong shaft" || kind === "skipped") add(planned, 1);
    if (kind === "wrong shaft" || kind === "extra") add(found, -1);
  }
  return [...left].flatMap(([shaft, count]) => Array(Math.max(0, count)).fill(shaft)).sort((a, b) => a - b);
}

/** Where the heddles of a stretch up to an edge come from: spare ones there, ones carried there, new ones. */
function heddlesOf(task, wanted, side) {
  if (!task.spare) return { spare: wanted, repairs: [], moves: [] };
  const over = new Map(task.spare.map((beside, at) => [at + 1, beside[side]]));
  const take = (shaft) => (over.get(shaft) ?? 0) > 0 && over.set(shaft, over.get(shaft) - 1);
  const spare = wanted.filter((shaft) => take(shaft));
  const left = [...wanted];
  for (const shaft of spare) left.splice(left.indexOf(shaft), 1);
  const moves = new Map();
  const repairs = [];
  for (const shaft of left) {
    const giver = [...over.keys()].reduce(
      (most, each) => (over.get(each) > (over.get(most) ?? 0) ? each : most),
      0,
    );
    if (take(giver)) moves.set(giver * 1000 + shaft, (moves.get(giver * 1000 + shaft) ?? 0) + 1);
    else repairs.push(shaft);
  }
  return {
    spare,
    repairs,
    moves: [...moves]
      .sort((a, b) => a[0] - b[0])
      .map(([name, count]) => [Math.floor(name / 1000), name % 1000, count]),
  };
}

/** What to do about treadles tied or pressed wrong, as in loomready/slips/wrong_lifts.py. */
function ofTreadles(task) {
  const { rates, say, ends, slips } = task;
  const pressed = task.pressed ?? [];
  const picks = new Map();
  pressed.forEach((treadles, pick) => {
    for (const each of treadles) picks.set(each, [...(picks.get(each) ?? []), pick + 1]);
  });
  const name = (pick, { planned, found }) => `${pick} ${planned} ${found}`;
  const lifts = slips
    .map((slip, place) => ({ slip, place }))
    .filter(({ slip }) => slip.kind === "wrong lift" && slip.pick !== null);
  const places = new Set(lifts.map(({ slip }) => name(slip.pick, slip)));
  const tied = new Map();
  const checked = [];
  for (const { slip, place } of lifts) {
    const treadles = pressed[slip.pick - 1] ?? [];
    const agreeing = treadles.filter(
      (each) => picks.get(each).length > 1 && picks.get(each).every((other) => places.has(name(other, slip))),
    );
    const alone = treadles.filter((each) => picks.get(each).length === 1);
    if (agreeing.length) {
      const [most] = [...agreeing].sort((a, b) => picks.get(b).length - picks.get(a).length || a - b);
      const key = name(most, slip);
      tied.set(key, { treadle: most, slip, all: [...(tied.get(key)?.all ?? []), place] });
    } else if (alone.length && !slip.tied) {
      const sentence = slip.planned ? "press_rises" : "press_sinks";
      const blanks = { treadles: listed(alone), shaft: slip.planned ?? slip.found, pick: slip.pick };
      const told = say(alone.length === 1 ? `${sentence}_one` : sentence, blanks);
      checked.push(action(told, [1, ends], rates.retie, [place]));
    }
  }
  const again = [...tied.values()].map(({ treadle, slip, all }) =>
    action(
      say(slip.planned ? "treadle_rises" : "treadle_sinks", {
        treadle,
        shaft: slip.planned ?? slip.found,
        picks: listed(all.map((place) => slips[place].pick)),
      }),
      [1, ends],
      rates.retie,
      all,
    ),
  );
  return [...again, ...checked];
}

/** Ways to mend the wrong lifts, each a set of actions: the web is not touched. */
function ofLifts(task) {
  const { rates, say, ends } = task;
  const whole = [1, ends];
  const byTreadles = ofTreadles(task);
  const mended = new Set(byTreadles.flatMap((each) => each.slips));
  const tied = new Map();
  const single = new Map();
  task.slips.forEach(({ kind, pick, planned, found, tied: is }, number) => {
    if (kind !== "wrong lift" || pick === null || mended.has(number)) return;
    const [map, key] = is ? [tied, `${planned} ${found}`] : [single, pick];
    map.set(key, [...(map.get(key) ?? []), number]);
  });
  const ofTies = [...tied.values()].map((numbers) => {
    const { planned, found } = task.slips[numbers[0]];
    const picks = listed(numbers.map((number) => task.slips[number].pick));
    return [
      [
        action(
          say(planned ? "tie_rises" : "tie_sinks", { picks, shaft: planned ?? found }),
          whole,
          rates.retie,
          numbers,
        ),
      ],
    ];
  });
  const made = [...byTreadles.map((each) => [[each]]), ...ofTies];
  if (!single.size) return made;
  const picks = [...single.keys()].sort((a, b) => b - a);
  const of = (list) => list.flatMap((pick) => single.get(pick)).sort((a, b) => a - b);
  const left = (list) =>
    action(say(list.length === 1 ? "leave_one" : "leave", { picks: listed(list) }), whole, 0, of(list));
  const unwoven = (list) => {
    const count = task.picks - Math.min(...list) + 1;
    return action(
      say(count === 1 ? "unweave_one" : "unweave", { count, pick: Math.min(...list) }),
      whole,
      count * rates.unweave,
      of(list),
    );
  };
  made.push([
    [left(picks)],
    ...picks.map((_, at) => {
      const later = picks.slice(at + 1);
      return [...(later.length ? [left(later)] : []), unwoven(picks.slice(0, at + 1))];
    }),
  ]);
  return made;
}
