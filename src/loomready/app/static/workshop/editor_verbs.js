// Commands on a run of threads, and what a typed number does.
import { columnsOf, lengthOf, MOST } from "./operations.js";
import { SIDE_OF, word } from "./editor_words.js";

/** Operations that put copied threads in at a place, from what they held when they were copied. */
function contents(draft, { side, first, last }) {
  const columns = columnsOf(draft);
  const colors = Array.from(draft[side].subarray(first - 1, last));
  if (side === "warp") return { side, colors, shafts: Array.from(draft.threading.subarray(first - 1, last)) };
  const rows = [];
  for (let pick = first - 1; pick < last; pick++) {
    rows.push([...Array(columns).keys()].map((c) => c + 1).filter((c) => draft.side[pick * columns + c - 1]));
  }
  return { side, colors, rows };
}

export const verbs = {
  copy(editor) {
    const { draft } = editor;
    editor.copied = { ...contents(draft, editor.chosen()), draft, first: editor.chosen().first };
    editor.say(word("copied"));
  },
  /** Cut the run, to be pasted elsewhere. */
  cut(editor) {
    const held = contents(editor.draft, editor.chosen());
    if (verbs.delete(editor)) editor.copied = held;
  },
  put(editor) {
    const { copied } = editor;
    if (!copied) return editor.say(word("nothing_copied"), true);
    const { side } = editor.chosen();
    if (copied.side !== side) {
      return editor.say(word("other_side", { what: word(copied.side === "warp" ? "ends" : "picks") }), true);
    }
    const before = editor.chosen().first;
    const count = copied.colors.length;
    if (copied.draft === editor.draft) {
      // Nothing has changed since: the threads themselves are copied, with everything this page does not
      // hold.
      const { first } = copied;
      if (!editor.do({ do: "copy", side, first, last: first + count - 1, before })) return false;
      editor.copied = { ...copied, draft: editor.draft, first: before <= first ? first + count : first };
      if (before > first && before < first + count) editor.copied.draft = null; // it was pasted into itself
      return chose(editor, side, before, before + count - 1);
    }
    const done =
      editor.do({ do: "insert", side, before, count }) &&
      editor.do(
        side === "warp"
          ? { do: "thread", first: before, shafts: copied.shafts }
          : { do: "treadling", first: before, rows: copied.rows },
      ) &&
      editor.do({ do: "color", side, first: before, colors: copied.colors });
    return done && chose(editor, side, before, before + count - 1);
  },
  mirror(editor, turn = "once") {
    const { side, first, last } = editor.chosen();
    const more = last - first + (turn === "once" ? 0 : 1);
    if (editor.do({ do: "mirror", side, first, last, turn })) chose(editor, side, first, last + more);
  },
  reverse(editor) {
    const run = editor.chosen();
    if (editor.do({ do: "reverse", ...run })) chose(editor, run.side, run.first, run.last);
  },
  slide(editor, by) {
    const run = editor.chosen();
    if (editor.do({ do: "slide", ...run, by })) editor.goTo({}, { keep: true });
  },
  /** One thread out (away from the tie-up) or in. */
  move(editor, by) {
    const { side, first, last } = editor.chosen();
    if (by < 0 ? first === 1 : last === lengthOf(editor.draft, side)) return;
    const before = by < 0 ? first - 1 : last + 2;
    if (editor.do({ do: "move", side, first, last, before })) chose(editor, side, first + by, last + by);
  },
  repeat(editor) {
    const { side, first, last } = editor.chosen();
    const times = howMany(editor);
    if (times && editor.do({ do: "repeat", side, first, last, times })) {
      chose(editor, side, first, first + (last - first + 1) * times - 1);
    }
  },
  insert(editor) {
    const { side, first } = editor.chosen();
    const count = howMany(editor);
    if (count && editor.do({ do: "insert", side, before: first, count }))
      chose(editor, side, first, first + count - 1);
  },
  delete(editor) {
    const run = editor.chosen();
    if (!editor.do({ do: "delete", ...run })) return false;
    editor.anchor = null;
    editor.goTo({ [run.side === "warp" ? "end" : "pick"]: run.first });
    return true;
  },
  /** Take ends out of their heddles, or picks off their treadles. */
  clear(editor) {
    const { side, first, last } = editor.chosen();
    const count = last - first + 1;
    const done = editor.do(
      side === "warp"
        ? { do: "thread", first, shafts: Array(count).fill(0) }
        : { do: "treadling", first, rows: Array.from({ length: count }, () => []) },
    );
    if (done) editor.describe();
  },
  /** Set or clear what is at the cursor; an end that is threaded there stays. */
  toggle(editor) {
    const { draft, caret } = editor;
    const columns = columnsOf(draft);
    const { part, end, pick, shaft, column } = caret;
    if (part === "threading") {
      if (draft.threading[end - 1] === shaft) return editor.say(word("threaded_here", { end, shaft }));
      editor.do({ do: "thread", first: end, shafts: [shaft] });
    } else if (part === "side")
      editor.do({ do: "tread", cells: [[pick, column]], on: !draft.side[(pick - 1) * columns + column - 1] });
    else if (part === "tieup")
      editor.do({
        do: "tie",
        cells: [[column, shaft]],
        on: !draft.tieup[(shaft - 1) * columns + column - 1],
      });
    else if (part === "warp" || part === "weft") paintColor(editor, editor.color);
    editor.describe();
  },
  /** A number for what is at the cursor, or for the whole run that is selected. */
  number(editor, number) {
    const { draft, caret } = editor;
    const { part } = caret;
    const columns = columnsOf(draft);
    const most = mostHere(editor);
    const least = part === "warp" || part === "weft" || part === "tieup" ? 1 : 0;
    if (part === "cloth") return;
    if (number < least || number > most) {
      editor.say(word("no_number", { number, least, most }), true);
      return;
    }
    if (part === "warp" || part === "weft") {
      editor.color = number;
      if (paintColor(editor, number)) onward(editor);
    } else if (part === "threading") {
      const { first, last } = editor.run() ?? { first: caret.end, last: caret.end };
      if (editor.do({ do: "thread", first, shafts: Array(last - first + 1).fill(number) })) {
        onward(editor, number ? { shaft: number } : {});
      }
    } else if (part === "tieup") {
      const on = !draft.tieup[(number - 1) * columns + caret.column - 1];
      editor.do({ do: "tie", cells: [[caret.column, number]], on });
      editor.goTo({ shaft: number });
    } else if (draft.treadles === null && number) {
      const on = !draft.side[(caret.pick - 1) * columns + number - 1];
      const { first, last } = editor.run() ?? { first: caret.pick, last: caret.pick };
      const cells = [];
      for (let pick = first; pick <= last; pick++) cells.push([pick, number]);
      editor.do({ do: "tread", cells, on });
      editor.goTo({ column: number }, { keep: true });
    } else {
      const { first, last } = editor.run() ?? { first: caret.pick, last: caret.pick };
      const rows = Array(last - first + 1).fill(number ? [number] : []);
      if (editor.do({ do: "treadling", first, rows })) onward(editor, number ? { column: number } : {});
    }
  },
};

