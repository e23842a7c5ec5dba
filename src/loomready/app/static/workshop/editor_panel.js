// Everything beside the sheet: buttons, cloth check, colors, counts.
import { columnsOf } from "./operations.js";
import { word } from "./editor_words.js";
import { mostHere, verbs } from "./editor_verbs.js";

/** @type {(id: string) => any} an element of any kind: a form field, a dialog, a link */
const find = (id) => document.getElementById(id);
const KINDS = ["floats", "empty", "loose", "parts", "edges", "mirror"];
const LOOK = "loomready-editor";

export class Panel {
  constructor(editor) {
    this.editor = editor;
    this.lost = [];
    const on = (id, does) => find(id).addEventListener("click", does);
    on("undo", () => editor.walk("undo"));
    on("redo", () => editor.walk("redo"));
    on("larger", () => editor.zoom(1));
    on("smaller", () => editor.zoom(-1));
    on("whole", () => editor.whole());
    on("keys", () => this.keys());
    on("selecting", () => {
      editor.selecting = !editor.selecting;
      find("selecting").setAttribute("aria-pressed", String(editor.selecting));
      this.say(word(editor.selecting ? "selecting" : "setting"));
    });
    for (const verb of ["copy", "put", "mirror", "reverse", "repeat", "insert", "clear", "delete"])
      on(verb, () => verbs[verb](editor));
    on("up", () => verbs.slide(editor, 1));
    on("down", () => verbs.slide(editor, -1));
    on("out", () => verbs.move(editor, 1));
    on("in", () => verbs.move(editor, -1));
    on("newer", () => this.newer(false));
    on("again", () => this.newer(true));
    on("add-color", () => {
      const number = editor.draft.palette.length + 1;
      if (editor.do({ do: "palette", number, value: find("color").value })) {
        editor.color = number;
        this.draftChanged();
      }
    });
    on("lifting", () =>
      editor.do({ do: "lifting", by: editor.draft.treadles === null ? "treadles" : "lift plan" }),
    );
    for (const keep of ["cloth", "ties"])
      on(`shed-${keep}`, () => editor.do({ do: "shed", rising: !editor.draft.rising, keep }));
    find("color").addEventListener("change", () =>
      editor.do({ do: "palette", number: editor.color, value: find("color").value }),
    );
    find("counts").addEventListener("submit", (event) => {
      event.preventDefault();
      this.counts();
    });
    find("limits").addEventListener("submit", (event) => event.preventDefault());
    for (const id of ["limit", "sett", "ppi"]) find(id).addEventListener("change", () => this.limit());
    for (const kind of KINDS) {
      find(`mark-${kind}`).addEventListener("change", () => {
        editor.look.marks[kind] = find(`mark-${kind}`).checked;
        this.shown();
      });
    }
    this.looks();
  }

  looks() {
    const { editor } = this;
    for (const radio of /** @type {NodeListOf<HTMLInputElement>} */ (document.getElementsByName("face"))) {
      radio.addEventListener("change", () => this.shown({ cloth: radio.value === "cloth" }));
    }
    find("back").addEventListener("change", () => this.shown({ back: find("back").checked }));
    find("numbers").addEventListener("change", () => this.shown({ numbers: find("numbers").checked }));
    find("end1").addEventListener("change", () => this.shown({ end1Right: find("end1").value === "right" }));
    find("shaft1").addEventListener("change", () =>
      this.shown({ shaft1Below: find("shaft1").value === "front" }),
    );
    ["warp-side", "weft-side"].forEach((id, side) => {
      find(id).addEventListener("input", () => {
        editor.look.sides[side] = find(id).value;
        this.shown();
      });
    });
  }

  shown(changed = {}) {
    Object.assign(this.editor.look, changed);
    this.remember();
    this.editor.draw();
  }

  /** Remember in this browser how drafts are viewed. */
  remembered() {
    let kept = {};
    try {
      kept = JSON.parse(localStorage.getItem(LOOK) ?? "{}");
    } catch {
      kept = {};
    }
    const look = { ...this.editor.look };
    for (const [name, value] of Object.entries(kept)) {
      if (name in look && typeof value === typeof look[name]) look[name] = value;
    }
    look.marks = { ...this.editor.look.marks, ...look.marks };
    look.scroll = { end: 0, pick: 0 };
    find(`mark-mirror`).checked = look.marks.mirror;
    for (const kind of KINDS) find(`mark-${kind}`).checked = look.marks[kind];
    for (const radio of /** @type {NodeListOf<HTMLInputElement>} */ (document.getElementsByName("face")))
      radio.checked = (radio.value === "cloth") === look.cloth;
    find("back").checked = look.back;
    find("numbers").checked = look.numbers;
    find("end1").value = look.end1Right ? "right" : "left";
    find("shaft1").value = look.shaft1Below ? "front" : "back";
    [find("warp-side").value, find("weft-side").value] = look.sides;
    return look;
  }

