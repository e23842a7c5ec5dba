// Slips that were found, what mends them, what they look like if they are left.
import { fill, make } from "./draw.js";
import { floatsOf, patch } from "./test_weave_draw.js";
import { DOUBTFUL, View, several } from "./test_weave_view.js";

const MOST_CLOTHS = 6;

export class Slips extends View {
  #odds(each) {
    if (!each.kept) return this.weave.against(each);
    if (!this.marks.odds(each.end)) return this.says.confirmed;
    return `${this.says.by_questions} · ${this.weave.against(each)}`;
  }

  draw() {
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
        this.weave.button(says.compare_again, () => this.#begin(), "wide"),
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
    this.weave.view = "cells";
    this.weave.first = mended.length ? this.weave.windowOf(mended[0].end) : 1;
    this.weave.mark([
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
      .map((other) => this.weave.told(other.slip));
    const where = each.end
      ? this.weave.button(
          this.weave.told(each),
          () => {
            this.weave.first = this.weave.windowOf(each.end);
            this.weave.show("cells");
          },
          "link",
        )
      : make("b", "", this.weave.told(each));
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
        this.weave.button(
          says.remove,
          () =>
            this.weave.mark([
              marks.change("kept", code, code, 0),
              marks.change("left", code, code, 0),
              marks.change("mended", code, code, 0),
            ]),
          "plain small",
        ),
      );
    acts.append(
      this.weave.button(
        at.left[place] ? says.leave_not : says.leave,
        () => this.weave.mark([marks.change("left", code, code, at.left[place] ? 0 : 1)]),
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
                : this.weave.button(
                    says.choose,
                    () => this.weave.mark([marks.whole("way"), marks.change("way", number, number, 1)]),
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
    const tick = this.weave.button(
      "",
      () =>
        this.weave.mark(
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

const minutesOf = (minutes) => (minutes >= 10 ? minutes.toFixed(0) : Number(minutes.toFixed(1)));
