// The At the loom page: keeps your place, shows the next step, stores what was done.
import {
  apply,
  checkSum,
  compare,
  fnv,
  heldOf,
  isFact,
  nameOf,
  nextCounter,
  stateOf,
  stretches,
} from "./facts.js";
import { draw, fill, make } from "./draw.js";
import { Keep } from "./local_store.js";
import { Line } from "./sync.js";
import { press } from "./next_button.js";
import { screensOf } from "./screens.js";
import { overWeb } from "./warp_strip.js";
import { panels } from "./panels.js";
import { awake, Voice } from "./voice.js";
import { TestWeave } from "./test_weave.js";

/** @type {(id: string) => any} an element of any kind: a form field, a dialog, a link */
const byId = (id) => document.getElementById(id);
const text = byId("job-data").textContent;
const page = JSON.parse(text);
const words = page.words;
/** @typedef {import("./facts.js").Row} Row */
const root = byId("beside");
const hand = [...crypto.getRandomValues(new Uint8Array(8))]
  .map((each) => each.toString(16).padStart(2, "0"))
  .join("");
const SETTINGS = "loomready-beside";

class JobPage {
  constructor(keep) {
    this.page = page;
    this.keep = keep;
    this.settings = page.settings = { next: "tap", from: "first", run: "loom", read: false, ...remembered() };
    /** @type {Map<string, Row>} */
    this.rows = new Map();
    this.waiting = new Set();
    /** @type {Map<string, string>} facts that the server did not accept, and why */
    this.refused = new Map();
    this.storing = new Set(); // names of facts that are not stored in the browser yet
    this.stack = [];
    this.voice = new Voice(words);
    this.weave = page.jobs["test-weave"] ? new TestWeave(this) : null;
    this.name = page.order.includes(root.dataset.job) ? root.dataset.job : page.order[0];
    this.elsewhere = 0;
    this.notes = [];
  }

  get job() {
    return page.jobs[this.name];
  }

  async begin() {
    for (const row of page.facts) this.rows.set(nameOf(row), row);
    // Facts kept here that are not in the page are not on the server, whether sent once or not.
    const removed = new Set(page.removed);
    for (const { row } of await this.keep.all()) {
      if (removed.has(nameOf(row))) {
        this.keep.drop([row]);
        continue;
      }
      if (!isFact(row) || this.rows.has(nameOf(row))) continue;
      this.rows.set(nameOf(row), row);
      this.waiting.add(nameOf(row));
    }
    // What an earlier version kept of the test weave is sent as facts.
    for (const row of page.jobs["test-weave"]?.of_record ?? []) {
      if (this.rows.has(nameOf(row)) || removed.has(nameOf(row))) continue;
      this.rows.set(nameOf(row), row);
      this.waiting.add(nameOf(row));
    }
    this.counter = nextCounter(this.rows.values());
    if (root.dataset.sum && root.dataset.sum !== fnv(text).toString(16)) this.notes.push(words.edited);
    press(
      byId("next"),
      () => this.settings.next,
      () => this.next(),
    );
    byId("back").onclick = () => this.back();
    byId("undo").onclick = () => this.undo();
    byId("read").onclick = () => this.set("read", !this.settings.read);
    document.addEventListener("keydown", (event) => this.key(event));
    byId("web").addEventListener("click", (event) => this.goTo(this.overWeb.unitAt(event)));
    document.addEventListener("loomready:news", (event) => event.preventDefault());
    this.panels = panels(this);
    awake(words, (told) => {
      byId("awake").textContent = told;
    });
    this.open(this.name);
    if (root.dataset.url) {
      this.line = new Line(
        { url: root.dataset.url, token: root.dataset.token, last: page.last, guild: page.guild.id },
        {
          unsent: () => this.unsent(),
          sent: (rows, refused) => this.sent(rows, refused),
          heard: (told, all) => this.heard(told, all),
          changed: () => this.showKept(),
        },
      );
      this.line.start();
    }
    root.classList.add("live");
    root.removeAttribute("aria-busy");
  }

  /** Another job of the same warp; nothing is fetched for it. */
  open(name) {
    this.name = name;
    if (root.dataset.url && location.protocol !== "file:") {
      history.replaceState(null, "", location.pathname.replace(/[^/]*$/, name) + location.hash);
    }
    if (this.settings.from === "middle" && name !== "sleying") this.from = "first";
    else this.from = this.settings.from;
    this.overWeb = overWeb(byId("web"), page, name);
    this.screens = screensOf(name, this.job, this.from);
    this.reckon();
    this.stack = [];
    const begun = this.done.includes(1);
    this.place = begun ? this.nextOpen(0) : 0;
    this.panels.opened();
    this.show();
  }

