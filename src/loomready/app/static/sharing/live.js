// Shows others' changes soon: the page polls a light address and, if nothing is being typed, reloads itself;
// else it offers to.
const EVERY = 3000; // ms
const LONGEST = 60000; // ms between two questions to a server that does not answer
const meta = document.querySelector("meta[name=pulse]");
const bar = document.getElementById("news");
let known = meta instanceof HTMLMetaElement ? meta.content : "";
let typed = false;
// An element that a page's own module holds must not be replaced.
const hasOwnScript = [...document.querySelectorAll("script[type=module]")].some(
  (each) => !/\/(app\/(app|search)|sharing\/live)\b/.test(each.getAttribute("src") ?? ""),
);
let pause = EVERY;

/** What this page shows of a beat: steps at the looms, after the dot, only where it says so.
 * @param {string} beat */
function ofThisPage(beat) {
  return document.querySelector("main [data-steps]") ? beat : beat.split(".")[0];
}

/** Whether this page may be reloaded without disturbing anybody. */
function isIdle() {
  const main = document.getElementById("main");
  if (!main || typed) return false;
  if (main.querySelector("[role=alert], [data-still], .drop") || hasOwnScript) return false;
  const active = document.activeElement;
  if (!active || active === document.body || active === main || !main.contains(active)) return true;
  return active.id !== "" && !active.matches("input, select, textarea");
}

/** The content of a page, without what differs in each answer or by unfolding.
 * @param {Element} main */
function said(main) {
  return main.innerHTML.replace(/ open=""| value="[A-Za-z0-9]{64}"/g, "");
}

/** Replace the page with the server's version if that disturbs nobody. False: it has to be offered. */
async function again() {
  const there = document.getElementById("main");
  if (!there || meta?.getAttribute("data-again") !== "yes") return false;
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (answer.redirected || !answer.ok) return false;
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = made.getElementById("main");
  const beat = made.querySelector("meta[name=pulse]");
  if (!fresh || !(beat instanceof HTMLMetaElement)) return false;
  if (said(fresh) !== said(there)) {
    if (!isIdle()) return false;
    put(fresh, there);
  }
  known = beat.content;
  return true;
}

/** Keep what was unfolded, and the focus.
 * @param {Element} fresh
 * @param {Element} there */
function put(fresh, there) {
  const was = [...there.querySelectorAll("details")];
  const now = [...fresh.querySelectorAll("details")];
  if (was.length === now.length)
    now.forEach((each, at) => {
      each.open = was[at].open;
    });
  const id = there.contains(document.activeElement) ? document.activeElement?.id : "";
  there.innerHTML = fresh.innerHTML;
  /** @type {any} htmx is a script of the page */ (window).htmx?.process(there);
  if (id) document.getElementById(id)?.focus({ preventScroll: true });
  document.dispatchEvent(new CustomEvent("loomready:again"));
}

async function ask() {
  if (document.visibilityState === "visible" && known) {
    try {
      const headers = { "If-None-Match": `"${known}"` };
      const answer = await fetch("/pulse", { headers, cache: "no-store" });
      pause = EVERY;
      if (answer.redirected)
        location.assign("/join"); // disconnected
      else if (answer.ok) await changed((await answer.json()).pulse);
    } catch {
      pause = Math.min(pause * 2, LONGEST);
    }
  }
  setTimeout(ask, pause * (0.8 + Math.random() * 0.4)); // fifty phones should not poll at the same time
}

/** @param {string} beat */
async function changed(beat) {
  if (ofThisPage(beat) === ofThisPage(known)) {
    known = beat;
    return;
  }
  // A page with a module of its own may handle this itself by preventing the default.
  const news = new CustomEvent("loomready:news", { cancelable: true, detail: { beat } });
  if (!document.dispatchEvent(news)) known = beat;
  if (beat === known || (await again())) return;
  known = beat;
  if (bar) bar.hidden = false;
}

if (meta) {
  document.addEventListener("input", (event) => {
    if (event.target instanceof Element && event.target.closest("main form:not(.filters)")) typed = true;
  });
  // An answer to one's own change includes it, and what was typed is in it.
  document.addEventListener("htmx:afterRequest", (event) => {
    const request = /** @type {CustomEvent} */ (event).detail.xhr;
    const beat = request?.getResponseHeader("Loomready-Pulse");
    const sent = /** @type {CustomEvent} */ (event).detail.requestConfig?.verb !== "get";
    if (beat && sent) {
      known = beat;
      typed = false;
    }
  });
  setTimeout(ask, EVERY);
}
