// The panels behind "more": other jobs, settings, where am I, is there enough warp, files.
import { fill, make, wayOver } from "./draw.js";
import { timing } from "./timing.js";
import { pickOf } from "./screens.js";
import { nearest, placesOf } from "./whereami.js";
import { reach, weftOf } from "./warp_left.js";

/** @type {(id: string) => any} an element of any kind: a form field, a dialog, a link */
const byId = (id) => document.getElementById(id);

/** @param {any} beside the page */
export function panels(beside) {
  const { page } = beside;
  const words = page.words;
  const dialog = byId("more");
  const hand = byId("handover");
  byId("open-more").onclick = () => {
    far();
    dialog.showModal();
  };
  byId("close-more").onclick = () => dialog.close();
  for (const name of page.order) {
    const button = make("button", "plain small", words[name]);
    button.type = "button";
    button.dataset.job = name;
    button.onclick = () => {
      dialog.close();
      beside.open(name);
    };
    byId("jobs").append(button);
  }
  for (const field of /** @type {NodeListOf<HTMLSelectElement>} */ (dialog.querySelectorAll("[data-set]"))) {
    field.value = beside.settings[field.dataset.set];
    field.onchange = () => beside.set(field.dataset.set, field.value);
  }
  byId("go-to").onsubmit = (event) => {
    event.preventDefault();
    beside.goTo(Number(byId("go-number").value));
    dialog.close();
  };
  byId("wrong").onsubmit = (event) => {
    event.preventDefault();
    dialog.close();
    byId("again-says").textContent = beside.wrongFrom(Number(byId("wrong-from").value));
    byId("again").hidden = false;
    byId("wrong-from").value = "";
  };
  byId("again-undo").onclick = () => {
    beside.undo();
    byId("again").hidden = true;
  };
  byId("again-close").onclick = () => {
    byId("again").hidden = true;
  };
  byId("facts-file").onclick = () => {
    const file = new Blob([JSON.stringify(beside.parcel())], { type: "application/json" });
    const link = make("a");
    link.href = URL.createObjectURL(file);
    link.download = `${page.warp}-done.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  };
  if (hand) {
    // The address carries what was done, after its #: no server reads that part, the page there does.
    hand.onclick = () => {
      const text = JSON.stringify(beside.parcel());
      hand.href = `${hand.dataset.to}#done=${encodeURIComponent(text)}`;
    };
  }
  const arrived = handed(beside);
  const timed = timing(beside);
  const where = whereAmI(beside);
  const far = willItReach(beside);
  return {
    opened() {
      timed.opened();
      for (const button of byId("jobs").children) {
        if (button.dataset.job === beside.name) button.setAttribute("aria-current", "true");
        else button.removeAttribute("aria-current");
      }
      const way = beside.name === "winding" ? beside.job.way : null;
      byId("for-winding").hidden = !way;
      if (way) byId("path-over").replaceChildren(wayOver(way));
      byId("for-weaving").hidden = beside.name !== "weaving";
      byId("for-beaming")?.toggleAttribute("hidden", beside.name !== "beaming");
      byId("again").hidden = true;
      const what = { weaving: "picks", "tying-in": "knots" }[beside.name] ?? "ends";
      const label = byId("wrong-from").labels[0];
      label.textContent = label.dataset[what];
      byId("wrong").hidden = !page.words[`again_${beside.name}`];
      byId("wrong-from").max = beside.job.units;
      const off = byId("count-off");
      if (off) off.search = `?job=${beside.name}`;
      byId("go-number").max = beside.name === "tying" ? beside.job.ends : beside.job.units;
      notice(beside);
      where.reset();
      arrived();
    },
    shown() {
      if (dialog.open) far();
    },
  };
}