  reckon() {
    this.done = stateOf(
      this.rows.values(),
      this.name,
      this.job.marks ?? this.job.units,
      this.job.plan,
      this.job.earlier,
    );
  }

  isDone(screen) {
    if (!screen?.first) return false;
    return !this.done.subarray(screen.first - 1, screen.last).includes(0);
  }

  /** The first screen from this one on with something to do; after the last the earlier ones. */
  nextOpen(from) {
    const { count, at } = this.screens;
    const open = (place) => {
      const screen = at(place);
      if (screen.kind === "take") return !screen.group.parts.every((part) => this.isDone(part));
      return screen.first > 0 && !this.isDone(screen);
    };
    for (let place = from; place < count; place++) if (open(place)) return place;
    for (let place = 0; place < from; place++) if (open(place)) return place;
    return count;
  }

  next() {
    const screen = this.place < this.screens.count ? this.screens.at(this.place) : null;
    if (!screen) return;
    byId("again").hidden = true;
    if (screen.first && !this.isDone(screen)) {
      this.stack.push({ place: this.place, spans: stretches(this.done, 0, screen.first, screen.last) });
      this.say(screen.first, screen.last, 1);
      this.place = this.nextOpen(this.place + 1);
    } else if (screen.first && this.place + 1 < this.screens.count) {
      this.place += 1; // looking at what is done
    } else {
      this.place = screen.first ? this.nextOpen(this.place) : Math.min(this.place + 1, this.screens.count);
      if (!screen.first && this.isDone(this.screens.at(Math.min(this.place, this.screens.count - 1)))) {
        this.place = this.nextOpen(this.place);
      }
    }
    this.show();
  }

  back() {
    if (this.place > 0) this.place -= 1;
    this.show();
  }

  undo() {
    const screen = this.place < this.screens.count ? this.screens.at(this.place) : null;
    if (screen && this.isDone(screen)) {
      this.say(screen.first, screen.last, 0);
      this.stack = this.stack.filter((each) => each.place !== this.place);
      return this.show();
    }
    const last = this.stack.pop();
    if (!last) return this.tell(words.nothing_to_undo);
    for (const [first, until, value = 0] of last.spans) this.say(first, until, value);
    this.place = last.place;
    return this.show();
  }

  /** Add a fact: stored at once, sent when possible. */
  say(first, last, value) {
    /** @type {Row} */
    const row = [this.name, this.job.plan, first, last, value, this.counter++, hand];
    this.rows.set(nameOf(row), row);
    this.waiting.add(nameOf(row));
    apply(this.done, row, this.job.plan, this.job.earlier);
    this.storing.add(nameOf(row));
    this.keep.put([row], false).then((stored) => {
      if (stored) this.storing.delete(nameOf(row));
      this.showKept();
      this.line?.now();
    });
  }

  goTo(unit) {
    if (this.weaves && this.place === this.screens.find(1)) return this.weave.goTo(unit);
    const place = this.screens.find(unit);
    if (place >= 0 && place < this.screens.count) {
      this.place = place;
      this.show();
    }
    return undefined;
  }

  /** Whether the job is the test weave, which draws its screens itself. */
  get weaves() {
    return this.name === "test-weave";
  }

