// Over the web strip: what is not done is veiled, and a mark shows the current place.

const SVG = "http://www.w3.org/2000/svg";
const WIDE = 600;
const MANY = 60; // brackets that still show one by one on a phone

/** @param {HTMLElement} web @param {any} page @param {string} name */
export function overWeb(web, page, name) {
  const across =
    name === "winding" ||
    name === "sleying" ||
    name === "threading" ||
    name === "tying" ||
    name === "tying-in" ||
    name === "test-weave";
  const right = across && page.end_1 === "right";
  const lie = across ? (page.jobs[name].lie ?? page.lie) : null; // where each end lies, if not evenly: [near, far], shares of the width
  web.querySelector("svg")?.setAttribute("preserveAspectRatio", "none");
  web.classList.toggle("along", !across);
  brackets(web, page.jobs[name], right, lie);
  const veil = web.querySelector(".veil") ?? web.appendChild(document.createElementNS(SVG, "svg"));
  /** @type {HTMLElement} */
  const mark = web.querySelector(".mark") ?? web.appendChild(document.createElement("span"));
  veil.setAttribute("class", "veil");
  veil.setAttribute("preserveAspectRatio", "none");
  veil.setAttribute("aria-hidden", "true");
  mark.className = "mark";
  let units = 1;
  return {
    show(done, screen, job) {
      units = job.ends ?? job.units; // tying goes over its ends more than once
      const offset = screen?.first ? Math.floor((screen.first - 1) / units) * units : done.length - units;
      veil.setAttribute("viewBox", `0 0 ${units} 10`);
      const rects = [];
      let start = -1;
      for (let at = 0; at <= units; at++) {
        const open = at < units && !done[offset + at];
        // Ends of two warps lie side by side, and are wound apart.
        const apart = start >= 0 && at < units && lie && Math.abs(lie[at][0] - lie[at - 1][1]) > 1e-4;
        if (start >= 0 && (!open || apart)) {
          const from = near(lie, units, start) * units;
          const to = far(lie, units, at - 1) * units;
          rects.push(rect(right ? units - to : from, to - from));
          start = -1;
        }
        if (open && start < 0) start = at;
      }
      for (const piece of job.pieces ?? []) rects.push(rect(piece.last - units / 600, units / 300, "edge"));
      veil.replaceChildren(...rects);
      mark.hidden = !screen?.first;
      if (screen?.first) {
        const [from, to] = [screen.first - offset - 1, screen.last - offset - 1];
        const middle = (near(lie, units, from) + far(lie, units, to)) / 2;
        mark.style.left = `${(right ? 1 - middle : middle) * 100}%`;
      }
    },
    unitAt(event) {
      const box = web.getBoundingClientRect();
      const share = Math.min(0.9999, Math.max(0, (event.clientX - box.left) / box.width));
      const across = right ? 1 - share : share;
      if (!lie) return Math.floor(across * units) + 1;
      const at = lie.findIndex(([edge, other]) => edge <= across && across < other);
      return (at < 0 ? lie.length - 1 : at) + 1;
    },
  };
}

/** The near edge of a unit (from 0), as a share of the strip. */
const near = (lie, units, unit) => lie?.[unit]?.[0] ?? unit / units;

/** Its far edge. */
const far = (lie, units, unit) => lie?.[unit]?.[1] ?? (unit + 1) / units;

/** Under the strip: brackets, drawn once for each job. A bout, a step's dents, a group, a piece of cloth. */
function brackets(web, job, right, lie) {
  const under = web.querySelector(".brackets") ?? web.appendChild(document.createElementNS(SVG, "svg"));
  const units = job.ends ?? job.units;
  const each =
    job.bouts ??
    job.groups?.map(({ first, last }) => [first, last]) ??
    (job.pieces ? piecesOf(job.pieces) : job.steps.map(({ first, last }) => [first, last]));
  const spans = each.length > MANY ? tens(each) : each;
  // In a box about as wide as the page, so that no line is stretched.
  const gap = Math.min(2, spans.length > 1 ? WIDE / spans.length / 6 : 0);
  const lines = spans.map(([first, last]) => {
    const [start, stop] = [near(lie, units, first - 1), far(lie, units, last - 1)];
    const [from, to] = right ? [1 - stop, 1 - start] : [start, stop];
    return `M${(from * WIDE + gap).toFixed(1)} 0V4H${(to * WIDE - gap).toFixed(1)}V0`;
  });
  const path = under.querySelector("path") ?? under.appendChild(document.createElementNS(SVG, "path"));
  under.setAttribute("class", "brackets");
  under.setAttribute("aria-hidden", "true");
  under.setAttribute("preserveAspectRatio", "none");
  under.setAttribute("viewBox", `0 0 ${WIDE} 4`);
  path.setAttribute("d", lines.join(""));
  web.dataset.brackets = String(spans.length);
}

/** Ten groups under one bracket. */
const tens = (spans) =>
  spans
    .filter((_, at) => at % 10 === 0)
    .map(([first], at) => [first, spans[Math.min(at * 10 + 9, spans.length - 1)][1]]);

const piecesOf = (pieces) => pieces.map(({ last }, at) => [at ? pieces[at - 1].last + 1 : 1, last]);

function rect(x, width, kind = "") {
  const made = document.createElementNS(SVG, "rect");
  for (const [key, value] of Object.entries({ x, y: 0, width, height: 10 }))
    made.setAttribute(key, String(value));
  if (kind) made.setAttribute("class", kind);
  return made;
}