/** What differs from the plan that the work was done by. */
function notice(beside) {
  const { job, page } = beside;
  const spans = (list) =>
    list
      .slice(0, 8)
      .map(([a, b]) => (a === b ? `${a}` : `${a}–${b}`))
      .join(", ") + (list.length > 8 ? " …" : "");
  const lines = [];
  if (job.otherwise.length) lines.push(fill(page.words.otherwise, { list: spans(job.otherwise) }));
  if (Object.keys(job.earlier).length && job.ahead.length)
    lines.push(fill(page.words.ahead, { list: spans(job.ahead) }));
  if (job.lost.length) lines.push(page.words.lost);
  byId("differs").hidden = !lines.length;
  byId("differs").replaceChildren(...lines.map((line) => make("p", "", line)));
}

/** Steps that a saved file hands over; imported only after you confirm. */
function handed(beside) {
  const match = location.hash.match(/^#done=(.*)$/s);
  if (!match) return () => {};
  history.replaceState(null, "", location.pathname);
  let parcel = null;
  try {
    parcel = JSON.parse(decodeURIComponent(match[1]));
  } catch {
    return () => {};
  }
  const rows = Array.isArray(parcel?.facts) ? parcel.facts : [];
  const { words } = beside.page;
  const box = byId("handed");
  const fresh = rows.filter((row) => Array.isArray(row) && !beside.rows.has(row.join("/")));
  const other = parcel.guild?.id !== beside.page.guild.id || parcel.warp !== beside.page.warp;
  const button = make("button", "", words.take_them);
  button.onclick = () => {
    beside.tell(fill(words.took, { n: beside.take(rows, false) }));
    beside.line?.now();
    box.hidden = true;
  };
  const told = fill(words.handed, { n: fresh.length });
  const from = other
    ? fill(words.from_other, { guild: String(parcel.guild?.name ?? "?"), warp: String(parcel.warp ?? "?") })
    : "";
  box.replaceChildren(make("p", "", told, from ? ` ${from}` : ""), button);
  return () => {
    box.hidden = false;
  };
}

/** You enter how the last picks lie; this finds the pick. */
function whereAmI(beside) {
  const { words } = beside.page;
  let seen = [{}];
  const board = byId("seen");
  const answer = byId("found");
  const go = byId("found-go");
  const states = [undefined, true, false];
  const signs = new Map([
    [undefined, "·"],
    [true, "▲"],
    [false, "▽"],
  ]);
  const says = new Map([
    [undefined, words.unknown],
    [true, words.up],
    [false, words.down],
  ]);

  function look() {
    const job = beside.job;
    const expected = Math.max(1, beside.done.lastIndexOf(1) + 1);
    const { stretch } = pickOf(job, expected);
    const places = placesOf(
      stretch.repeat.map((each) => each.up),
      seen,
    );
    const asked = seen.some((each) => Object.keys(each).length);
    const size = stretch.repeat.length;
    const picks = asked
      ? places.map((place) => nearest([place], size, stretch.first, stretch.last, expected)).filter(Boolean)
      : [];
    picks.sort((a, b) => Math.abs(a - expected) - Math.abs(b - expected) || a - b);
    const told = !asked
      ? ""
      : !places.length
        ? words.matches_none
        : places.length === 1
          ? fill(words.matches_one, { n: places[0] + 1, of: size, m: ((places[0] + 1) % size) + 1 })
          : fill(words.matches_more, { n: places.length });
    answer.textContent = told;
    go.replaceChildren(
      ...picks.slice(0, 4).map((pick) => {
        const button = make("button", "small", fill(words.am_here, { n: pick + 1 }));
        button.type = "button";
        button.onclick = () => {
          beside.weftAt(pick);
          byId("more").close();
        };
        return button;
      }),
    );
  }

  /** What is looked at: shafts, or ends of an edge in the order in which they lie, each with its shaft. */
  function columns() {
    const by = byId("seen-by").value;
    if (by === "shafts") return beside.job.shafts.map((shaft) => [0, shaft]);
    const ends = [...beside.job.edges[by]];
    return beside.page.end_1 === "right" ? ends.reverse() : ends;
  }

  function lay() {
    board.replaceChildren(
      ...seen.map((lifts, back) => {
        const names = [];
        const row = make(
          "div",
          "seen-row",
          make("span", "quiet", back ? fill(words.pick_before, { n: back }) : words.last_pick),
        );
        for (const [end, shaft] of columns()) {
          const button = make("button", "plain small");
          button.type = "button";
          const name = () => {
            button.textContent = `${end || shaft} ${signs.get(lifts[shaft])}`;
            const what = end ? `${words.end} ${end}` : fill(words.shaft, { n: shaft });
            button.setAttribute("aria-label", `${what}: ${says.get(lifts[shaft])}`);
            button.dataset.is = String(lifts[shaft]);
          };
          names.push(name);
          button.onclick = () => {
            const following = states[(states.indexOf(lifts[shaft]) + 1) % 3];
            if (following === undefined) delete lifts[shaft];
            else lifts[shaft] = following;
            for (const each of names) each(); // other ends on this shaft lie alike
            look();
          };
          name();
          row.append(button);
        }
        return row;
      }),
    );
    look();
  }

  byId("seen-by").onchange = () => {
    seen = [{}];
    lay();
  };
  byId("seen-more").onclick = () => {
    seen.push({});
    lay();
  };
  return {
    reset() {
      seen = [{}];
      if (beside.name === "weaving") lay();
    },
  };
}

/** Compares warp and weft left with what is still to weave. */
function willItReach(beside) {
  const { page } = beside;
  const { words } = page;
  const form = byId("reach");
  const unit = page.us ? 25.4 : 10;
  const short = page.us ? "in" : "cm";
  const scale = page.us ? { name: "oz", grams: 28.349523125, parts: 100 } : { name: "g", grams: 1, parts: 1 };
  const shown = (mm) => `${(mm / unit).toLocaleString("en-US", { maximumFractionDigits: 1 })} ${short}`;
  for (const each of form.querySelectorAll("[data-unit]")) each.textContent = short;
  const job = page.jobs.weaving;
  const yarns = Object.keys(job.reach.grams_per_m);
  for (const key of yarns) {
    const field = make("input");
    field.inputMode = "decimal";
    field.name = `weft-${key}`;
    field.id = `weft-${key}`;
    const label = make("label", "", `${page.yarns[key].name}, ${scale.name}`);
    label.htmlFor = field.id;
    byId("reach-weft").append(make("div", "field", label, field));
  }
  function value(name, factor = 1) {
    const written = form.elements.namedItem(name).value.trim().replace(",", ".");
    if (!written) return undefined;
    if (!/^\d{1,6}(\.\d+)?$/.test(written)) throw new Error(name);
    return Number(written) * factor;
  }
  function reckon() {
    if (beside.name !== "weaving") return;
    const out = byId("reached");
    const picks = beside.done.lastIndexOf(1) + 1;
    const lines = [];
    try {
      const told = reach(job.reach, picks, {
        woven_mm: value("woven", unit),
        warp_left_mm: value("left", unit),
        border: value("border"),
      });
      lines.push(
        fill(words.woven, { length: shown(told.woven_mm) }),
        fill(words.to_weave, { length: shown(told.to_weave_mm) }),
      );
      lines.push(
        told.reaches
          ? fill(words.reaches, { spare: shown(Math.max(0, told.spare_mm)) })
          : fill(words.lacks, { spare: shown(-told.spare_mm), n: told.last_pick }),
      );
      const border = value("border") ?? job.pieces.find((each) => each.last > picks)?.border;
      if (border) lines.push(fill(words.start_border, { n: told.border_from }));
      for (const key of yarns) {
        const there = value(`weft-${key}`);
        if (there === undefined) continue;
        // A need is rounded up, to what a scale shows.
        const need = Math.ceil((weftOf(job, picks, key) / scale.grams) * scale.parts) / scale.parts;
        const blanks = {
          yarn: page.yarns[key].name,
          need: `${need} ${scale.name}`,
          there: `${there} ${scale.name}`,
        };
        lines.push(fill(need <= there ? words.weft_enough : words.weft_short, blanks));
      }
    } catch {
      lines.splice(0, lines.length, words.bad_measure);
    }
    out.replaceChildren(...lines.map((line) => make("p", "", line)));
  }
  form.oninput = reckon;
  form.onsubmit = (event) => event.preventDefault();
  return reckon;
}
