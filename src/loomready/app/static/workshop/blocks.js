// A board of blocks beside a text field for a profile: a column for each unit, a row for each block. Board
// and text follow each other. Arrow keys move, space and enter tap.
const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const MOST_UNITS = 48;

/** @param {string} text @param {boolean} several @returns {Set<number>[]} */
function units(text, several) {
  const words = several && text.includes(",") ? text.split(",") : [...text];
  return words.map(
    (word) => new Set([...word.toUpperCase()].map((each) => LETTERS.indexOf(each)).filter((at) => at >= 0)),
  );
}

/** @param {Set<number>[]} columns @returns {string} */
function typed(columns) {
  const words = columns.map((column) =>
    [...column]
      .sort((a, b) => a - b)
      .map((at) => LETTERS[at])
      .join(""),
  );
  return words.some((word) => word.length !== 1) ? words.join(",") : words.join("");
}

/** @param {HTMLElement} board */
function begin(board) {
  const input = document.getElementById(board.dataset.board ?? "");
  if (!(input instanceof HTMLInputElement)) return;
  const several = board.dataset.blocks === "several";
  let columns = units(input.value, several);
  let at = { row: 0, column: 0 };

  const say = () => {
    input.value = typed(columns);
    input.dispatchEvent(new Event("input", { bubbles: true }));
    draw();
  };
  /** @param {number} row @param {number} column */
  const tap = (row, column) => {
    const unit = columns[column];
    if (!unit) return;
    if (!several) columns[column] = new Set([row]);
    else if (!unit.delete(row)) unit.add(row);
    else if (!unit.size) unit.add(row);
    at = { row, column };
    say();
    focus();
  };
  const focus = () => {
    const cell = board.querySelector(`[data-row="${at.row}"][data-column="${at.column}"]`);
    if (cell instanceof HTMLElement) cell.focus();
  };

  function draw() {
    const used = Math.max(-1, ...columns.flatMap((unit) => [...unit]));
    const rows = Math.min(LETTERS.length, Math.max(2, used + 2));
    const grid = document.createElement("div");
    grid.className = "grid";
    grid.setAttribute("role", "group");
    grid.setAttribute("aria-label", board.dataset.name ?? "");
    if (columns.length > 0 && columns.length <= MOST_UNITS) {
      for (let row = rows - 1; row >= 0; row -= 1) {
        const line = document.createElement("div");
        line.className = "row";
        const name = document.createElement("span");
        name.textContent = LETTERS[row];
        name.setAttribute("aria-hidden", "true");
        line.append(name);
        columns.forEach((unit, column) => {
          const cell = document.createElement("button");
          cell.type = "button";
          cell.dataset.row = String(row);
          cell.dataset.column = String(column);
          cell.tabIndex = row === at.row && column === at.column ? 0 : -1;
          cell.setAttribute("aria-pressed", String(unit.has(row)));
          cell.setAttribute(
            "aria-label",
            `${board.dataset.unit} ${column + 1}, ${board.dataset.block} ${LETTERS[row]}`,
          );
          cell.addEventListener("click", () => tap(row, column));
          line.append(cell);
        });
        grid.append(line);
      }
    }
    const acts = document.createElement("div");
    acts.className = "acts";
    for (const [word, step] of [
      [board.dataset.oneLess, -1],
      [board.dataset.oneMore, 1],
    ]) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "plain small";
      button.textContent = String(word);
      button.hidden = step === -1 && columns.length === 0;
      button.addEventListener("click", () => {
        if (step === 1) columns.push(new Set(columns.at(-1) ?? [0]));
        else columns.pop();
        at = { row: at.row, column: Math.max(0, Math.min(at.column, columns.length - 1)) };
        say();
        const same = [...board.querySelectorAll(".acts button")].at(step === 1 ? 1 : 0);
        if (same instanceof HTMLElement) same.focus();
      });
      acts.append(button);
    }
    board.replaceChildren(grid, acts);
  }

  board.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (!(cell instanceof HTMLElement) || cell.dataset.row === undefined) return;
    const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [1, 0], ArrowDown: [-1, 0] }[event.key];
    if (!step) return;
    event.preventDefault();
    const rows = board.querySelectorAll(".row").length;
    const row = Number(cell.dataset.row) + step[0];
    const column = Number(cell.dataset.column) + step[1];
    if (row < 0 || row >= rows || column < 0 || column >= columns.length) return;
    cell.tabIndex = -1;
    at = { row, column };
    const next = board.querySelector(`[data-row="${row}"][data-column="${column}"]`);
    if (next instanceof HTMLElement) {
      next.tabIndex = 0;
      next.focus();
    }
  });
  input.addEventListener("input", (event) => {
    if (!event.isTrusted) return;
    columns = units(input.value, several);
    draw();
  });
  draw();
  board.hidden = false;
}

for (const board of document.querySelectorAll("[data-board]")) {
  if (board instanceof HTMLElement) begin(board);
}

// A field with an error message is marked as wrong.
document.addEventListener("htmx:oobAfterSwap", mark);
document.addEventListener("htmx:afterSettle", mark);
function mark() {
  for (const error of document.querySelectorAll("p.error[id$='-error']")) {
    const field = document.getElementById(error.id.replace(/-error$/, ""));
    if (error instanceof HTMLElement && error.hidden) field?.removeAttribute("aria-invalid");
    else field?.setAttribute("aria-invalid", "true");
  }
}
mark();
