// Steps are sent to the server as operations on a version: looked at there at once, and saved together as one
// version at a pause or when the page is left. None is lost: until then this tab remembers them.

const PAUSE = 8000; // ms without a step after which all steps become a version
const MOST_AT_THE_END = 50_000; // bytes that a browser still sends for a page that is closed

/** Collects steps; those made while an answer is awaited are sent together. */
export class Keeper {
  /** @param {any} ways addresses; @param {any} told waiting, pending, looked, kept, refused, clash, asked (functions) */
  constructor(ways, told) {
    this.ways = ways;
    this.told = told;
    this.version = 0;
    this.server = { undo: false, redo: false }; // what the server can undo and redo from this version
    this.steps = []; // made, not sent
    this.sent = null; // sent, not answered
    this.sending = null; // the answer that is awaited
    this.kept = []; // for each version that this page saved, as long as it is the newest: its steps
    this.ahead = []; // undone, the next to redo last: a step of this page, or null for one on the server
    this.looking = false;
    this.away = false; // the server does not answer
    this.timer = 0;
    this.memory = `loomready-editor-steps ${ways.draft}`;
    const headers = JSON.parse(document.body.getAttribute("hx-headers"));
    this.headers = { "content-type": "application/json", "x-csrftoken": headers["x-csrftoken"] };
    addEventListener("beforeunload", (event) => {
      if (this.away && this.open) event.preventDefault();
      else this.send();
    });
    addEventListener("pagehide", () => this.send());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "hidden") this.send();
    });
    document.addEventListener("click", (event) => this.leave(event));
  }

  get open() {
    return this.steps.length > 0 || this.sent !== null;
  }

  get canUndo() {
    return this.open || this.kept.length > 0 || this.server.undo;
  }

  get canRedo() {
    return this.ahead.length > 0 || (this.server.redo && !this.open);
  }

  async read() {
    const asked = new URLSearchParams(this.told.asked());
    const answer = await fetch(`${this.ways.draft}?${asked}`);
    if (!answer.ok) throw new Error(String(answer.status));
    const found = await answer.json();
    if (found.version !== this.version) this.kept = [];
    this.heard(found);
    return found;
  }

  heard(found) {
    this.version = found.version;
    this.server = { undo: found.can_undo, redo: found.can_redo };
  }

  async marks() {
    const answer = await fetch(`${this.ways.marks}?${new URLSearchParams(this.told.asked())}`);
    return answer.ok ? answer.json() : null;
  }

  /** @param {any} operation @param {boolean} again a step that was undone */
  step(operation, again = false) {
    if (!again) this.ahead = [];
    this.steps.push(operation);
    this.changed();
  }

  /** The steps that are not saved are other ones now: look at them, and save them at the next pause. */
  changed() {
    this.remember();
    clearTimeout(this.timer);
    if (this.steps.length) this.timer = setTimeout(() => this.send(), PAUSE);
    this.told.pending(this.steps.length);
    setTimeout(() => this.look()); // steps made together are looked at together
  }

  /** What the draft is like with the steps that are not saved; they are refused as they would be if saved. */
  async look() {
    if (this.looking || !this.steps.length) return;
    this.looking = true;
    while (this.sending) await this.sending;
    const { version } = this;
    const asked = [...this.steps];
    const answer = await this.post(this.ways.marks, { operations: asked });
    this.looking = false;
    const same = asked.length === this.steps.length && asked.every((step, at) => step === this.steps[at]);
    if (!same || version !== this.version) this.look();
    else if (answer.status === 200) this.told.looked(answer.found);
    else this.failed(answer, this.steps.splice(0));
  }

  /** Save the steps as one version. @returns {Promise<boolean>} once all is answered: whether all is saved */
  async send() {
    clearTimeout(this.timer);
    while (this.sending) await this.sending;
    if (!this.steps.length) return true;
    this.sending = this.sendNow();
    return (await this.sending) && this.send();
  }

  async sendNow() {
    this.sent = this.steps.splice(0);
    const answer = await this.post(this.ways.do, { operations: this.sent });
    const { sent } = this;
    this.sent = null;
    this.sending = null;
    if (answer.status === 200) {
      this.heard(answer.found);
      this.kept.push(sent);
      this.remember();
      this.told.kept(answer.found, sent, this.steps.length === 0);
      return true;
    }
    this.failed(answer, [...sent, ...this.steps.splice(0)]);
    return false;
  }

  /** Steps that were not saved: of a clash, or where a warp in progress stands against them, they wait. */
  failed(answer, lost) {
    clearTimeout(this.timer);
    this.ahead = [];
    if (answer.status === 409 || answer.found.in_progress) this.told.clash(answer.found, lost);
    else {
      this.remember();
      this.told.refused(answer);
    }
  }

  /**
   * Undo one step: the last that is not saved; else the last version, from which this page makes all steps but
   * its last again. @returns {Promise<any>} the answer whose draft the steps then apply to; null: nothing came
   */
  async undo() {
    while (this.sending) await this.sending;
    if (this.steps.length) {
      this.ahead.push(this.steps.pop());
      this.changed();
      return { status: 200, found: null };
    }
    const answer = await this.post(this.ways.undo, {});
    if (answer.status !== 200) return answer;
    const steps = this.kept.pop();
    this.heard(answer.found);
    this.ahead.push(steps ? steps.at(-1) : null);
    if (steps) {
      this.steps = steps.slice(0, -1);
      this.changed();
    }
    return answer;
  }

  /** @returns {Promise<any>} the answer of the server, or the step to make again */
  async redo() {
    while (this.sending) await this.sending;
    const step = this.ahead.pop();
    if (step) return { step };
    if (this.steps.length) return null;
    const answer = await this.post(this.ways.redo, {});
    if (answer.status === 200) {
      this.heard(answer.found);
      this.kept = [];
    }
    return answer;
  }

  /** A link to another page waits until everything is saved. */
  async leave(event) {
    const link = event.target.closest?.("a[href]");
    if (!link || !this.open || event.defaultPrevented || event.button || link.target) return;
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (await this.send()) location.href = link.href;
  }

  remember() {
    const steps = [...(this.sent ?? []), ...this.steps];
    const { version } = this;
    const text = JSON.stringify({ version, steps, fingerprint: this.told.fingerprint() });
    try {
      if (!steps.length) sessionStorage.removeItem(this.memory);
      else sessionStorage.setItem(this.memory, text);
    } catch {
      setTimeout(() => this.send()); // no room to remember them: they are saved now
    }
    if (text.length > MOST_AT_THE_END) setTimeout(() => this.send());
  }

  /** The steps of a page that was gone before they were saved. */
  remembered() {
    try {
      return JSON.parse(sessionStorage.getItem(this.memory) ?? "null");
    } catch {
      return null;
    }
  }

  async post(address, what) {
    for (;;) {
      try {
        const { sure } = this.ways;
        const body = JSON.stringify({
          version: this.version,
          asked: this.told.asked(),
          sure: sure === "yes",
          ...what,
        });
        const keepalive = address === this.ways.do && body.length < MOST_AT_THE_END;
        const answer = await fetch(address, { method: "POST", headers: this.headers, body, keepalive });
        const isJson = (answer.headers.get("content-type") ?? "").includes("json");
        this.away = false;
        return { status: answer.status, found: isJson ? await answer.json() : {} };
      } catch {
        this.away = true;
        this.told.waiting();
        await new Promise((done) => setTimeout(done, 2000));
      }
    }
  }
}
