// The time spent on a job on this device. It counts elapsed time only, without the clock; the time is kept
// after the page closes, and a closed page stops counting.

const EVERY = 10000; // ms between saves

export class Stopwatch {
  /** @param {string} of guild and warp @param {() => number} [elapsed] ms since the page was opened */
  constructor(of, elapsed = () => performance.now()) {
    this.key = `loomready-time/${of}`;
    this.elapsed = elapsed;
    /** @type {Record<string, number>} ms of each job */
    this.kept = {};
    this.job = "";
    this.since = 0;
    try {
      for (const [job, ms] of Object.entries(JSON.parse(localStorage.getItem(this.key) ?? "{}"))) {
        if (typeof ms === "number" && ms >= 0 && ms < 1000 * 3600000) this.kept[job] = ms;
      }
    } catch {
      /* a browser that keeps nothing begins again */
    }
    setInterval(() => this.#keep(), EVERY);
    addEventListener("pagehide", () => this.#keep());
    document.addEventListener("visibilitychange", () => this.#keep());
  }

  /** @param {string} job */
  start(job) {
    this.pause();
    this.job = job;
    this.since = this.elapsed();
  }

  pause() {
    this.#keep();
    this.job = "";
  }

  clear() {
    this.pause();
    this.kept = {};
    this.#write();
  }

  /** "1:05", hours and minutes; empty below a minute. @param {string} job */
  told(job) {
    const running = job === this.job ? this.elapsed() - this.since : 0;
    const minutes = Math.floor(((this.kept[job] ?? 0) + running) / 60000);
    return minutes ? `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}` : "";
  }

  #keep() {
    if (!this.job) return;
    const now = this.elapsed();
    this.kept[this.job] = (this.kept[this.job] ?? 0) + now - this.since;
    this.since = now;
    this.#write();
  }

  #write() {
    try {
      localStorage.setItem(this.key, JSON.stringify(this.kept));
    } catch {
      /* it goes on counting as long as the page is open */
    }
  }
}
