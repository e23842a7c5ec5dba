// The board drawn from the rows of its form: pegs are added, dragged, and moved by the arrow keys. The rows
// are what is saved; a text that this page cannot read leaves its peg in place.

import { frameOf, millimeters, radiusOf, spotsOf, unitOf, written } from "./board_sums.js";

const SVG = "http://www.w3.org/2000/svg";
const EMPTY = [
  { name: "", x: 0, y: 0 },
  { name: "", x: 900, y: 900 },
]; // what is drawn before there are two pegs, mm
const AROUND = { least: 100, share: 0.16 }; // more than on a sheet, so that a peg can be added outside the others
const form = document.getElementById("board");
const drawing = document.getElementById("drawing");
const rows = document.getElementById("rows");
const moved = document.getElementById("moved");

if (form instanceof HTMLFormElement && drawing instanceof SVGSVGElement && rows && moved) {
  /** @type {{unit: string, units: Record<string, number>, step_mm: number, most: number}} units in mm */
  const law = JSON.parse(document.getElementById("law")?.textContent ?? "");
  const step = law.step_mm;
  let frame = { left: 0, top: 0, width: 1, height: 1 };
  /** @type {{peg: HTMLElement, x: number, y: number} | null} */
  let held = null;
  let frozen = false;

  /** @param {string} text @param {number} before what stays where this is no length */
  const read = (text, before) =>
    text.trim() ? (millimeters(text, law.units[law.unit] ?? 1, law.units) ?? before) : 0;
  /** @param {number} mm */
  const text = (mm) => written(mm, law.unit, law.units);
  /** @param {HTMLElement} row @param {string} part @returns {HTMLInputElement} */
  const input = (row, part) => /** @type {HTMLInputElement} */ (row.querySelector(`input[name$="-${part}"]`));
  const all = () => /** @type {HTMLElement[]} */ ([...rows.querySelectorAll("tr[data-row]")]);
  /** @param {HTMLElement} row */
  const isPeg = (row) => Boolean(input(row, "name").value.trim());
  /** @param {HTMLElement} row */
  const place = (row) => ({ x: Number(row.dataset.x || 0), y: Number(row.dataset.y || 0) });
  const chosen = (/** @type {string} */ name) => {
    const select = form.elements.namedItem(name);
    return select instanceof HTMLSelectElement ? select.value : "";
  };

  /** @param {string} name @param {Record<string, string | number>} attributes */
  const shape = (name, attributes) => {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
    return made;
  };

  const draw = () => {
    const pegs = all().filter(isPeg);
    const named = pegs.map((row) => ({ name: input(row, "name").value.trim(), ...place(row) }));
    if (!frozen) frame = frameOf(named.length > 1 ? named : EMPTY, AROUND);
    const size = unitOf(frame);
    drawing.setAttribute("viewBox", `0 0 ${frame.width} ${frame.height}`);
    drawing.setAttribute("font-size", String(size * 1.05));
    const focus = document.activeElement instanceof SVGElement ? document.activeElement.dataset.row : "";
    const spots = spotsOf(named, frame);
    drawing.replaceChildren(
      ...pegs.map((row, number) => {
        const { x, y } = place(row);
        const name = input(row, "name").value.trim();
        const role =
          name === chosen("start")
            ? "start"
            : name === chosen("cross-1") || name === chosen("cross-2")
              ? "cross"
              : "plain";
        const group = shape("g", {
          class: `peg ${role}`,
          tabindex: 0,
          role: "button",
          "data-row": row.dataset.row ?? "",
          "aria-label": `${form.dataset.saysPeg} ${name}, ${text(x)}, ${text(y)}`,
        });
        const [left, top] = [x - frame.left, frame.top - y];
        group.append(
          shape("circle", { cx: left, cy: top, r: size * 1.6, fill: "none", class: "hand" }),
          shape("circle", { cx: left, cy: top, r: radiusOf(frame), "stroke-width": size * 0.14 }),
        );
        const spot = spots[number];
        const label = shape("text", {
          x: spot?.x ?? left,
          y: spot?.y ?? top,
          "text-anchor": spot?.anchor ?? "middle",
        });
        label.textContent = name;
        group.append(label);
        return group;
      }),
    );
    if (focus) focusOn(focus);
    names();
  };

  /** The selects offer the pegs that there are. */
  const names = () => {
    const there = all()
      .filter(isPeg)
      .map((row) => input(row, "name").value.trim());
    for (const pick of ["start", "cross-1", "cross-2"]) {
      const select = form.elements.namedItem(pick);
      if (!(select instanceof HTMLSelectElement)) continue;
      const value = select.value;
      select.replaceChildren(new Option("—", ""), ...there.map((name) => new Option(name, name)));
      select.value = there.includes(value) ? value : "";
    }
  };

  /** @param {string} number */
  const focusOn = (number) => {
    const peg = drawing.querySelector(`g[data-row="${number}"]`);
    if (peg instanceof SVGElement) peg.focus({ preventScroll: true });
  };

  /** @param {HTMLElement} row @param {number} x @param {number} y */
  const put = (row, x, y) => {
    row.dataset.x = String(x);
    row.dataset.y = String(y);
    input(row, "x").value = text(x);
    input(row, "y").value = text(y);
  };

  /** @param {PointerEvent} event */
  const under = (event) => {
    const matrix = drawing.getScreenCTM();
    if (!matrix) return { x: 0, y: 0 };
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    const round = (/** @type {number} */ mm) => Math.round(mm / step) * step;
    return { x: round(at.x + frame.left), y: round(frame.top - at.y) };
  };

  /** A row for one more peg, with the next free name. */
  const fresh = () => {
    const there = all();
    let row = there.find((each) => !["name", "x", "y"].some((part) => input(each, part).value.trim()));
    if (!row) {
      const last = there[there.length - 1];
      if (!last || there.length >= law.most) return null;
      row = /** @type {HTMLElement} */ (last.cloneNode(true));
      const number = String(Math.max(...there.map((each) => Number(each.dataset.row))) + 1);
      row.dataset.row = number;
      row.querySelector("button")?.remove();
      row.querySelector(".error")?.remove();
      for (const part of ["name", "x", "y"]) {
        const cell = input(row, part);
        const label = (cell.getAttribute("aria-label") ?? "").replace(/\d+$/, number);
        cell.name = `peg-${number}-${part}`;
        cell.value = "";
        cell.setAttribute("aria-label", label);
      }
      rows.append(row);
    }
    const taken = new Set(there.map((each) => input(each, "name").value.trim()));
    const letters = [..."abcdefghijklmnopqrstuvwxyz"];
    const numbered = letters.flatMap((letter) => [`${letter}2`, `${letter}3`]);
    input(row, "name").value = [...letters, ...numbered].find((name) => !taken.has(name)) ?? "";
    return row;
  };

  drawing.addEventListener("pointerdown", (event) => {
    const group = event.target instanceof Element ? event.target.closest("g.peg") : null;
    const number = group instanceof SVGElement ? group.dataset.row : "";
    let row = all().find((each) => each.dataset.row === number && number) ?? null;
    event.preventDefault();
    frozen = true;
    if (!row) {
      row = fresh();
      if (!row) return;
      const at = under(event);
      put(row, at.x, at.y);
      pick(input(row, "name").value);
      draw();
    }
    const at = place(row);
    held = { peg: row, x: at.x, y: at.y };
    focusOn(row.dataset.row ?? "");
    drawing.setPointerCapture(event.pointerId);
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!held) return;
    const at = under(event);
    put(held.peg, at.x, at.y);
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    drawing.addEventListener(end, () => {
      held = null;
      frozen = false;
      draw();
    });
  }

  /** The first pegs become start and cross, until others are chosen. @param {string} name */
  const pick = (name) => {
    names();
    for (const which of ["start", "cross-1", "cross-2"]) {
      const select = form.elements.namedItem(which);
      if (select instanceof HTMLSelectElement && !select.value) {
        select.value = name;
        return;
      }
    }
  };

  drawing.addEventListener("keydown", (event) => {
    const group = event.target instanceof SVGElement ? event.target.closest("g.peg") : null;
    const row =
      group instanceof SVGElement ? all().find((each) => each.dataset.row === group.dataset.row) : null;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!row || !way) return;
    event.preventDefault();
    const far = step * (event.shiftKey ? 8 : 1);
    const { x, y } = place(row);
    put(row, x + (way[0] ?? 0) * far, y + (way[1] ?? 0) * far);
    frozen = true;
    draw();
    frozen = false;
    moved.textContent = `${input(row, "name").value}: ${input(row, "x").value}, ${input(row, "y").value}`;
  });

  rows.addEventListener("input", (event) => {
    const row = event.target instanceof Element ? event.target.closest("tr") : null;
    if (!(row instanceof HTMLElement)) return;
    const { x, y } = place(row);
    row.dataset.x = String(read(input(row, "x").value, x));
    row.dataset.y = String(read(input(row, "y").value, y));
    draw();
  });
  form.addEventListener("change", (event) => {
    if (event.target instanceof HTMLSelectElement) draw();
  });
  draw();
}
