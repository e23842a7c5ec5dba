// Editing a draft by keyboard.
import { lengthOf } from "./operations.js";
import { SIDE_OF, word } from "./editor_words.js";
import { mostHere, verbs } from "./editor_verbs.js";

const PAUSE = 900; // how long a number waits for its second digit, in ms

export function bindKeys(editor) {
  let typed = "";
  let timer = 0;

  const settle = () => {
    clearTimeout(timer);
    const number = typed;
    typed = "";
    if (number) verbs.number(editor, Number(number));
  };

  const digit = (key) => {
    typed += key;
    clearTimeout(timer);
    // Accepted at once if no longer number is possible.
    if (Number(typed) * 10 > mostHere(editor) || typed === "0") settle();
    else {
      editor.say(word("typing", { number: typed }));
      timer = setTimeout(settle, PAUSE);
    }
  };

  const parts = () => [
    "threading",
    ...(editor.draft.treadles === null ? [] : ["tieup"]),
    "side",
    "warp",
    "weft",
    "cloth",
  ];

  const nextPart = (by) => {
    const all = parts();
    const part = all[(all.indexOf(editor.caret.part) + by + all.length) % all.length];
    editor.goTo({ part });
    const name = part === "side" && editor.draft.treadles === null ? "part_side_plan" : `part_${part}`;
    editor.say(`${word(name)}: ${editor.told()}`);
  };

  /** Arrow steps as they look: right is right, whichever side end 1 is at. */
  const arrow = (x, y, keep) => {
    const { caret, look } = editor;
    const end = caret.end + (look.end1Right ? -x : x);
    const pick = caret.pick + y;
    const shaft = caret.shaft + (look.shaft1Below ? -y : y);
    const column = caret.column + x;
    const place = {
      threading: x ? { end } : { shaft },
      warp: { end: x ? end : caret.end },
      side: y ? { pick } : { column },
      weft: { pick: y ? pick : caret.pick },
      tieup: { column, shaft },
      cloth: { end: x ? end : caret.end, pick },
    }[caret.part];
    if (keep) hold(editor);
    editor.goTo(place, { keep });
  };

  const jump = (by, keep) => {
    const side = SIDE_OF[editor.caret.part] ?? "weft";
    const name = side === "warp" ? "end" : "pick";
    if (keep) hold(editor);
    editor.goTo(
      { [name]: Math.max(1, Math.min(lengthOf(editor.draft, side), editor.caret[name] + by)) },
      { keep },
    );
  };

  const plain = {
    " ": () => verbs.toggle(editor),
    Enter: () => jump(1, false),
    a: () => nextPart(1),
    A: () => nextPart(-1),
    c: () => verbs.copy(editor),
    x: () => verbs.cut(editor),
    v: () => verbs.put(editor),
    m: () => verbs.mirror(editor),
    M: () => verbs.mirror(editor, "twice"),
    r: () => verbs.reverse(editor),
    u: () => verbs.slide(editor, 1),
    d: () => verbs.slide(editor, -1),
    p: () => verbs.repeat(editor),
    i: () => verbs.insert(editor),
    Delete: () => verbs.delete(editor),
    Backspace: () => verbs.delete(editor),
    Escape: () => editor.goTo({}),
    "+": () => editor.zoom(1),
    "=": () => editor.zoom(1),
    "-": () => editor.zoom(-1),
    f: () => editor.whole(),
    "?": () => editor.panel.keys(),
  };
  const held = {
    z: (shift) => editor.walk(shift ? "redo" : "undo"),
    y: () => editor.walk("redo"),
    c: () => verbs.copy(editor),
    s: () => editor.keep.send(),
    x: () => verbs.cut(editor),
    v: () => verbs.put(editor),
    a: () => {
      const side = SIDE_OF[editor.caret.part] ?? "warp";
      editor.select(side, 1, lengthOf(editor.draft, side));
      editor.goTo({}, { keep: true, follow: false });
    },
  };
  const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  editor.canvas.addEventListener("keydown", (event) => {
    const { key, shiftKey, altKey } = event;
    const command = event.ctrlKey || event.metaKey;
    if (/^\d$/.test(key) && !command && !altKey) {
      event.preventDefault();
      digit(key);
      return;
    }
    if (key === "Backspace" && typed) {
      event.preventDefault();
      clearTimeout(timer);
      typed = "";
      editor.describe();
      return;
    }
    if (key === "Enter" && typed) {
      event.preventDefault();
      settle();
      return;
    }
    const done = act(key, { shiftKey, altKey, command });
    if (done) event.preventDefault();
  });
  editor.canvas.addEventListener("blur", settle);

  function act(key, { shiftKey, altKey, command }) {
    if (["Shift", "Control", "Alt", "Meta", "Tab"].includes(key)) return false;
    settle();
    if (command) {
      const does = held[key.toLowerCase()];
      does?.(shiftKey);
      return Boolean(does);
    }
    if (arrows[key]) {
      const [x, y] = arrows[key];
      if (!altKey) arrow(x, y, shiftKey);
      else {
        const { side } = editor.chosen();
        const by = side === "warp" ? (editor.look.end1Right ? -x : x) : y;
        if (by) verbs.move(editor, by);
      }
      return true;
    }
    if (altKey) return false;
    if (key === "Home" || key === "End") jump(key === "Home" ? -1e6 : 1e6, shiftKey);
    else if (key === "PageUp" || key === "PageDown") jump(key === "PageUp" ? -10 : 10, shiftKey);
    else if (plain[key] || plain[key.toLowerCase()]) (plain[key] ?? plain[key.toLowerCase()])();
    else return false;
    return true;
  }
}

/** A run begins at the cursor. */
export function hold(editor) {
  const side = SIDE_OF[editor.caret.part];
  if (side && editor.anchor?.side !== side) {
    editor.anchor = { side, thread: side === "warp" ? editor.caret.end : editor.caret.pick };
  }
}
