// The test weave on the page at the loom: picks, questions, cells, slips and mending, all without a network.
import { fill, make } from "./draw.js";
import { stretches } from "./facts.js";
import { Cells } from "./test_weave_cells.js";
import { MOST_ODDS } from "./slip_naming.js";
import { testWeb } from "./test_weave_draw.js";
import { Marks } from "./test_weave_marks.js";
import { Questions } from "./test_weave_questions.js";
import { Slips } from "./test_weave_slips.js";
import { WINDOW, several } from "./test_weave_view.js";

const WIDE_TABLE = 10; // shafts: more of them stand in narrow columns, so that a phone shows all
const NEAR = 3; // ends on each side of a tap on the strip

export class TestWeave {
  /** @param {any} beside the page */
  constructor(beside) {
    this.beside = beside;
    this.page = beside.page;
    this.job = beside.page.jobs["test-weave"];
    this.says = this.job.says;
    this.view = "ask";
    this.first = 1;
    this.word = "";
    this.readAt = "";
    this.flip = this.page.end_1 === "right";
    this.views = { ask: new Questions(this), cells: new Cells(this), slips: new Slips(this) };
  }

  /** Reads the marks; slips are worked out again only where marks have changed. */
  #look() {
    const name = `${this.beside.rows.size} ${this.beside.counter}`;
    if (this.readAt === name && this.marks?.done === this.beside.done) return;
    this.readAt = name;
    this.marks = new Marks(this.job, this.beside.done);
    this.at = this.marks.standing();
    this.asking = null;
  }

  /** Sets and clears marks, each change as a fact; one undo takes them back together. */
  mark(changes) {
    const { done, stack, place } = this.beside;
    const spans = [];
    for (const [first, last, value] of changes) {
      const before = stretches(done, 1 - value, first, last).map(([from, to]) => [from, to, 1 - value]);
      if (!before.length) continue;
      spans.unshift(...before);
      this.beside.say(first, last, value);
    }
    if (spans.length) stack.push({ place, spans });
    this.again();
  }

  again() {
    this.beside.show();
  }

  /** A screen of this job. */
  draw(screen) {
    this.#look();
    if (screen.kind === "picks") {
      return {
        place: this.says.picks,
        count: "",
        card: this.#picks(),
        say: this.says.picks,
        short: this.says.picks,
      };
    }
    const card = [this.#tabs(), ...this.views[this.view].draw()];
    const open = this.#open().length;
    return {
      place: this.says.find,
      count: open ? fill(this.says.slips, { n: open }) : "",
      card,
      say: "",
      short: this.says.find_short,
    };
  }

  /** What the large button says; empty: there is something to mend first. */
  get go() {
    this.#look();
    if (this.#open().length) return "";
    return this.at.left.includes(true) ? this.says.as_meant : this.says.right;
  }

  /** Slips that are neither mended nor left. */
  #open() {
    return this.at.slips.filter((_, at) => !this.at.left[at] && !this.at.mended[at]);
  }

  /** The first of the ends that are compared together with this one. */
  windowOf(end) {
    const inside = Math.min(end, this.marks.ends);
    return inside - ((inside - 1) % WINDOW);
  }

  /** A tap on the strip: these ends are looked at, or the slip lies there. */
  goTo(end) {
    this.#look();
    this.first = this.windowOf(end);
    if (this.view === "ask")
      this.views.ask.answerAt(Math.max(1, end - NEAR), Math.min(this.marks.ends, end + NEAR));
    else this.show("cells");
  }

  show(view) {
    this.view = view;
    this.word = "";
    this.again();
    this.beside.top();
  }

  button(text, go, kind = "plain") {
    const button = make("button", kind, text);
    button.type = "button";
    button.onclick = go;
    return button;
  }

  #tabs() {
    const tabs = [
      ["ask", this.says.ask],
      ["cells", this.says.cells],
      ["slips", fill(this.says.slips, { n: this.at.slips.length })],
    ];
    return make(
      "div",
      "tabs",
      ...tabs.map(([view, text]) => {
        const tab = this.button(text, () => this.show(view), "plain small");
        tab.setAttribute("aria-pressed", String(this.view === view));
        return tab;
      }),
    );
  }

  // The picks.

  #picks() {
    const { marks, says, job } = this;
    const shafts = [...Array(job.shafts).keys()].map((shaft) => shaft + 1);
    const treadles = job.treadles[marks.own ? "own" : "test"];
    const row = (pick, number) =>
      make(
        "tr",
        "",
        make("th", "", String(number + 1)),
        ...(treadles ? [make("td", "", make("b", "", treadles.pressed[number]))] : []),
        ...shafts.map((shaft) => make("td", "", pick.includes(shaft) ? make("b", "", String(shaft)) : "·")),
      );
    const above = make("th", "", says.shafts_up);
    above.colSpan = job.shafts;
    const heads = make("tr", "", make("th", "", says.pick), make("th", "", says.treadles), above);
    const head = treadles ? [make("thead", "", heads)] : [];
    const lifts = make("table", "lifts", ...head, make("tbody", "", ...marks.picks.map(row)));
    if (job.shafts > WIDE_TABLE) {
      lifts.classList.add("many");
      lifts.style.minWidth = `${(job.shafts + (treadles ? 5 : 1)) * 1.1}rem`;
    }
    /** @type {HTMLElement[]} */
    const made = [
      make("p", "", marks.own ? says.picks_own : treadles ? says.picks_treadles : says.picks_test),
      ...(treadles?.to_tie ?? []).map((line) => make("p", "strong", line)),
      make("div", "scroll", lifts),
    ];
    made.push(...this.#untold());
    if (job.own.length && String(job.own) !== String(job.test)) {
      const other = marks.at("other") ? 0 : 1;
      made.push(
        make(
          "p",
          "",
          this.button(
            marks.own ? says.use_test : says.use_own,
            () => this.mark([marks.whole("other", other)]),
            "plain small",
          ),
        ),
      );
    }
    if (job.shafts_move_alone) {
      made.push(
        make(
          "details",
          "",
          make("summary", "", says.alone),
          make("p", "", says.alone_how),
          make("div", "scroll", this.#alone()),
        ),
      );
    }
    return made;
  }

  /** The shafts that these picks lift alike, and the picks more that would tell them apart. */
  #untold() {
    const { says, marks, job } = this;
    const { pairs, more } = job.untold[marks.own ? "own" : "test"];
    if (!pairs.length) return [];
    const list = pairs.map((pair) => pair.join("–")).join(", ");
    return [
      make("p", "strong", fill(says.untold, { list })),
      make("p", "", several(says, "more", more.length)),
      make("ul", "", ...more.map((pick) => make("li", "", fill(says.more_pick, { shafts: pick.join(" ") })))),
    ];
  }

  /** Which ends of each group rise when a shaft is lifted alone. */
  #alone() {
    const { groups, threading, shafts } = this.job;
    const used = [...new Set(threading)].filter((shaft) => shaft < shafts).sort((a, b) => a - b);
    const head = make(
      "tr",
      "",
      make("th", "", ""),
      ...used.map((shaft) => make("th", "", String(shaft + 1))),
    );
    const rows = groups.map(({ first, last }) => {
      const rising = (shaft) =>
        threading
          .slice(first - 1, last)
          .map((on, at) => (on === shaft ? at + 1 : 0))
          .filter(Boolean)
          .join(" ");
      return make(
        "tr",
        "",
        make("th", "", fill(this.says.group, { a: first, b: last })),
        ...used.map((shaft) => make("td", "", rising(shaft) || "–")),
      );
    });
    return make("table", "alone", make("thead", "", head), make("tbody", "", ...rows));
  }

  // What several views show.

  strip() {
    const { marks } = this;
    const size = Math.min(WINDOW, marks.ends - this.first + 1);
    const svg = testWeb(marks, this.at.slips, this.first, size, this.flip);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", this.says.web);
    svg.addEventListener("click", (event) => {
      const box = svg.getBoundingClientRect();
      const share = Math.min(0.9999, Math.max(0, (event.clientX - box.left) / box.width));
      this.goTo(Math.floor((this.flip ? 1 - share : share) * marks.ends) + 1);
    });
    const scroll = make("div", "scroll webscroll", svg);
    scroll.tabIndex = 0;
    scroll.setAttribute("role", "region");
    scroll.setAttribute("aria-label", this.says.web);
    // Once it is on the page, the ends that are shown large stand in the middle.
    requestAnimationFrame(() => {
      const share = (this.first - 1 + size / 2) / marks.ends;
      scroll.scrollLeft =
        (this.flip ? 1 - share : share) * svg.getBoundingClientRect().width - scroll.clientWidth / 2;
    });
    return scroll;
  }

  /** After the screen is drawn. */
  shown() {
    this.views.cells.shown();
  }

  /** How much of the web was compared with the cloth, once the job is done. */
  compared() {
    this.#look(); // the page may begin here
    return fill(this.says.compared, { n: this.at.looked, of: this.marks.ends });
  }

  told(each) {
    const { says } = this;
    const name =
      {
        "wrong shaft": each.found ? "on" : "off",
        extra: each.found ? "extra_on" : "extra_off",
        "wrong lift": each.planned ? "not_risen" : "risen",
      }[each.kind] ?? each.kind;
    const what = fill(this.job.sentences[name], { planned: each.planned, found: each.found });
    if (each.end === null) return fill(says.pick_is, { pick: each.pick, what });
    return each.kind === "crossed"
      ? fill(says.ends_are, { end: each.end, next: each.end + 1, what })
      : fill(says.end_is, { end: each.end, what });
  }

  against(each) {
    if (each.odds >= MOST_ODDS) return this.says.certain;
    return fill(this.says.odds, {
      odds: each.odds >= 10 ? Math.round(each.odds) : Number(each.odds.toPrecision(2)),
    });
  }
}
