// A usual week to tick: each toggle writes its rule as a line of the hours, or takes the line away.
const hours = /** @type {HTMLTextAreaElement | null} */ (document.getElementById("hours"));
const week = /** @type {HTMLElement | null} */ (document.querySelector(".week"));

const lines = () =>
  hours.value
    .split("\n")
    .map((line) => line.trim())
    .filter(Boolean);

const toggles = () =>
  /** @type {NodeListOf<HTMLButtonElement>} */ (week.querySelectorAll("button[data-rule]"));

function show() {
  const typed = lines();
  for (const toggle of toggles())
    toggle.setAttribute("aria-pressed", String(typed.includes(toggle.dataset.rule)));
}

function turn(rule) {
  const typed = lines();
  const without = typed.filter((line) => line !== rule);
  hours.value = (without.length < typed.length ? without : [...typed, rule]).join("\n");
  hours.dispatchEvent(new CustomEvent("hours-changed", { bubbles: true }));
  show();
}

if (hours && week) {
  week.hidden = false;
  for (const toggle of toggles()) toggle.addEventListener("click", () => turn(toggle.dataset.rule));
  hours.addEventListener("input", show);
  show();
}
