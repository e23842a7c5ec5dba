// Editing by mouse, pen and fingers: a press sets, a drag sets several, on the cloth it moves the sheet.
import { apply, columnsOf, lengthOf, Refused } from "./operations.js";
import { partAt } from "./editor_sheet.js";
import { SIDE_OF, word } from "./editor_words.js";
import { hold } from "./editor_keys.js";

const HOLD = 480; // ms a finger rests before it selects
const SLACK = 8; // px it may tremble

export function bindPointer(editor) {
  const { canvas } = editor;
  const fingers = new Map();
  let stroke = null;
  let pinch = null;
  let timer = 0;

  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return {
      x: (event.clientX - box.left) * devicePixelRatio,
      y: (event.clientY - box.top) * devicePixelRatio,
    };
  };
  const under = (event) => {
    const { x, y } = at(event);
    return partAt(editor.layout(), editor.draft, x, y);
  };

  canvas.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    event.preventDefault();
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(event.pointerId);
    editor.stroking = true;
    fingers.set(event.pointerId, at(event));
    if (fingers.size === 2) {
      drop();
      pinch = { ...between(fingers), cell: editor.look.cell };
      return;
    }
    const place = under(event);
    if (!place.part) return;
    const side = SIDE_OF[place.part];
    if (!event.shiftKey && inRun(place)) {
      stroke = { kind: "grip", place, from: at(event) };
      if (event.pointerType === "touch")
        timer = setTimeout(() => stroke?.kind === "grip" && begin(place, false), HOLD);
    } else if (side && (event.shiftKey || editor.selecting)) {
      if (event.shiftKey) hold(editor);
      begin(place, event.shiftKey);
    } else if (place.part === "cloth") {
      stroke = { kind: "cloth", from: at(event), scroll: { ...editor.look.scroll }, place, moved: false };
    } else if (event.pointerType === "touch") {
      // Nothing is set before it is clear that this is a tap or a drag, not a hold.
      stroke = { kind: "wait", place, from: at(event) };
      if (side) timer = setTimeout(() => stroke?.kind === "wait" && begin(place, false), HOLD);
    } else start(place);
  });

  canvas.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) {
      canvas.classList.toggle("grip", inRun(under(event)));
      return;
    }
    fingers.set(event.pointerId, at(event));
    if (pinch && fingers.size === 2) return squeeze();
    if (!stroke) return;
    const here = at(event);
    const far = Math.hypot(here.x - stroke.from?.x, here.y - stroke.from?.y) > SLACK * devicePixelRatio;
    if (stroke.kind === "wait" && far) {
      clearTimeout(timer);
      start(stroke.place);
    }
    if (stroke.kind === "grip" && far) {
      clearTimeout(timer);
      stroke = { ...stroke, kind: "carry", base: editor.draft, run: editor.run(), to: editor.run().first };
    }
    if (stroke.kind === "carry") carry(under(event));
    if (stroke.kind === "cloth") {
      stroke.moved ||= far;
      if (stroke.moved) pan(here);
    } else if (stroke.kind === "select") {
      const place = under(event);
      editor.goTo(SIDE_OF[stroke.place.part] === "warp" ? { end: place.end } : { pick: place.pick }, {
        keep: true,
      });
    } else if (stroke.kind === "set") along(under(event));
  });

  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, (event) => {
      fingers.delete(event.pointerId);
      clearTimeout(timer);
      editor.stroking = fingers.size > 0;
      if (fingers.size < 2) pinch = null;
      if (!stroke) return;
      if (name === "pointercancel") return drop();
      if (stroke.kind === "grip" && editor.selecting) editor.goTo({ ...stroke.place }, { follow: false });
      else if (stroke.kind === "wait" || stroke.kind === "grip") start(stroke.place);
      if (stroke.kind === "carry") put();
      if (stroke.kind === "cloth" && !stroke.moved) editor.goTo({ ...stroke.place }, { follow: false });
      if (stroke.kind === "set") finish();
      stroke = null;
    });
  }

  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      const { x, y } = at(event);
      if (event.ctrlKey || event.metaKey) return editor.zoom(event.deltaY < 0 ? 1 : -1, { x, y });
      const unit = devicePixelRatio * (event.deltaMode === 1 ? 20 : 1);
      const [across, along] = event.shiftKey ? [event.deltaY, 0] : [event.deltaX, event.deltaY];
      const end = editor.look.scroll.end + (editor.look.end1Right ? -across : across) * unit;
      editor.look.scroll = { end, pick: editor.look.scroll.pick + along * unit };
      return editor.draw();
    },
    { passive: false },
  );
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());

  function begin(place, on) {
    stroke = { kind: "select", place };
    const warp = SIDE_OF[place.part] === "warp";
    if (!on) {
      editor.goTo({ ...place });
      hold(editor);
    }
    editor.goTo({ part: place.part, ...(warp ? { end: place.end } : { pick: place.pick }) }, { keep: true });
  }

  /** Whether a place is on a thread of the selected run: there a drag moves the run. */
  function inRun(place) {
    const run = editor.anchor && editor.run();
    const thread = run?.side === "warp" ? place.end : place.pick;
    return Boolean(run) && SIDE_OF[place.part] === run.side && thread >= run.first && thread <= run.last;
  }

  /** The run follows the pointer with its colors, spacing, thickness. */
  function carry(place) {
    const { run, base } = stroke;
    const name = run.side === "warp" ? "end" : "pick";
    const count = run.last - run.first + 1;
    const first = run.first + place[name] - stroke.place[name];
    stroke.to = Math.max(1, Math.min(first, lengthOf(base, run.side) - count + 1));
    editor.show(stroke.to === run.first ? base : apply(base, moved()), "move");
    chosenAt(stroke.to);
  }

  function moved() {
    const { run, to } = stroke;
    return { do: "move", ...run, before: to > run.first ? to + run.last - run.first + 1 : to };
  }

  function chosenAt(first) {
    const { run } = stroke;
    editor.select(run.side, first, first + run.last - run.first);
    editor.describe();
    editor.draw();
  }

  function put() {
    const { base, run, to } = stroke;
    editor.draft = base;
    if (to === run.first || !editor.do(moved())) editor.panel.limit(); // its marks were put aside
    chosenAt(to);
  }

  /** Begin to set cells: the first says whether the drag sets or clears; threading is only ever set. */
  function start(place) {
    const { draft } = editor;
    const columns = columnsOf(draft);
    let on = true;
    if (place.part === "side") on = !draft.side[(place.pick - 1) * columns + place.column - 1];
    if (place.part === "tieup") on = !draft.tieup[(place.shaft - 1) * columns + place.column - 1];
    stroke = { kind: "set", place, on, base: draft, threads: new Map(), cells: new Map(), last: place };
    editor.goTo({ ...place }, { follow: false });
    along(place);
  }

  /** Set from the last place to this one, every thread between them too. */
  function along(place) {
    const { part } = stroke.place;
    const from = stroke.last;
    stroke.last = place;
    const warp = SIDE_OF[part] === "warp";
    const [one, other] = warp ? [from.end, place.end] : [from.pick, place.pick];
    const steps = part === "tieup" ? 1 : Math.max(1, Math.abs(other - one));
    for (let step = 0; step <= steps; step++) {
      const share = step / steps;
      const mix = (name) => Math.round(from[name] + (place[name] - from[name]) * share);
      if (part === "threading") stroke.threads.set(mix("end"), mix("shaft"));
      else if (part === "warp") stroke.threads.set(mix("end"), editor.color);
      else if (part === "weft") stroke.threads.set(mix("pick"), editor.color);
      else if (part === "side")
        stroke.cells.set(`${mix("pick")} ${mix("column")}`, [mix("pick"), mix("column")]);
      else if (step === steps)
        stroke.cells.set(`${place.column} ${place.shaft}`, [place.column, place.shaft]);
    }
    stroke.operation = operation();
    try {
      editor.show(apply(stroke.base, stroke.operation));
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
    editor.goTo({ ...place, part }, { follow: false });
  }

  function operation() {
    const { part } = stroke.place;
    const { threads, cells, base, on } = stroke;
    if (part === "side") return { do: "tread", cells: [...cells.values()], on };
    if (part === "tieup") return { do: "tie", cells: [...cells.values()], on };
    const first = Math.min(...threads.keys());
    const last = Math.max(...threads.keys());
    const before = part === "threading" ? base.threading : base[part];
    const run = Array.from(
      { length: last - first + 1 },
      (_, index) => threads.get(first + index) ?? before[first + index - 1],
    );
    return part === "threading"
      ? { do: "thread", first, shafts: run }
      : { do: "color", side: part, first, colors: run };
  }

  /** The whole drag is one operation. */
  function finish() {
    const { base, operation: whole } = stroke;
    editor.draft = base;
    if (whole?.do === "thread" && isThreaded(base, whole)) {
      const { end, shaft } = editor.caret;
      editor.show(base);
      return editor.say(word("threaded_here", { end, shaft }));
    }
    if (whole) editor.do(whole);
    return editor.describe();
  }

  function drop() {
    clearTimeout(timer);
    if (stroke?.kind === "set") editor.show(stroke.base);
    if (stroke?.kind === "carry") {
      stroke.to = stroke.run.first;
      put();
    }
    stroke = null;
  }

  function pan(here) {
    const across = here.x - stroke.from.x;
    editor.look.scroll = {
      end: stroke.scroll.end + (editor.look.end1Right ? across : -across),
      pick: stroke.scroll.pick - (here.y - stroke.from.y),
    };
    editor.draw();
  }

  function squeeze() {
    const now = between(fingers);
    const factor = now.apart / Math.max(1, pinch.apart);
    const steps = { x: now.x - pinch.x, y: now.y - pinch.y };
    editor.look.scroll = {
      end: editor.look.scroll.end + (editor.look.end1Right ? steps.x : -steps.x),
      pick: editor.look.scroll.pick - steps.y,
    };
    const wanted = pinch.cell * factor;
    const cell = wanted >= 1 ? Math.round(wanted) : 1 / Math.round(1 / Math.max(wanted, 1 / 64));
    if (cell !== editor.look.cell && cell <= 60 * devicePixelRatio) editor.zoomTo(cell, now);
    pinch = { ...pinch, x: now.x, y: now.y };
    editor.draw();
  }
}

/** Whether ends are on these shafts already. */
function isThreaded(draft, { first, shafts }) {
  return shafts.every((shaft, index) => draft.threading[first - 1 + index] === shaft);
}

function between(fingers) {
  const [one, other] = [...fingers.values()];
  return {
    x: (one.x + other.x) / 2,
    y: (one.y + other.y) / 2,
    apart: Math.hypot(one.x - other.x, one.y - other.y),
  };
}
