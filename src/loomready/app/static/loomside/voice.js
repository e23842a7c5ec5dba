// Reading aloud with the browser's own speech, and keeping the screen on where the browser allows it.

export class Voice {
  /** @param {Record<string, string>} words */
  constructor(words) {
    this.words = words;
    this.can = "speechSynthesis" in globalThis;
  }

  /** Stops what is being read: work has moved on. @param {string} text */
  say(text) {
    if (!this.can) return;
    speechSynthesis.cancel();
    const told = new SpeechSynthesisUtterance(text);
    told.lang = document.documentElement.lang || "en";
    told.rate = 0.95;
    speechSynthesis.speak(told);
  }

  quiet() {
    if (this.can) speechSynthesis.cancel();
  }
}

/** @param {Record<string, string>} words @param {(told: string) => void} tell */
export function awake(words, tell) {
  const ask = async () => {
    if (!("wakeLock" in navigator)) return tell(words.not_awake);
    try {
      await navigator.wakeLock.request("screen");
      return tell(words.awake);
    } catch {
      return tell(words.not_awake);
    }
  };
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") ask();
  });
  ask();
}
