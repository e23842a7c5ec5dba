// The test weave on the page at the loom: picks, questions, cells, slips and mending, all without a network.
import { fill, make } from "./draw.js";
import { stretches } from "./facts.js";
import { best, sure } from "./slip_asking.js";
import { SIGNS, everything, looks, rose, seenAt, slipOf, top } from "./slip_possible.js";
import { MOST_ODDS } from "./slip_naming.js";
import { read } from "./slip_said.js";
import { Marks } from "./weave_marks.js";
import { floatsOf, patch, testWeb } from "./weave_draw.js";

const WIDE_TABLE = 10; // shafts: more of them stand in narrow columns, so that a phone shows all
const WINDOW = 8; // ends side by side, each wide enough for a thumb
const MOST_PATTERNS = 6;
const MOST_CLOTHS = 6;
const NEAR = 3; // ends on each side of a tap on the strip
const DOUBTFUL = 3; // odds

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
  #mark(changes) {
    const { done, stack, place } = this.beside;
    const spans = [];
    for (const [first, last, value] of changes) {
      const before = stretches(done, 1 - value, first, last).map(([from, to]) => [from, to, 1 - value]);
      if (!before.length) continue;
      spans.unshift(...before);
      this.beside.say(first, last, value);
    }
    if (spans.length) stack.push({ place, spans });
    this.#again();
  }

  #again() {
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
    const card = [
      this.#tabs(),
      ...{ ask: () => this.#ask(), cells: () => this.#cells(), slips: () => this.#slips() }[this.view](),
    ];
    const open = this.#open().length;
    return {
      place: this.says.find,
      count: open ? fill(this.says.slips, { n: open }) : "",
      card,
      say: "",
      short: this.says.find,
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
  #windowOf(end) {
    const inside = Math.min(end, this.marks.ends);
    return inside - ((inside - 1) % WINDOW);
  }

  /** A tap on the strip: these ends are looked at, or the slip lies there. */
  goTo(end) {
    this.#look();
    this.first = this.#windowOf(end);
    if (this.view === "ask") this.#answerAt(Math.max(1, end - NEAR), Math.min(this.marks.ends, end + NEAR));
    else this.#show("cells");
  }

  #show(view) {
    this.view = view;
    this.word = "";
    this.#again();
    this.beside.top();
  }

  #button(text, go, kind = "plain") {
    const button = make("button", kind, text);
    button.type = "button";
    button.onclick = go;
    return button;
  }

  /** An answer: the next question stands at the top again. */
  #answer(changes) {
    this.word = "";
    this.#mark(changes);
    this.beside.top();
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
        const tab = this.#button(text, () => this.#show(view), "plain small");
        tab.setAttribute("aria-pressed", String(this.view === view));
        return tab;
      }),
    );
  }

  // The picks.

  #picks() {
    const { marks, says, job } = this;
    const shafts = [...Array(job.shafts).keys()].map((shaft) => shaft + 1);
    const row = (pick, number) =>
      make(
        "tr",
        "",
        make("th", "", String(number + 1)),
        ...shafts.map((shaft) => make("td", "", pick.includes(shaft) ? make("b", "", String(shaft)) : "·")),
      );
    const lifts = make("table", "lifts", make("tbody", "", ...marks.picks.map(row)));
    if (job.shafts > WIDE_TABLE) {
      lifts.classList.add("many");
      lifts.style.minWidth = `${(job.shafts + 1) * 1.1}rem`;
    }
    /** @type {HTMLElement[]} */
    const made = [make("p", "", marks.own ? says.picks_own : says.picks_test), make("div", "scroll", lifts)];
    made.push(...this.#untold());
    if (job.own.length) {
      const other = marks.at("other") ? 0 : 1;
      made.push(
        make(
          "p",
          "",
          this.#button(
            marks.own ? says.use_test : says.use_own,
            () => this.#mark([marks.whole("other", other)]),
            "plain small",
          ),
        ),
      );
    }
    made.push(
      make(
        "details",
        "",
        make("summary", "", says.alone),
        make("p", "", says.alone_how),
        make("div", "scroll", this.#alone()),
      ),
    );
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

  // The questions.

  /** What one slip could be by the answers so far. */
  #search() {
    if (this.asking) return this.asking;
    const { marks, at } = this;
    const answers = marks.answers();
    const known = at.slips.filter((_, place) => !at.mended[place]);
    const web = marks.standingWith(known);
    let state = everything(web.web, this.job.shafts, web.free);
    if (answers.at) state = seenAt(state, ...answers.at);
    for (const sign of answers.signs) state = looks(state, sign);
    for (const { shafts, seen } of answers.lifts) if (seen.length) state = rose(state, shafts, seen);
    const own = new Set(marks.picks.map(String));
    const other = new Set([...this.job.test, ...this.job.own].map(String));
    const lifts = this.job.lifts.filter(
      (lift) => own.has(String(lift)) || !other.has(String(lift)) || lift.length === 1,
    );
    const known_ = (question) => {
      if (question.kind === "where") return answers.passed.where;
      if (question.kind === "looks") return answers.signs.length > 0 || answers.passed.looks;
      const there = answers.lifts.find((each) => String(each.shafts) === String(question.shafts));
      return (
        Boolean(there) &&
        question.ends.every((end) => there.seen.some(([each]) => each === end) || there.unseen.includes(end))
      );
    };
    this.asking = {
      answers,
      question: best(state, lifts, known_),
      slip: web.named(slipOf(state, top(state))),
      sure: sure(state),
    };
    return this.asking;
  }

  #ask() {
    const { says, job } = this;
    const { answers, question, slip, sure: certain } = this.#search();
    const made = [];
    if (this.word) made.push(make("p", "strong wrong", this.word));
    if (answers.any && (certain || !question)) {
      made.push(make("p", "strong", this.#told(slip)), make("p", "quiet", this.#against(slip)));
      if (slip.odds < DOUBTFUL) made.push(make("p", "quiet", says.doubtful));
      made.push(this.#button(says.yes, () => this.#keep(slip), "wide"));
    } else if (question) {
      made.push(...this.#question(question));
      if (answers.any && slip.odds >= DOUBTFUL)
        made.push(make("p", "quiet", fill(says.likely, { what: this.#told(slip) })));
    } else {
      made.push(make("p", "", says.no_question));
    }
    if (answers.any)
      made.push(
        make(
          "p",
          "",
          this.#button(says.again, () => this.#answer(this.marks.forgotten()), "plain small"),
        ),
      );
    made.push(this.#typed());
    if (!answers.at) made.unshift(make("p", "", says.touch), this.#strip());
    if (document.getElementById("beside").dataset.url) {
      const photo = make("a", "button plain small", says.photo);
      photo.href = job.photo_address;
      made.push(make("p", "", photo));
    }
    if (job.units && !answers.any) made.push(make("p", "quiet", says.heddle_asked));
    return made;
  }

  #question(question) {
    const { says, marks } = this;
    if (question.kind === "where") {
      const spans = question.stretches.map(([a, b]) =>
        this.#button(fill(b > a ? says.span : says.one_end, { a, b }), () => this.#within(a, b)),
      );
      return [
        make("p", "strong", says.where),
        make("div", `replies across${this.flip ? " leftward" : ""}`, ...spans),
        this.#pass(() => [marks.change("passed", 0, 0, 1)]),
      ];
    }
    if (question.kind === "looks") {
      const signs = SIGNS.map((sign, at) =>
        this.#button(this.job.sentences[sign], () => this.#answer([marks.change("sign", at, at, 1)])),
      );
      return [
        make("p", "strong", says.looks),
        make("div", "replies", ...signs),
        this.#pass(() => [marks.change("passed", 1, 1, 1)]),
      ];
    }
    const asks = fill(question.shafts.length === 1 ? says.lift_one : says.lift, {
      shafts: question.shafts.join(" "),
    });
    const replies = question.patterns.slice(0, MOST_PATTERNS).map((pattern) => {
      const ends = question.ends.map((end, at) =>
        make("span", pattern[at] ? "up" : "down", make("i"), String(end)),
      );
      const rising = question.ends.filter((_, at) => pattern[at]);
      const shown = make("span", `ends${this.flip ? " leftward" : ""}`, ...ends);
      shown.setAttribute("aria-hidden", "true");
      const told = rising.length ? fill(says.rise, { ends: rising.join(", ") }) : says.none;
      const button = this.#button("", () => this.#answerLift(question, pattern));
      button.append(shown, make("span", "hidden", told));
      return button;
    });
    return [
      make("p", "strong", asks),
      make("div", "replies", ...replies),
      this.#pass(() =>
        this.#bits(
          "unseen",
          question,
          question.ends.map(() => 1),
        ),
      ),
    ];
  }

  #pass(changes) {
    return make(
      "p",
      "",
      this.#button(this.says.unseen, () => this.#answer(changes()), "plain small"),
    );
  }

  /** Bits of these ends in the row of a lift. */
  #bits(name, question, values) {
    const lift = this.job.lifts.findIndex((each) => String(each) === String(question.shafts));
    return question.ends.map((end, at) =>
      this.marks.change(name, lift * this.marks.ends + end - 1, lift * this.marks.ends + end - 1, values[at]),
    );
  }

  #answerLift(question, pattern) {
    this.#answer([
      ...this.#bits(
        "answered",
        question,
        pattern.map(() => 1),
      ),
      ...this.#bits("rose", question, pattern.map(Number)),
    ]);
  }

  /** One of the stretches that were asked for: of what was said before, only that part. */
  #within(first, last) {
    const before = this.#search().answers.at ?? [first, last];
    const both = [Math.max(first, before[0]), Math.min(last, before[1])];
    this.#answerAt(...(both[0] <= both[1] ? both : [first, last]));
  }

  #answerAt(first, last) {
    const { marks } = this;
    this.#answer([marks.whole("at"), marks.change("at", first - 1, last - 1, 1)]);
  }

  #typed() {
    const { says, marks } = this;
    const field = make("input");
    field.id = "said";
    field.autocomplete = "off";
    field.placeholder = fill(says.span, { a: 40, b: 43 });
    field.setAttribute("aria-describedby", "said-help");
    const label = make("label", "", says.say_it);
    label.htmlFor = "said";
    const help = make("p", "help", says.say_help);
    help.id = "said-help";
    const take = make("button", "plain", says.take);
    const form = make("form", "words", make("div", "field", label, field, help), take);
    form.onsubmit = (event) => {
      event.preventDefault();
      this.#take(read(field.value, marks.ends, this.job.shafts, this.page.end_1));
    };
    return form;
  }

  #take(heard) {
    const { marks, job } = this;
    this.word = heard.wrong ? fill(this.says[heard.wrong[0]], heard.wrong[1]) : "";
    const changes = [];
    if (heard.at) changes.push(marks.whole("at"), marks.change("at", heard.at[0] - 1, heard.at[1] - 1, 1));
    if (heard.sign)
      changes.push(marks.change("sign", SIGNS.indexOf(heard.sign), SIGNS.indexOf(heard.sign), 1));
    if (heard.rose) {
      const lift = job.lifts.findIndex((each) => String(each) === String(heard.rose.shafts));
      if (lift < 0) {
        this.word = this.says.other_lift;
      } else {
        const ends = heard.rose.seen.map(([end]) => end);
        const question = { shafts: heard.rose.shafts, ends };
        changes.push(
          ...this.#bits(
            "answered",
            question,
            ends.map(() => 1),
          ),
          ...this.#bits(
            "rose",
            question,
            heard.rose.seen.map(([, up]) => Number(up)),
          ),
        );
      }
    }
    this.#mark(changes);
  }

  #keep(slip) {
    const place = this.marks.code(slip);
    this.view = "slips";
    this.#mark([
      ...this.marks.forgotten(),
      this.marks.change("kept", place, place, 1),
      ...this.marks.withOdds(slip.end, slip.odds),
    ]);
  }

  // The cells.

  #strip() {
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

  #cells() {
    const { marks, says, job } = this;
    const last = Math.min(this.first + WINDOW - 1, marks.ends);
    const ends = Array.from({ length: last - this.first + 1 }, (_, at) => this.first + at);
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
    const seen = marks.looked(this.first - 1);
    const ahead = this.first + WINDOW <= marks.ends ? this.first + WINDOW : 1;
    const moves = make("p", "acts");
    if (this.first > 1)
      moves.append(this.#button(says.before, () => this.#move(this.first - WINDOW), "plain small"));
    if (last < marks.ends) moves.append(this.#button(says.after, () => this.#move(last + 1), "plain small"));
    if (seen) moves.append(this.#button(says.forget, () => this.#forget(last), "plain small"));
    const here = this.first;
    return [
      make("p", "", says.touch),
      this.#strip(),
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
      this.#button(
        says.looked,
        () => {
          this.first = ahead;
          this.#mark([this.#lookedAt(here, last, 1)]);
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
        marks.row(pick) * marks.ends + this.first - 1,
        marks.row(pick) * marks.ends + last - 1,
        0,
      ),
    );
    this.#mark([this.#lookedAt(this.first, last, 0), ...rows]);
  }

  #move(first) {
    this.first = first;
    this.#again();
  }

  #cell(pick, end) {
    const { marks, says } = this;
    const planned = marks.planned(pick, end - 1);
    const differs = marks.differs(pick, end - 1);
    const cell = this.#button(
      "",
      () => {
        const place = marks.row(pick) * marks.ends + end - 1;
        this.focus = cell.dataset.cell;
        this.#mark([marks.change("differs", place, place, differs ? 0 : 1)]);
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

  /** How much of the web was compared with the cloth, once the job is done. */
  compared() {
    return fill(this.says.compared, { n: this.at.looked, of: this.marks.ends });
  }

  /** The cell that was tapped has the focus again once it is drawn again. */
  shown() {
    if (!this.focus) return;
    /** @type {HTMLElement | null} */
    const cell = document.querySelector(`[data-cell="${this.focus}"]`);
    cell?.focus();
    this.focus = "";
  }

  // Slips and mending.

  #told(each) {
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

  #odds(each) {
    if (!each.kept) return this.#against(each);
    if (!this.marks.odds(each.end)) return this.says.confirmed;
    return `${this.says.by_questions} · ${this.#against(each)}`;
  }

  #against(each) {
    if (each.odds >= MOST_ODDS) return this.says.certain;
    return fill(this.says.odds, {
      odds: each.odds >= 10 ? Math.round(each.odds) : Number(each.odds.toPrecision(2)),
    });
  }

  #slips() {
    const { says, at, marks } = this;
    /** @type {HTMLElement[]} */
    const made = [make("p", "quiet", fill(says.compared, { n: at.looked, of: marks.ends }))];
    if (!at.slips.length) {
      made.push(
        make(
          "p",
          "strong",
          at.unexplained
            ? several(says, "unexplained", at.unexplained)
            : at.looked
              ? says.none_seen
              : says.nothing_yet,
        ),
      );
    }
    made.push(make("ul", "slips", ...at.slips.map((each, place) => this.#slip(each, place))));
    if (at.mending.length) made.push(...this.#mending());
    if (at.slips.length && at.slips.every((_, place) => at.mended[place] || at.left[place])) {
      made.push(
        make("p", "", says.all_ticked),
        this.#button(says.compare_again, () => this.#begin(), "wide"),
      );
    }
    if (at.left.includes(true) || at.slips.length) made.push(...this.#ifLeft());
    return made;
  }

  /** The mended warp is compared again, from the first end that was mended; what stays as it is, stays known. */
  #begin() {
    const { marks, at } = this;
    const stay = at.slips.flatMap((each, place) => {
      const code = marks.code(each);
      return at.left[place] ? ["kept", "left"].map((name) => marks.change(name, code, code, 1)) : [];
    });
    const mended = at.slips.filter((each, place) => at.mended[place] && each.end !== null);
    this.view = "cells";
    this.first = mended.length ? this.#windowOf(mended[0].end) : 1;
    this.#mark([
      ...marks.forgotten(),
      ...["looked", "differs", "kept", "mended", "left", "way"].map((name) => marks.whole(name)),
      ...stay,
    ]);
  }

  #slip(each, place) {
    const { says, at, marks } = this;
    const code = marks.code(each);
    const others = at.alternatives
      .filter(({ instead }) => instead === place)
      .slice(0, 6)
      .map((other) => this.#told(other.slip));
    const where = each.end
      ? this.#button(
          this.#told(each),
          () => {
            this.first = this.#windowOf(each.end);
            this.#show("cells");
          },
          "link",
        )
      : make("b", "", this.#told(each));
    const line = make(
      "li",
      at.left[place] ? "left" : "",
      where,
      make("span", "quiet", ` · ${this.#odds(each)}`),
    );
    if (each.odds < DOUBTFUL) line.append(make("span", "quiet", ` ${says.doubtful}`));
    if (others.length)
      line.append(make("br"), make("span", "quiet", fill(says.or, { what: others.join("; ") })));
    if (at.left[place]) line.append(make("b", "", ` · ${says.stays}`));
    const acts = make("p", "acts");
    if (each.kept)
      acts.append(
        this.#button(
          says.remove,
          () =>
            this.#mark([
              marks.change("kept", code, code, 0),
              marks.change("left", code, code, 0),
              marks.change("mended", code, code, 0),
            ]),
          "plain small",
        ),
      );
    acts.append(
      this.#button(
        at.left[place] ? says.leave_not : says.leave,
        () => this.#mark([marks.change("left", code, code, at.left[place] ? 0 : 1)]),
        "plain small",
      ),
    );
    line.append(acts);
    return line;
  }

  #mending() {
    const { says, at, job, marks } = this;
    const way = Math.min(marks.way, at.mending.length - 1);
    const chosen = at.mending[way];
    const told = [fill(says.about, { minutes: minutesOf(chosen.minutes) })];
    if (job.learned) told.push(several(says, "learned", job.learned));
    if (chosen.proved && way === 0) told.push(says.proved);
    const actions = [...chosen.actions].sort(
      (a, b) => (a.ends[0] - b.ends[0] || a.ends[1] - b.ends[1]) * (this.flip ? 1 : -1),
    );
    /** @type {HTMLElement[]} */
    const made = [
      make("h2", "", says.mend),
      make("p", "", `${told.join(" ")} ${says.right_to_left}`),
      make("ol", "ticks", ...actions.map((action) => this.#action(action))),
    ];
    if (at.mending.length > 1) {
      made.push(
        make(
          "details",
          "",
          make("summary", "", says.ways),
          ...at.mending.map((each, number) =>
            make(
              "p",
              "",
              number === way
                ? make("b", "", says.chosen)
                : this.#button(
                    says.choose,
                    () => this.#mark([marks.whole("way"), marks.change("way", number, number, 1)]),
                    "plain small",
                  ),
              ` ${fill(says.minutes, { minutes: minutesOf(each.minutes) })}: ${each.actions.map((action) => action.do).join("; ")}`,
            ),
          ),
        ),
      );
    }
    return made;
  }

  #action(action) {
    const { says, at, marks, job } = this;
    const done = action.slips.every((place) => at.mended[place]);
    const needs = [];
    for (const [name, shafts] of [
      ["needs_repair", action.needs.repairs],
      ["needs_spare", action.needs.spare],
    ]) {
      if (shafts.length)
        needs.push(
          fill(shafts.length === 1 ? says[`${name}_one`] : says[name], { shafts: shafts.join(", ") }),
        );
    }
    for (const end of action.needs.new) {
      needs.push(
        fill(says.needs_end, { length: job.length, yarn: this.page.yarns[job.yarn?.[end - 1]]?.name ?? "" }),
      );
    }
    const tick = this.#button(
      "",
      () =>
        this.#mark(
          action.slips.map((place) => {
            const code = marks.code(at.slips[place]);
            return marks.change("mended", code, code, done ? 0 : 1);
          }),
        ),
      "tick plain",
    );
    tick.setAttribute("aria-pressed", String(done));
    const text = make(
      "span",
      "",
      action.do,
      make("span", "quiet", ` · ${fill(says.minutes, { minutes: minutesOf(action.minutes) })}`),
    );
    if (needs.length) text.append(make("br"), make("span", "quiet", needs.join(", ")));
    tick.append(make("span", "box", done ? "✓" : ""), text);
    return make("li", "", tick);
  }

  #ifLeft() {
    const { says, at, job } = this;
    const seen = at.slips
      .filter(
        ({ end, kind }) => end !== null && !["empty dent", "crowded dent", "round its heddle"].includes(kind),
      )
      .slice(0, MOST_CLOTHS);
    if (!seen.length) return [];
    const [planned, left] = [job.threading, at.there].map((threading) =>
      this.#floats(floatsOf(job.weave, threading)),
    );
    /** @type {HTMLElement[]} */
    const made = [
      make("h2", "", says.if_left),
      make("p", "", fill(says.floats, { planned, left })),
      make(
        "div",
        "patches",
        ...seen.map(({ end }) =>
          make(
            "figure",
            "",
            patch(job, job.threading, end, this.flip),
            patch(job, at.there, end, this.flip),
            make("figcaption", "", fill(says.around, { n: end })),
          ),
        ),
      ),
    ];
    if (document.getElementById("beside").dataset.url) {
      const link = make("a", "button plain", says.plan_it);
      link.href = job.plan_address;
      made.push(make("p", "", link));
    } else {
      made.push(make("p", "quiet", says.plan_needs));
    }
    return made;
  }

  #floats({ warp, weft }) {
    const over = (threads) => (threads === null ? this.says.endless : fill(this.says.over, { n: threads }));
    return fill(this.says.floats_of, { warp: over(warp), weft: over(weft) });
  }
}

const several = (says, name, n) => fill(n === 1 ? says[`${name}_one`] : says[name], { n });

const minutesOf = (minutes) => (minutes >= 10 ? minutes.toFixed(0) : Number(minutes.toFixed(1)));
