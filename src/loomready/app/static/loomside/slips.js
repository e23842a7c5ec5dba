// Cells of a test weave: arrow keys move among them, and what is tapped stays in this browser until it is saved.

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("window"));

/** @param {HTMLFormElement} form */
function cellsOf(form) {
  const rows = [...form.querySelectorAll(".cells .row")];
  return rows.map((row) => [...row.querySelectorAll("input")]).filter((row) => row.length);
}

/** @param {HTMLFormElement} form */
function moveByArrows(form) {
  const rows = cellsOf(form);
  const leftward = form.querySelector(".cells").classList.contains("leftward");
  const steps = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowRight: [0, leftward ? -1 : 1], ArrowLeft: [0, leftward ? 1 : -1] };
  form.addEventListener("keydown", (event) => {
    const step = steps[event.key];
    const cell = /** @type {HTMLInputElement} */ (event.target);
    const at = rows.findIndex((row) => row.includes(cell));
    if (!step || at < 0) return;
    event.preventDefault();
    const row = rows[Math.min(Math.max(at + step[0], 0), rows.length - 1)];
    const place = rows[at].indexOf(cell) + step[1];
    row[Math.min(Math.max(place, 0), row.length - 1)].focus();
  });
}

/** Keeps taps until the server says in the address that it has those of these ends. @param {HTMLFormElement} form */
function keepTaps(form) {
  const { kept, first } = form.dataset;
  const boxes = cellsOf(form).flat();
  try {
    const saved = new URLSearchParams(location.search).get("saved");
    if (saved) localStorage.removeItem(`${kept} ${saved}`);
    const taps = JSON.parse(localStorage.getItem(`${kept} ${first}`) ?? "null");
    if (Array.isArray(taps)) for (const box of boxes) box.checked = taps.includes(box.value);
    form.addEventListener("change", () => {
      const tapped = boxes.filter((box) => box.checked).map((box) => box.value);
      localStorage.setItem(`${kept} ${first}`, JSON.stringify(tapped));
    });
  } catch {
    // No storage here: taps last as long as the page.
  }
}

/** The strip of the whole web shows the ends that stand below it. */
function showHere() {
  const scroll = document.querySelector(".webscroll");
  const at = scroll?.querySelector(".here")?.getBoundingClientRect();
  if (at) scroll.scrollLeft += at.left + at.width / 2 - scroll.getBoundingClientRect().left - scroll.clientWidth / 2;
}

showHere();

const print = document.getElementById("print");
if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}
if (form) {
  moveByArrows(form);
  keepTaps(form);
}