  #drawn(screen) {
    return this.weaves && screen.kind !== "ready"
      ? this.weave.draw(screen)
      : draw(page, this.name, screen, this.done);
  }

  /** The card from its beginning. */
  top() {
    byId("card").scrollTop = 0;
  }

  /** Picks up to this one are woven, those after it are not. */
  weftAt(pick) {
    for (const [first, last] of stretches(this.done, 0, 1, pick)) this.say(first, last, 1);
    for (const [first, last] of stretches(this.done, 1, pick + 1)) this.say(first, last, 0);
    this.place = Math.min(pick + 1, this.screens.count);
    this.show();
  }

  set(name, value) {
    this.settings[name] = value;
    try {
      localStorage.setItem(SETTINGS, JSON.stringify(this.settings));
    } catch {
      /* a browser that keeps nothing forgets settings too */
    }
    if (name === "from") this.open(this.name);
    else this.show();
  }

  unsent() {
    return [...this.waiting].map((name) => this.rows.get(name));
  }

  /** These were sent; for those that were refused, the place in the list and the reason. They stay here. */
  sent(rows, refused = []) {
    const why = new Map(refused);
    rows.forEach((row, place) => {
      this.waiting.delete(nameOf(row));
      this.storing.delete(nameOf(row));
      if (why.has(place)) this.refused.set(nameOf(row), why.get(place));
    });
    this.keep.put(
      rows.filter((_row, place) => !why.has(place)),
      true,
    );
  }

  /**
   * The server's answer: others' facts, and whether the plan is still this one. `all`: these are all it
   * holds.
   * @returns {boolean} whether it holds the facts that it should, by what was sent and told
   */
  heard(told, all) {
    for (const row of told.facts) {
      this.waiting.delete(nameOf(row));
      this.refused.delete(nameOf(row));
    }
    this.take(told.facts, true);
    if (all) {
      this.drop(told.removed);
      const there = new Set(told.facts.map(nameOf));
      for (const name of this.rows.keys())
        if (!there.has(name) && !this.refused.has(name)) this.waiting.add(name);
    }
    if (told.plans && told.plans[this.name] !== this.job.plan) byId("changed").hidden = false;
    if (told.word) this.tell(told.word);
    const sent = [...this.rows].filter(([name]) => !this.waiting.has(name) && !this.refused.has(name));
    return String(heldOf(sent.map(([, row]) => row))) === String(told.held);
  }

  /** The guild's owner removed these facts; others may have been refused for a counter that one of them made. */
  drop(names) {
    const gone = names.filter((name) => this.rows.has(name)).map((name) => this.rows.get(name));
    if (!gone.length) return;
    const again = [...this.refused.keys()].map((name) => this.rows.get(name)).sort(compare);
    this.keep.drop([...gone, ...again]);
    for (const name of [...gone, ...again].map(nameOf)) {
      this.rows.delete(name);
      this.waiting.delete(name);
      this.refused.delete(name);
    }
    this.counter = nextCounter(this.rows.values());
    /** @type {(row: Row) => Row} */
    const renewed = ([job, plan, first, last, value]) => [
      job,
      plan,
      first,
      last,
      value,
      this.counter++,
      hand,
    ];
    const fresh = again.map(renewed);
    for (const row of fresh) {
      this.rows.set(nameOf(row), row);
      this.waiting.add(nameOf(row));
    }
    this.keep.put(fresh, false);
    this.reckon();
    this.show();
  }

  /** Facts from elsewhere; those known already change nothing. */
  take(rows, sent) {
    const fresh = rows.filter((row) => isFact(row) && !this.rows.has(nameOf(row)));
    if (!fresh.length) return 0;
    for (const row of fresh) {
      this.rows.set(nameOf(row), row);
      if (!sent) this.waiting.add(nameOf(row));
      this.counter = Math.max(this.counter, row[5] + 1);
    }
    this.keep.put(fresh, sent);
    const here = this.place < this.screens.count && this.isDone(this.screens.at(this.place));
    this.reckon();
    if (!here && this.place < this.screens.count && this.isDone(this.screens.at(this.place))) {
      this.place = this.nextOpen(this.place);
    }
    this.elsewhere += fresh.filter((row) => row[0] === this.name && row[6] !== hand).length;
    this.show();
    return fresh.length;
  }

  key(event) {
    if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = event.target;
    if (
      byId("more").open ||
      (at instanceof Element && at.closest("input, select, textarea, summary, dialog, a"))
    )
      return;
    const button = at instanceof HTMLButtonElement && at.id !== "next";
    if (button && (event.key === " " || event.key === "Enter")) return;
    if ([" ", "Enter", "ArrowRight", "ArrowDown", "PageDown"].includes(event.key)) this.next();
    else if (["ArrowLeft", "ArrowUp", "PageUp"].includes(event.key)) this.back();
    else if (["u", "U", "Backspace", "Delete"].includes(event.key)) this.undo();
    else return;
    event.preventDefault();
  }

  show() {
    const { count, at } = this.screens;
    const screen = this.place < count ? at(this.place) : null;
    const card = byId("card");
    byId("job-name").textContent = words[this.name];
    byId("read").setAttribute("aria-pressed", String(this.settings.read));
    if (!screen) {
      const units = this.name === "tying" ? this.job.ends : this.job.units;
      const told =
        this.name === "weaving"
          ? words.finished_picks
          : this.name === "beaming"
            ? words.finished
            : words.finished_ends;
      const says = this.weaves ? this.weave.compared() : fill(told, { n: units });
      card.replaceChildren(make("p", "single done", "✓"), make("p", "strong", says));
      byId("place").textContent = says;
      byId("count").textContent = "";
      byId("then").textContent = "";
    } else {
      const drawn = this.#drawn(screen);
      card.replaceChildren(...drawn.card);
      byId("place").textContent = drawn.place;
      byId("count").textContent = [drawn.count, this.left(screen)].filter(Boolean).join(" · ");
      const following = this.place + 1 < count ? at(this.place + 1) : null;
      const then = following ? this.#drawn(following).short : "";
      byId("then").textContent = then ? `${words.then} ${then}` : "";
      if (this.settings.read) this.voice.say(drawn.say);
    }
    const done = this.isDone(screen);
    card.classList.toggle("is-done", done);
    root.classList.toggle("is-ready", screen?.kind === "ready");
    root.classList.toggle("is-picks", screen?.kind === "picks");
    root.classList.toggle("is-find", screen?.kind === "find");
    byId("tag").hidden = !done;
    const go = screen?.kind === "find" && !done ? this.weave.go : null;
    byId("next").hidden = !screen || go === "";
    byId("finish").hidden = Boolean(screen) || this.nextOpen(0) < count;
    byId("finish-step").value = this.name;
    const label = !screen
      ? ""
      : go
        ? go
        : screen.kind === "picks"
          ? this.weave.says.woven
          : screen.kind === "ready"
            ? words.begin
            : screen.kind === "take"
              ? words.taken
              : done
                ? words.next
                : words.done_next;
    const hint = { hold: words.hold_on, double: words.tap_again }[this.settings.next] ?? "";
    byId("next").replaceChildren(make("span", "go-word", label), make("span", "go-hint", hint));
    byId("undo").textContent = done ? byId("undo").dataset.not : byId("undo").dataset.undo;
    this.overWeb.show(this.done.subarray(0, this.job.units), screen, this.job);
    if (this.weaves) this.weave.shown();
    this.panels.shown();
    this.showKept();
  }

  /** How much of the job is left, in a plain figure; tying on counts the ends of its round. */
  left(screen) {
    if (!screen.first || this.weaves) return "";
    const round = this.name === "tying" ? this.job.ends : this.job.units;
    const from = this.name === "tying" ? (screen.round - 1) * round : 0;
    const n = this.done.subarray(from, from + round).reduce((sum, each) => sum + 1 - each, 0);
    return n ? fill(words.left_now, { n }) : "";
  }

  /**
   * Everything from this end or pick on has to be done again, as far as it was done. @param {number} unit
   * @returns {string} what to do now
   */
  wrongFrom(unit) {
    const [low, high] = this.from === "far" ? [1, unit] : [unit, this.job.units];
    const spans = stretches(this.done, 1, low, high);
    const n = spans.reduce((sum, [first, last]) => sum + last - first + 1, 0);
    if (!n) return fill(words.wrong_none, { n: unit });
    this.stack.push({ place: this.place, spans: spans.map(([first, last]) => [first, last, 1]) });
    for (const [first, last] of spans) this.say(first, last, 0);
    this.goTo(unit);
    const list = spans.map(([a, b]) => (a === b ? `${a}` : `${a}–${b}`)).join(", ");
    return fill(words[`again_${this.name}`], { list, n, a: unit });
  }

  showKept() {
    const n = [...this.waiting, ...this.refused.keys()].filter((name) => !this.storing.has(name)).length;
    const refused = this.line?.refused;
    let told = n || this.waiting.size ? fill(words.waiting, { n }) : words.saved;
    if (!root.dataset.url) told = n ? fill(words.alone, { n }) : words.alone_none;
    else if (refused) told = fill(words.not_taken, { n });
    else if (this.line && (!this.line.reached || !navigator.onLine)) told = fill(words.offline, { n });
    else if (this.refused.size) told = fill(words.not_taken, { n });
    if (!this.keep.keeps) told = words.nothing_kept;
    // What others do stands beside it: it takes no room from the step.
    byId("others").textContent = this.elsewhere ? fill(words.also, { n: this.elsewhere }) : "";
    if (byId("kept").textContent !== told) byId("kept").textContent = told;
    const told_all = [...this.notes, refused ? why(refused) : "", this.whyRows()].filter(Boolean).join(" ");
    byId("notes").textContent = told_all;
    byId("notes").hidden = !told_all;
  }

  /** Why some facts were not accepted, as the server says of the first. */
  whyRows() {
    const [why] = this.refused.values();
    return why ? fill(words.rows_refused, { n: this.refused.size, why }) : "";
  }

  /** Show a message for a moment. */
  tell(word) {
    byId("told").textContent = word;
    clearTimeout(this.telling);
    this.telling = setTimeout(() => {
      byId("told").textContent = "";
    }, 6000);
  }

  /** The facts in the form of a file. */
  parcel() {
    const rows = [...this.rows.values()];
    return { format: page.format, guild: page.guild, warp: page.warp, facts: rows, sum: checkSum(rows) };
  }
}

/** Why the guild's page does not accept steps, in its own words or by its status. */
function why({ status, word, guild }) {
  if (guild) return fill(words.other_guild, { mine: page.guild.name, theirs: guild });
  return word || words[`refused_${status}`] || fill(words.refused, { status });
}

function remembered() {
  try {
    return JSON.parse(localStorage.getItem(SETTINGS) ?? "{}");
  } catch {
    return {};
  }
}

const beside = new JobPage(await Keep.open(`${page.guild.id}/${page.warp}`));
await beside.begin();