export function mostHere({ draft, caret }) {
  if (caret.part === "warp" || caret.part === "weft") return draft.palette.length;
  return caret.part === "threading" || caret.part === "tieup" ? draft.shafts : columnsOf(draft);
}

function paintColor(editor, number) {
  const { part, end, pick } = editor.caret;
  const thread = part === "warp" ? end : pick;
  const { first, last } = editor.run() ?? { first: thread, last: thread };
  return editor.do({ do: "color", side: part, first, colors: Array(last - first + 1).fill(number) });
}

/** On to the next thread, unless a run is selected or the last is reached. */
function onward(editor, set = {}) {
  Object.assign(editor.caret, set);
  if (editor.run()) return editor.describe();
  const side = SIDE_OF[editor.caret.part];
  const name = side === "warp" ? "end" : "pick";
  const thread = editor.caret[name];
  const said = editor.told();
  editor.goTo({ [name]: Math.min(thread + 1, lengthOf(editor.draft, side)) });
  return editor.say(`${said} → ${editor.told()}`);
}

function chose(editor, side, first, last) {
  if (first === last) editor.goTo({ [side === "warp" ? "end" : "pick"]: first });
  else {
    editor.select(side, first, last);
    editor.goTo({}, { keep: true });
  }
}

function howMany(editor) {
  const text = /** @type {HTMLInputElement} */ (document.getElementById("many")).value.trim();
  const most = MOST[editor.chosen().side];
  const number = /^\d{1,5}$/.test(text) ? Number(text) : 0;
  if (number >= 1 && number <= most) return number;
  editor.say(word("how_many", { most }), true);
  return 0;
}
