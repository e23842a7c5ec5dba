// The draft editor. Each step is done here at once and sent to the server to be saved.
import { bindKeys } from "./editor_keys.js";
import { bindPointer } from "./editor_pointer.js";
import { Keeper } from "./editor_saving.js";
import { inks, paint } from "./editor_paint.js";
import { FURTHEST, inSight, layOut, wholeZoom, ZOOMS } from "./editor_sheet.js";
import { Panel } from "./editor_panel.js";
import { apply, columnsOf, fingerprint, fromWords, lengthOf, Refused } from "./operations.js";
import { isUp } from "./drawdown.js";
import { SIDE_OF, word } from "./editor_words.js";

class Editor {
  constructor(root) {
    this.root = root;
    this.canvas = /** @type {HTMLCanvasElement} */ (document.getElementById("sheet"));
    this.pen = this.canvas.getContext("2d", { alpha: false });
    this.draft = null;
    this.found = null;
    this.caret = { part: "threading", end: 1, pick: 1, shaft: 1, column: 1 };
    this.stroking = false; // while a finger or the mouse paints cells
    this.anchor = null; // where a selected run began, and which side it is of
    this.copied = null;
    this.color = 1;
    this.look = {
      cell: 14 * devicePixelRatio,
      scroll: { end: 0, pick: 0 },
      end1Right: root.dataset.end1 === "right",
      shaft1Below: root.dataset.shaft1 === "front",
      numbers: true,
      cloth: false,
      back: false,
      sides: ["#26221e", "#fffdf8"],
      marks: { floats: true, empty: true, loose: true, parts: true, edges: true, mirror: false },
    };
    this.inks = inks();
    this.keep = new Keeper(root.dataset, {
      asked: () => this.panel.asked(),
      fingerprint: () => fingerprint(this.draft),
      waiting: () => this.panel.kept(word("waiting")),
      pending: (count) => this.panel.pending(count),
      looked: (answer) => this.looked(answer),
      kept: (answer, sent, last) => this.taken(answer, sent, last),
      refused: (answer) => this.again(answer.status === 403 ? word("not_yours") : answer.found.says),
      clash: (answer, lost) => this.clash(answer, lost),
    });
    this.panel = new Panel(this);
  }