  remember() {
    const { numbers, cloth, back, sides, marks, end1Right, shaft1Below, cell } = this.editor.look;
    try {
      localStorage.setItem(
        LOOK,
        JSON.stringify({ numbers, cloth, back, sides, marks, end1Right, shaft1Below, cell }),
      );
    } catch {
      // Without browser storage only these view settings are lost.
    }
  }

  asked() {
    return { limit: find("limit").value, sett: find("sett").value, picks: find("ppi").value };
  }

  async limit() {
    if (this.editor.keep.open) {
      this.editor.keep.look();
      return;
    }
    const answer = await this.editor.keep.marks();
    if (!answer || answer.version !== this.editor.keep.version || this.editor.keep.open) return;
    this.editor.found = answer.found.marks;
    this.found(answer.found);
    this.editor.draw();
  }

  heard(answer) {
    this.pending(this.editor.keep.steps.length);
    this.found(answer.found);
  }

  /** How many steps are not saved yet, and what can be undone. */
  pending(count) {
    const { keep } = this.editor;
    find("undo").disabled = !keep.canUndo;
    find("redo").disabled = !keep.canRedo;
    const one = count === 1 ? "pending_one" : "pending";
    this.kept(count ? word(one, { count }) : word("kept", { version: keep.version }));
  }

  kept(text) {
    if (find("kept").textContent !== text) find("kept").textContent = text;
  }

  found(found) {
    for (const { kind, level, text } of found.says) {
      const line = find(`says-${kind}`);
      line.textContent = text;
      line.className = level;
    }
    const error = find("limit-error");
    error.hidden = !found.error;
    error.querySelector("span").textContent = found.error?.says ?? "";
    for (const [id, name] of [
      ["limit", "limit"],
      ["sett", "sett"],
      ["ppi", "picks"],
    ]) {
      find(id).toggleAttribute("aria-invalid", false);
      if (found.error?.field === name) find(id).setAttribute("aria-invalid", "true");
      find(id)
        .closest(".field")
        .classList.toggle("wrong", found.error?.field === name);
    }
    find("facts").replaceChildren(
      ...found.facts.map(([name, value]) => {
        const line = document.createElement("div");
        line.append(made("dt", name), made("dd", value));
        return line;
      }),
    );
  }

  say(text, wrong = false) {
    find("says").textContent = text.charAt(0).toUpperCase() + text.slice(1);
    find("says").classList.toggle("wrong", wrong);
  }

  /** Update after the counts or colors of the draft changed. */
  draftChanged() {
    const { draft } = this.editor;
    find("shafts").value = draft.shafts;
    find("treadles-field").hidden = draft.treadles === null;
    find("treadles").value = draft.treadles ?? "";
    find("lifting").textContent = word(draft.treadles === null ? "first_treadled" : "first_plan");
    const side = draft.treadles === null ? word("by_plan") : word("by_treadles", draft);
    find("in-words").textContent = word("size", { ...draft, side });
    const shed = draft.treadles === null ? "plan" : draft.rising ? "rising" : "sinking";
    find("shed").textContent = word(`shed_${shed}`);
    find("sheds").hidden = draft.treadles === null;
    const other = draft.rising ? "sinking" : "rising";
    find("shed-cloth").textContent = word(`tie_${other}`);
    find("shed-ties").textContent = word(`read_${other}`);
    this.chips();
    this.pad();
  }

  chips() {
    const { editor } = this;
    find("chips").replaceChildren(
      ...editor.draft.palette.map((color, index) => {
        const button = made("button");
        button.type = "button";
        button.append(chip(color), String(index + 1));
        button.setAttribute("aria-label", word("color_n", { number: index + 1 }));
        button.setAttribute("aria-pressed", String(index + 1 === editor.color));
        button.addEventListener("click", () => {
          editor.color = index + 1;
          this.chips();
          find("chips").children[index].focus();
        });
        return button;
      }),
    );
    find("color").value = editor.draft.palette[editor.color - 1];
  }

