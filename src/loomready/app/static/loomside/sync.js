// The connection to the server: sends what is kept here, receives what others did. It may be interrupted at
// any time.

const EVERY = 3000; // ms between requests
const LONGEST = 60000; // ms between tries while the server does not answer
const MOST = 2000; // facts in one request
const COMPARE = 60000; // ms between comparisons of all facts
const LEAST = 20; // a request is made no smaller

/** The server was reached and refused what was sent: `status` and its message give the reason. */
class Refused extends Error {
  /** @param {number} status @param {string} word */
  constructor(status, word, guild = "") {
    super(String(status));
    this.status = status;
    this.word = word;
    this.guild = guild; // the one at this address, where it is another one
  }
}

export class Line {
  /**
   * @param {{url: string, token: string, last: number, guild: string}} where
   * @param {{unsent: () => any[][], sent: (rows: any[][], refused: [number, string][]) => void,
   *   heard: (answer: any, all: boolean) => boolean, changed: () => void}} page
   */
  constructor(where, page) {
    this.where = where;
    this.page = page;
    this.last = where.last;
    this.pause = EVERY;
    this.reached = true;
    /** @type {Refused | null} */
    this.refused = null;
    this.most = MOST;
    this.busy = false;
    this.timer = 0;
    this.compared = -COMPARE;
    this.greeted = false; // whether the server has stored the content of this page's plan
  }

  start() {
    addEventListener("online", () => this.now());
    addEventListener("offline", () => this.#reach(false));
    addEventListener("pageshow", () => this.now());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.now();
      else this.farewell();
    });
    addEventListener("pagehide", () => this.farewell());
    this.now();
  }

  /** Ask at once instead of waiting. */
  now() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#turn(), 0);
  }

  /** The page may close: send the rest without waiting for an answer; it is sent again later. */
  farewell() {
    const rows = this.page.unsent().slice(0, 500);
    if (rows.length) this.#post(rows, true).catch(() => {});
  }

  async #turn() {
    if (this.busy) return;
    this.busy = true;
    const rows = this.page.unsent().slice(0, this.most);
    const all = this.last === 0;
    try {
      if (!this.greeted && !rows.length) await this.#greet();
      const answer = rows.length
        ? await this.#post(rows, false)
        : await fetch(this.#address(), { cache: "no-store" });
      if (!answer.ok || answer.redirected) throw await refusal(answer);
      const told = await answer.json();
      if (rows.length) this.page.sent(rows, told.refused);
      this.last = told.last;
      this.pause = EVERY;
      const alike = this.page.heard(told, all);
      this.#reach(true);
      if (all && !alike) this.compared = performance.now();
      // The server's facts differ from before: an older home may have been restored. Request all of them.
      if (!alike && performance.now() - this.compared > COMPARE) this.last = this.pause = 0;
      if (this.page.unsent().length) this.pause = 0;
    } catch (error) {
      this.pause = Math.min(Math.max(this.pause, EVERY) * 2, LONGEST);
      const refused = error instanceof Refused ? error : null;
      if (refused?.status === 413 && rows.length > LEAST) {
        this.most = Math.max(LEAST, rows.length >> 2);
        this.pause = 0;
      }
      this.#reach(false, refused);
    }
    this.busy = false;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#turn(), this.pause * (0.8 + Math.random() * 0.4));
  }

  #address() {
    return `${this.where.url}?after=${this.last}&guild=${this.where.guild}`;
  }

  /** A post without steps, so that later steps can be matched after the plan has changed. */
  async #greet() {
    const answer = await this.#post([], false);
    this.greeted = answer.ok && !answer.redirected; // refused: the next steps sent will get the reason
  }

  /** @param {any[][]} rows @param {boolean} keepalive */
  #post(rows, keepalive) {
    return fetch(this.#address(), {
      method: "POST",
      keepalive,
      headers: { "content-type": "application/json", "x-csrftoken": this.where.token },
      body: JSON.stringify({ guild: this.where.guild, facts: rows }),
    });
  }

  /** @param {boolean} is @param {Refused | null} [refused] */
  #reach(is, refused = null) {
    this.reached = is;
    this.refused = refused;
    this.page.changed();
  }
}

/** Handles a refusal: a disconnected device goes to the page to join. @param {Response} answer */
async function refusal(answer) {
  if (answer.redirected) return new Refused(403, "");
  const told = await answer.json().catch(() => null);
  return new Refused(answer.status, typeof told?.word === "string" ? told.word : "", told?.guild ?? "");
}