  async begin() {
    this.look = { ...this.look, ...this.panel.remembered() };
    const answer = await this.keep.read().catch(() => null);
    if (!answer) {
      document.querySelector("#reading span").textContent = word("no_answer");
      return;
    }
    await this.load(answer);
    // A small draft fills the sheet; a large one has the cell size last used.
    this.look.cell = Math.max(this.look.cell, wholeZoom(this.draft, this.look, this.size()));
    document.getElementById("reading").remove();
    this.root.inert = false;
    bindKeys(this);
    bindPointer(this);
    new ResizeObserver(() => this.draw()).observe(this.canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
      this.inks = inks();
      this.draw();
    });
    for (const event of ["focus", "blur"]) this.canvas.addEventListener(event, () => this.draw());
    document.addEventListener("loomready:news", (event) => {
      event.preventDefault();
      this.news();
    });
    this.root.dataset.ready = "yes";
    this.goOn(answer);
  }

  /** Steps that this tab remembers because the page was gone before they were saved. */
  goOn(answer) {
    const left = this.keep.remembered();
    if (!left) return;
    if (left.version !== answer.version && left.fingerprint !== answer.fingerprint)
      this.panel.clash({ says: word("left_over") }, left.steps);
    else if (left.version !== answer.version)
      this.keep.remember(); // they were saved at the end
    else {
      this.left = true;
      for (const step of left.steps) if (!this.do(step)) return;
    }
  }

  async clash(answer, lost) {
    if (this.left && !answer.gone) {
      const now = await this.keep.read();
      this.left = false;
      if (now.fingerprint === fingerprint(this.draft)) {
        this.keep.remember();
        await this.load(now); // they had been saved at the end, later than this page was read
        return;
      }
    }
    this.panel.clash(answer, lost);
  }

  /** A record was changed: if it is this draft and everything here is saved, show it as it is now. */
  async news() {
    const busy = () => this.keep.open || this.stroking || this.panel.lost.length > 0;
    const answer = busy() ? null : await this.keep.marks();
    if (!answer || busy() || answer.version === this.keep.version) return;
    await this.load(await this.keep.read());
    this.say(word("newer_here"));
  }

  /** Load a whole draft from the server. */
  async load(answer) {
    this.base = fromWords(answer.draft); // as it is in the version that is saved
    this.draft = this.keep.steps.reduce(apply, this.base);
    this.hold();
    this.heard(answer);
    this.panel.draftChanged();
    this.describe();
    this.draw();
  }

  /** The marks of the draft as it is here; it must match the server's. */
  looked(answer) {
    if (fingerprint(this.draft) !== answer.fingerprint) {
      this.keep.send();
      return;
    }
    this.found = answer.found.marks;
    this.panel.found(answer.found);
    this.draw();
  }

  /** After saving: what is here must match the server. */
  async taken(answer, sent, last) {
    this.left = false;
    this.base = sent.reduce(apply, this.base);
    if (last && fingerprint(this.draft) !== answer.fingerprint) {
      await this.load(await this.keep.read());
      return;
    }
    if (last) this.heard(answer);
    this.draw();
  }

  heard(answer) {
    this.found = answer.found.marks;
    this.panel.heard(answer);
  }

  /** A step that the server refused: go back to what is saved there. */
  async again(says) {
    try {
      await this.load(await this.keep.read());
    } catch {
      this.say(word("no_answer"), true);
      return;
    }
    this.say(says || word("reloaded"), true);
  }

  size() {
    const box = this.canvas.getBoundingClientRect();
    return {
      width: Math.max(1, Math.round(box.width * devicePixelRatio)),
      height: Math.max(1, Math.round(box.height * devicePixelRatio)),
      unit: devicePixelRatio,
    };
  }

  layout() {
    return layOut(this.draft, this.look, this.size());
  }

  draw() {
    if (this.waiting || !this.draft) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.paint();
    });
  }

  paint() {
    const size = this.size();
    if (this.canvas.width !== size.width || this.canvas.height !== size.height) {
      this.canvas.width = size.width;
      this.canvas.height = size.height;
    }
    const at = layOut(this.draft, this.look, size);
    this.look.scroll = at.scroll;
    const focused = document.activeElement === this.canvas;
    const { draft, look, caret, found } = this;
    paint(this.pen, { draft, at, look, caret, found, run: this.run(), focused, inks: this.inks });
  }

  /** The selected run, from 1: its side, first and last thread; null where nothing is selected. */
  run() {
    if (!this.anchor) return null;
    const at = this.anchor.side === "warp" ? this.caret.end : this.caret.pick;
    const [first, last] = [this.anchor.thread, at].sort((one, other) => one - other);
    return { side: this.anchor.side, first, last };
  }

  /** What a command applies to: the selected run, or the thread at the cursor. */
  chosen() {
    const side = SIDE_OF[this.caret.part] ?? "warp";
    const thread = side === "warp" ? this.caret.end : this.caret.pick;
    return this.run() ?? { side, first: thread, last: thread };
  }

  select(side, first, last) {
    if (SIDE_OF[this.caret.part] !== side) this.caret.part = side === "warp" ? "threading" : "side";
    this.anchor = { side, thread: first };
    this.caret[side === "warp" ? "end" : "pick"] = last;
    this.hold();
  }

  /**
   * Do an operation here and send it. False if it cannot be done: the message is shown and nothing changes.
   */
  do(operation, again = false) {
    let made;
    try {
      made = apply(this.draft, operation);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.say(word("nothing_changed", { why: error.message }), true);
      return false;
    }
    this.show(made, operation.do);
    this.keep.step(operation, again);
    return true;
  }

  /** Show another draft in place of this one, saved or not. */
  show(draft, what = "") {
    const moved = draft.ends !== this.draft.ends || draft.picks !== this.draft.picks;
    this.draft = draft;
    if (moved || what === "move" || what === "reverse") this.found = null; // its marks are elsewhere now
    this.hold();
    if (moved || ["palette", "count", "lifting", "shed"].includes(what)) this.panel.draftChanged();
    this.draw();
  }

  /** Keep cursor and selection inside the draft. */
  hold() {
    const { draft, caret } = this;
    const held = (value, most) => Math.max(1, Math.min(value, most));
    caret.end = held(caret.end, draft.ends);
    caret.pick = held(caret.pick, draft.picks);
    caret.shaft = held(caret.shaft, draft.shafts);
    caret.column = held(caret.column, columnsOf(draft));
    if (caret.part === "tieup" && draft.treadles === null) caret.part = "threading";
    if (this.anchor) this.anchor.thread = held(this.anchor.thread, lengthOf(draft, this.anchor.side));
    this.color = held(this.color, draft.palette.length);
  }

  /** Move the cursor; the selection grows only with `keep`. */
  goTo(place, { keep = false, follow = true } = {}) {
    const part = place.part ?? this.caret.part;
    if (!keep || (this.anchor && SIDE_OF[part] !== this.anchor.side)) this.anchor = null;
    Object.assign(this.caret, place);
    this.hold();
    if (part === "threading" && place.shaft === undefined) {
      this.caret.shaft = this.draft.threading[this.caret.end - 1] || this.caret.shaft;
    }
    if (follow) {
      const { end, pick } = this.caret;
      const uses = {
        threading: [end],
        warp: [end],
        side: [0, pick],
        weft: [0, pick],
        cloth: [end, pick],
        tieup: [],
      };
      this.look.scroll = inSight(this.layout(), ...(uses[part] ?? []));
    }
    this.describe();
    this.draw();
  }

  zoom(by, middle = null) {
    const { cell } = this.look;
    let next;
    if (cell < 1)
      next =
        by > 0 ? (1 / cell <= 2 ? 1 : 1 / Math.ceil(1 / cell / 2)) : 1 / Math.min(FURTHEST, (1 / cell) * 2);
    else if (by > 0) next = ZOOMS.find((size) => size > cell) ?? cell;
    else next = ZOOMS.filter((size) => size < cell).pop() ?? 1 / 2;
    this.zoomTo(next, middle);
  }

  /** Zoom and keep a place fixed: the one under the fingers, or the cursor. */
  zoomTo(cell, middle = null) {
    const before = this.layout();
    const at = middle ?? { end: this.caret.end, pick: this.caret.pick, x: null };
    const factor = cell / before.cell;
    this.look.cell = cell;
    const shift = (scroll, inside) => (scroll + inside) * factor - inside;
    if (at.x === null) {
      const insideEnd = (at.end - 0.5) * before.cell - before.scroll.end;
      const insidePick = (at.pick - 0.5) * before.cell - before.scroll.pick;
      this.look.scroll = {
        end: shift(before.scroll.end, insideEnd),
        pick: shift(before.scroll.pick, insidePick),
      };
      const { part, end, pick } = this.caret;
      if (part !== "tieup")
        this.look.scroll = inSight({ ...this.layout() }, end, SIDE_OF[part] === "warp" ? 0 : pick);
    } else {
      const insideEnd = before.end1Right ? before.cloth.x + before.cloth.width - at.x : at.x - before.cloth.x;
      const insidePick = at.y - before.cloth.y;
      this.look.scroll = {
        end: shift(before.scroll.end, insideEnd),
        pick: shift(before.scroll.pick, insidePick),
      };
    }
    this.panel.remember();
    this.draw();
  }

  whole() {
    this.look.scroll = { end: 0, pick: 0 };
    this.zoomTo(wholeZoom(this.draft, this.look, this.size()));
    this.look.scroll = { end: 0, pick: 0 };
    this.say(word("whole"));
  }

  async walk(way) {
    const answer = await this.keep[way]();
    if (!answer) return;
    if (answer.step) {
      if (!this.do(answer.step, true)) return;
    } else if (answer.status === 200) await this.walked(answer.found);
    else if (answer.status === 409) this.panel.clash(answer.found, []);
    else this.say(answer.found.says ?? "", true);
    if (answer.step || answer.status === 200) {
      this.describe();
      this.say(`${word(way === "undo" ? "undone" : "redone")}: ${this.told()}`);
    }
  }

  /** Show the draft as it is after an undo or redo: with another version from the server, or fewer steps. */
  async walked(found) {
    if (found) return this.load(found);
    this.found = null; // of another draft
    this.show(this.keep.steps.reduce(apply, this.base));
    this.panel.draftChanged();
    return this.keep.steps.length ? undefined : this.panel.limit();
  }

  say(text, wrong = false) {
    this.panel.say(text, wrong);
  }

  describe() {
    this.panel.caretMoved();
    const run = this.run();
    const count = run ? run.last - run.first + 1 : 0;
    const chosen =
      run && count > 1 ? `${word(run.side === "warp" ? "run_ends" : "run_picks", { ...run, count })}; ` : "";
    this.say(chosen + this.told());
  }

  /** The value at the cursor. */
  told() {
    const { draft, caret } = this;
    const { end, pick, shaft, column } = caret;
    const columns = columnsOf(draft);
    const numbers = [];
    for (let each = 1; each <= columns; each++)
      if (draft.side[(pick - 1) * columns + each - 1]) numbers.push(each);
    const listed = { pick, columns: numbers.join(", ") };
    const plan = draft.treadles === null;
    const many = numbers.length === 1 ? "_one" : "";
    const sideName = plan
      ? numbers.length
        ? `pick_lifts${many}`
        : "pick_lifts_none"
      : numbers.length
        ? `pick_by${many}`
        : "pick_empty";
    const on = draft.threading[end - 1];
    const row = shaft === on ? "" : `; ${word("row", { row: shaft })}`;
    switch (caret.part) {
      case "threading":
        return word(on ? "end_on" : "end_off", { end, shaft: on }) + row;
      case "side":
        return (
          word(sideName, listed) +
          (numbers.includes(column) ? "" : `; ${word(plan ? "column_shaft" : "column_treadle", { column })}`)
        );
      case "tieup":
        return word(draft.tieup[(shaft - 1) * columns + column - 1] ? "tied" : "untied", { column, shaft });
      case "warp":
        return word("end_color", { end, color: draft.warp[end - 1] });
      case "weft":
        return word("pick_color", { pick, color: draft.weft[pick - 1] });
      default:
        return word(isUp(draft, end - 1, pick - 1) ? "warp_up" : "weft_up", { end, pick });
    }
  }
}

const root = document.getElementById("editor");
if (root) {
  const editor = new Editor(root);
  /** @type {any} for tests */ (root).editor = editor;
  editor.begin();
}
