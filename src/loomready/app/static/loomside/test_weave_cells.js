// Cells of the web beside the planned ones, tapped where the cloth differs.
import { fill, make } from "./draw.js";
import { View, WINDOW } from "./test_weave_view.js";

export class Cells extends View {
  focus = ""; // the cell that was tapped last

  draw() {
    const { marks, says, job } = this;
    const last = Math.min(this.weave.first + WINDOW - 1, marks.ends);
    const ends = Array.from({ length: last - this.weave.first + 1 }, (_, at) => this.weave.first + at);
    const grid = make("div", `cells${this.flip ? " leftward" : ""} of-${ends.length}`);
    const rows = marks.picks.map((_, pick) => ends.map((end) => this.#cell(pick, end)));
    for (const [pick, row] of [...rows.entries()].reverse())
      grid.append(make("div", "row-of", make("span", "pick", String(pick + 1)), ...row));
    const heads = ends.map((end) => {
      const shaft = job.threading[end - 1];
      return make(
        "span",
        "",
        make("b", "", String(end)),
        make("br"),
        job.free[end - 1] ? make("small", "", says.edge) : shaft < job.shafts ? String(shaft + 1) : "–",
      );
    });
    grid.append(make("div", "row-of heads", make("span", "pick"), ...heads));
    grid.onkeydown = (event) => this.#byArrows(event, rows);
    const seen = marks.looked(this.weave.first - 1);
    const ahead = this.weave.first + WINDOW <= marks.ends ? this.weave.first + WINDOW : 1;
    const moves = make("p", "acts");
    if (this.weave.first > 1)
      moves.append(
        this.weave.button(says.before, () => this.#move(this.weave.first - WINDOW), "plain small"),
      );
    if (last < marks.ends)
      moves.append(this.weave.button(says.after, () => this.#move(last + 1), "plain small"));
    if (seen) moves.append(this.weave.button(says.forget, () => this.#forget(last), "plain small"));
    const here = this.weave.first;
    return [
      make("p", "", says.touch),
      this.weave.strip(),
      make(
        "p",
        "strong",
        fill(says.span, { a: here, b: last }),
        seen ? make("span", "quiet", ` · ${says.looked_at}`) : "",
      ),
      make("p", "help", says.cells_how),
      this.#legend(),
      grid,
      make("p", "help", says.cells_below),
      this.weave.button(
        says.looked,
        () => {
          this.weave.first = ahead;
          this.weave.mark([this.#lookedAt(here, last, 1)]);
        },
        "wide",
      ),
      moves,
    ];
  }

  #legend() {
    const { says } = this;
    return make("p", "keys", make("span", "key up"), says.warp_up, make("span", "key down"), says.weft_up);
  }

  #lookedAt(first, last, value) {
    const shift = this.marks.own ? this.marks.ends : 0;
    return this.marks.change("looked", shift + first - 1, shift + last - 1, value);
  }

  #forget(last) {
    const { marks } = this;
    const rows = marks.picks.map((_, pick) =>
      marks.change(
        "differs",
        marks.row(pick) * marks.ends + this.weave.first - 1,
        marks.row(pick) * marks.ends + last - 1,
        0,
      ),
    );
    this.weave.mark([this.#lookedAt(this.weave.first, last, 0), ...rows]);
  }

  #move(first) {
    this.weave.first = first;
    this.weave.again();
  }

  #cell(pick, end) {
    const { marks, says } = this;
    const planned = marks.planned(pick, end - 1);
    const differs = marks.differs(pick, end - 1);
    const cell = this.weave.button(
      "",
      () => {
        const place = marks.row(pick) * marks.ends + end - 1;
        this.focus = cell.dataset.cell;
        this.weave.mark([marks.change("differs", place, place, differs ? 0 : 1)]);
      },
      `one ${planned ? "up" : "down"}${differs ? " differs" : ""}`,
    );
    cell.dataset.cell = `${pick + 1}-${end}`;
    const told = fill(says.cell, { pick: pick + 1, end, planned: planned ? says.warp_up : says.weft_up });
    cell.setAttribute("aria-label", `${told}, ${says.differs}`);
    cell.setAttribute("aria-pressed", String(differs));
    cell.append(make("span", "", differs ? "≠" : ""));
    return cell;
  }

  #byArrows(event, rows) {
    const side = this.flip ? -1 : 1;
    const step = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowRight: [0, side], ArrowLeft: [0, -side] }[
      event.key
    ];
    const at = rows.findIndex((row) => row.includes(event.target));
    if (!step || at < 0) return;
    event.preventDefault();
    event.stopPropagation();
    const row = rows[Math.min(Math.max(at + step[0], 0), rows.length - 1)];
    row[Math.min(Math.max(rows[at].indexOf(event.target) + step[1], 0), row.length - 1)].focus();
  }

  /** The cell that was tapped has the focus again once it is drawn again. */
  shown() {
    if (!this.focus) return;
    /** @type {HTMLElement | null} */
    const cell = document.querySelector(`[data-cell="${this.focus}"]`);
    cell?.focus();
    this.focus = "";
  }
}