  caretMoved() {
    const { editor } = this;
    const run = editor.chosen();
    const name =
      run.first === run.last
        ? { warp: "one_end", weft: "one_pick" }
        : { warp: "run_ends", weft: "run_picks" };
    const picks = editor.draft.treadles === null ? "clear_lifts" : "clear_treadles";
    find("clear").textContent = word(run.side === "warp" ? "unthread" : picks);
    find("run-says").textContent = word(name[run.side], { ...run, count: run.last - run.first + 1 });
    this.pad();
  }

  /** The numbers that can be entered at the cursor, as buttons. */
  pad() {
    const { editor } = this;
    const { draft, caret } = editor;
    const { part, end, pick, column } = caret;
    const pad = find("pad");
    pad.hidden = part === "cloth";
    if (pad.hidden) return;
    const columns = columnsOf(draft);
    const colors = part === "warp" || part === "weft";
    const plan = part === "side" && draft.treadles === null;
    const what = word(part === "warp" ? "one_end" : "one_pick", {
      first: part === "warp" ? end : pick,
    }).toLowerCase();
    const names = {
      threading: "pad_thread",
      side: plan ? "pad_plan" : "pad_side",
      tieup: "pad_tieup",
      warp: "pad_color",
      weft: "pad_color",
    };
    const label = word(names[part], { end, pick, column, what });
    const isOn = (number) => {
      if (part === "threading") return draft.threading[end - 1] === number;
      if (part === "tieup") return number > 0 && draft.tieup[(number - 1) * columns + column - 1] === 1;
      if (colors) return draft[part][(part === "warp" ? end : pick) - 1] === number;
      return number > 0 && draft.side[(pick - 1) * columns + number - 1] === 1;
    };
    const first = part === "threading" || part === "side" ? 0 : 1;
    const count = mostHere(editor) + 1 - first;
    pad.setAttribute("aria-label", label);
    if (pad.dataset.form !== `${part}${count}${plan}`) {
      pad.dataset.form = `${part}${count}${plan}`;
      const order = [...Array(count).keys()].map((index) => index + first);
      if (first === 0) order.push(order.shift());
      pad.replaceChildren(
        ...order.map((number) => {
          const button = made("button", String(number));
          button.type = "button";
          button.dataset.number = number;
          button.addEventListener("click", () => verbs.number(editor, number));
          return button;
        }),
      );
    }
    for (const button of pad.children)
      button.setAttribute("aria-pressed", String(isOn(Number(button.dataset.number))));
  }

  counts() {
    const { editor } = this;
    for (const what of ["shafts", "treadles"]) {
      const text = find(what).value.trim();
      const now = editor.draft[what];
      if (now === null || text === String(now)) continue;
      if (!editor.do({ do: "count", what, to: /^\d{1,4}$/.test(text) ? Number(text) : NaN })) return;
    }
    editor.describe();
  }

  keys() {
    find("key-sheet").showModal();
  }

  /** Somebody else changed the draft: yours stays visible until you choose. */
  clash(answer, lost) {
    this.lost.push(...lost);
    find("clash-says").textContent = answer.says;
    find("newer").hidden = answer.gone;
    find("newer").textContent = word(answer.in_progress ? "discard" : "newer");
    find("again").hidden = answer.gone || !lost.length;
    find("again").textContent = word(answer.in_progress ? "anyway" : "repeat");
    this.anyway = Boolean(answer.in_progress);
    find("clash").hidden = false;
    this.kept(word("not_kept"));
  }

  async newer(again) {
    const { editor } = this;
    find("clash").hidden = true;
    if (again && this.anyway) editor.keep.ways.sure = "yes";
    await editor.load(await editor.keep.read());
    editor.canvas.focus();
    const lost = this.lost.splice(0);
    if (!again) editor.keep.remember();
    else for (const operation of lost) if (!editor.do(operation)) return;
  }
}

function made(name, text = "") {
  const element = document.createElement(name);
  element.textContent = text;
  return element;
}

function chip(color) {
  const space = "http://www.w3.org/2000/svg";
  const svg = document.createElementNS(space, "svg");
  svg.setAttribute("class", "chip");
  svg.setAttribute("viewBox", "0 0 18 18");
  svg.setAttribute("aria-hidden", "true");
  const rect = document.createElementNS(space, "rect");
  for (const [name, value] of Object.entries({ x: 1, y: 1, width: 16, height: 16, rx: 3, fill: color }))
    rect.setAttribute(name, value);
  svg.append(rect);
  return svg;
}
