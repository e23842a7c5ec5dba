// Questions that find a slip: where the cloth looks wrong, how, which ends rise.
import { fill, make } from "./draw.js";
import { best, sure } from "./slip_asking.js";
import { SIGNS, everything, looks, rose, seenAt, slipOf, top } from "./slip_possible.js";
import { read } from "./slip_typed_words.js";
import { DOUBTFUL, View } from "./test_weave_view.js";

const MOST_PATTERNS = 6;

export class Questions extends View {
  /** What one slip could be by the answers so far. */
  #search() {
    if (this.weave.asking) return this.weave.asking;
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
    this.weave.asking = {
      answers,
      question: best(state, lifts, known_),
      slip: web.named(slipOf(state, top(state))),
      sure: sure(state),
    };
    return this.weave.asking;
  }

  draw() {
    const { says, job } = this;
    const { answers, question, slip, sure: certain } = this.#search();
    const made = [];
    if (this.weave.word) made.push(make("p", "strong wrong", this.weave.word));
    if (answers.any && (certain || !question)) {
      made.push(make("p", "strong", this.weave.told(slip)), make("p", "quiet", this.weave.against(slip)));
      if (slip.odds < DOUBTFUL) made.push(make("p", "quiet", says.doubtful));
      made.push(this.weave.button(says.yes, () => this.#keep(slip), "wide"));
    } else if (question) {
      made.push(...this.#question(question));
      if (answers.any && slip.odds >= DOUBTFUL)
        made.push(make("p", "quiet", fill(says.likely, { what: this.weave.told(slip) })));
    } else {
      made.push(make("p", "", says.no_question));
    }
    if (answers.any)
      made.push(
        make(
          "p",
          "",
          this.weave.button(says.again, () => this.#answer(this.marks.forgotten()), "plain small"),
        ),
      );
    made.push(this.#typed());
    if (!answers.at) made.unshift(make("p", "", says.touch), this.weave.strip());
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
        this.weave.button(fill(b > a ? says.span : says.one_end, { a, b }), () => this.#within(a, b)),
      );
      return [
        make("p", "strong", says.where),
        make("div", `replies across${this.flip ? " leftward" : ""}`, ...spans),
        this.#pass(() => [marks.change("passed", 0, 0, 1)]),
      ];
    }
    if (question.kind === "looks") {
      const signs = SIGNS.map((sign, at) =>
        this.weave.button(this.job.sentences[sign], () => this.#answer([marks.change("sign", at, at, 1)])),
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
      const button = this.weave.button("", () => this.#answerLift(question, pattern));
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
      this.weave.button(this.says.unseen, () => this.#answer(changes()), "plain small"),
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
    this.answerAt(...(both[0] <= both[1] ? both : [first, last]));
  }

  answerAt(first, last) {
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
    this.weave.word = heard.wrong ? fill(this.says[heard.wrong[0]], heard.wrong[1]) : "";
    const changes = [];
    if (heard.at) changes.push(marks.whole("at"), marks.change("at", heard.at[0] - 1, heard.at[1] - 1, 1));
    if (heard.sign)
      changes.push(marks.change("sign", SIGNS.indexOf(heard.sign), SIGNS.indexOf(heard.sign), 1));
    if (heard.rose) {
      const lift = job.lifts.findIndex((each) => String(each) === String(heard.rose.shafts));
      if (lift < 0) {
        this.weave.word = this.says.other_lift;
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
    this.weave.mark(changes);
  }

  #keep(slip) {
    const place = this.marks.code(slip);
    this.weave.view = "slips";
    this.weave.mark([
      ...this.marks.forgotten(),
      this.marks.change("kept", place, place, 1),
      ...this.marks.withOdds(slip.end, slip.odds),
    ]);
  }

  /** An answer: the next question stands at the top again. */
  #answer(changes) {
    this.weave.word = "";
    this.weave.mark(changes);
    this.weave.beside.top();
  }
}
