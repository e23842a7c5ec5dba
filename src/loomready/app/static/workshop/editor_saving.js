// Sends every step to the server as operations on a version, in order, none lost.

/** Collects steps; those made while an answer is awaited are sent together. */
export class Keeper {
  /** @param {any} ways addresses; @param {any} told keeping, kept, refused, clash, waiting, asked (functions) */
  constructor(ways, told) {
    this.ways = ways;
    this.told = told;
    this.version = 0;
    this.steps = []; // made, not sent
    this.sent = null; // sent, not answered
    this.sending = null; // the answer that is awaited
    this.timer = 0;
    const headers = JSON.parse(document.body.getAttribute("hx-headers"));
    this.headers = { "content-type": "application/json", "x-csrftoken": headers["x-csrftoken"] };
    addEventListener("beforeunload", (event) => {
      if (this.open) event.preventDefault();
    });
  }

  get open() {
    return this.steps.length > 0 || this.sent !== null;
  }

  async read() {
    const asked = new URLSearchParams(this.told.asked());
    const answer = await fetch(`${this.ways.draft}?${asked}`);
    if (!answer.ok) throw new Error(String(answer.status));
    const found = await answer.json();
    this.version = found.version;
    return found;
  }

  async marks() {
    const answer = await fetch(`${this.ways.marks}?${new URLSearchParams(this.told.asked())}`);
    return answer.ok ? answer.json() : null;
  }

  step(operation) {
    this.steps.push(operation);
    this.told.keeping();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send()); // steps made together are sent together
  }

  /** Send the steps. @returns {Promise<boolean>} once all is answered: whether all is kept */
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
      this.version = answer.found.version;
      this.told.kept(answer.found, this.steps.length === 0);
      return true;
    }
    const lost = [...sent, ...this.steps.splice(0)];
    if (answer.status === 409) this.told.clash(answer.found, lost);
    else this.told.refused(answer);
    return false;
  }

  /** Undo or redo, after all steps are saved; null if they are not. */
  async walk(way) {
    if (!(await this.send())) return null;
    const answer = await this.post(this.ways[way], {});
    if (answer.status === 200) this.version = answer.found.version;
    return answer;
  }

  async post(address, what) {
    for (;;) {
      try {
        const sure =
          /** @type {HTMLInputElement | null} */ (document.getElementById("sure"))?.checked ?? false;
        const body = JSON.stringify({ version: this.version, asked: this.told.asked(), sure, ...what });
        const answer = await fetch(address, { method: "POST", headers: this.headers, body });
        const isJson = (answer.headers.get("content-type") ?? "").includes("json");
        return { status: answer.status, found: isJson ? await answer.json() : {} };
      } catch {
        this.told.waiting();
        await new Promise((done) => setTimeout(done, 2000));
      }
    }
  }
}
