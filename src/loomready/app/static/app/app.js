// Drag and drop of files; everything else is plain forms and htmx.
const drop = document.getElementById("drop");
if (drop instanceof HTMLFormElement) {
  const input = drop.querySelector("input[type=file]");
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    drop.classList.add("over");
  });
  document.addEventListener("dragleave", () => drop.classList.remove("over"));
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    if (input instanceof HTMLInputElement && event.dataTransfer?.files.length) {
      input.files = event.dataTransfer.files;
      input.dispatchEvent(new Event("change", { bubbles: true }));
      drop.requestSubmit();
    }
  });
}
document.documentElement.classList.add("live");

// Too many files are reported before they are sent: the server would only close the connection.
document.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
  const size = [...(input.files ?? [])].reduce((sum, file) => sum + file.size, 0);
  const most = Number(input.dataset.most);
  input.setCustomValidity(most && size > most ? (input.dataset.says ?? "") : "");
  if (most) input.reportValidity();
});

// An opened "why" or list of choices stays open when the plan is updated.
const opened = new Set();
document.addEventListener(
  "toggle",
  (event) => {
    const details = event.target;
    if (!(details instanceof HTMLDetailsElement) || !details.closest("#plan")) return;
    const name = details.querySelector("summary")?.firstElementChild?.textContent ?? details.id;
    if (details.open) opened.add(name);
    else if (details.isConnected) opened.delete(name);
  },
  true,
);
// The focus stays in place: a field or button is found by its id, a "why" by its text; where a remedy's
// button is gone with its problem, the answers are next.
let at = "";
let height = 0;
// What is typed while an answer is on its way, and what the answer knows nothing of, by the fields' ids.
let typed = new Map();
document.addEventListener("htmx:beforeSwap", (event) => {
  const active = document.activeElement;
  at = active?.closest("#plan") ? (active.firstElementChild?.textContent ?? active.id) : "";
  height = active?.getBoundingClientRect().top ?? 0;
  const { requestConfig: asked, target } = /** @type {CustomEvent} */ (event).detail;
  typed = new Map();
  if (!asked || !(target instanceof Element)) return;
  /** @type {NodeListOf<HTMLInputElement>} a select has no caret: undefined, which is not put back */
  const fields = target.querySelectorAll("input[id], select[id], textarea[id]");
  for (const field of fields) {
    if (["hidden", "file", "submit"].includes(field.type)) continue;
    // Half a value may have been sent with another field: it stays as typed.
    const half =
      field === active && asked.triggeringEvent?.target !== field && asked.triggeringEvent?.type === "change";
    const other = wasSent(field, asked) ? valueIn(field) !== sentOf(field, asked) : wasTyped(field);
    if (half || other) typed.set(field.id, [valueIn(field), field.selectionStart]);
  }
});

/** @param {HTMLInputElement} field */
const isTicked = (field) => field.type === "checkbox" || field.type === "radio";
/** @param {HTMLInputElement} field */
const valueIn = (field) => (isTicked(field) ? (field.checked ? field.value : null) : field.value);

/** Whether a request held a field: a box that is not checked is of the form, but has no value in it.
 * @param {HTMLInputElement} field
 * @param {any} asked */
function wasSent(field, asked) {
  const { form } = field;
  const including = form !== null && asked.elt.getAttribute("hx-include") === `#${form.id}`;
  return form === asked.elt || including;
}

/** @param {HTMLInputElement} field
 * @param {any} asked */
function sentOf(field, asked) {
  const values = asked.formData.getAll(field.name);
  return isTicked(field)
    ? (values.find((/** @type {any} */ each) => each === field.value) ?? null)
    : (values[0] ?? "");
}

/** Whether a field is no longer as the page came.
 * @param {HTMLInputElement} field */
function wasTyped(field) {
  if (field instanceof HTMLSelectElement) {
    const first = [...field.options].findIndex((option) => option.defaultSelected);
    return field.selectedIndex !== Math.max(0, first);
  }
  return isTicked(field) ? field.checked !== field.defaultChecked : field.value !== field.defaultValue;
}

document.addEventListener("htmx:afterSwap", () => {
  for (const details of document.querySelectorAll("#plan details")) {
    const name = details.querySelector("summary")?.firstElementChild?.textContent ?? details.id;
    if (opened.has(name)) details.setAttribute("open", "");
  }
  const form = document.getElementById("choices");
  if (at && document.activeElement === document.body) {
    const same = document.getElementById(at);
    const whys = [...document.querySelectorAll("#plan summary")];
    const why = /** @type {HTMLElement | undefined} */ (
      whys.find((summary) => summary.firstElementChild?.textContent === at)
    );
    const next = (form?.contains(same) ? same : null) ?? why ?? document.getElementById("answers");
    next?.focus({ preventScroll: true });
  }
  const active = document.activeElement;
  for (const [id, [value, caret]] of typed) putBack(document.getElementById(id), value, caret);
  // A choice stays under the finger when the answers above it change height.
  if (at && active?.closest("#choices")) scrollBy(0, active.getBoundingClientRect().top - height);
});
// What was typed in the meantime is sent in turn: at once, or when the field that it is typed into is left.
/** @param {any} field @param {string | null} value @param {number | null} caret */
function putBack(field, value, caret) {
  if (!field?.matches("input, select, textarea")) return;
  if (isTicked(field)) field.checked = value !== null;
  else field.value = value ?? "";
  const tell = () => field.isConnected && field.dispatchEvent(new Event("change", { bubbles: true }));
  if (field !== document.activeElement) {
    document.addEventListener("htmx:afterSettle", tell, { once: true });
    return;
  }
  if (field.type === "text") field.setSelectionRange(caret, caret);
  let told = false;
  field.addEventListener(
    "change",
    () => {
      told = true;
    },
    { once: true },
  );
  field.addEventListener("blur", () => told || tell(), { once: true });
}

// A stretch of the web strip links to its part of the page.
document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest(".touch a") : null;
  const place = link && document.getElementById((link.getAttribute("href") ?? "").slice(1));
  if (!place) return;
  event.preventDefault();
  place.closest("details")?.setAttribute("open", "");
  for (const other of document.querySelectorAll(".stretches .here")) other.classList.remove("here");
  place.classList.add("here");
  place.focus({ preventScroll: true });
  place.scrollIntoView({ block: "nearest" });
});

// Download a finished file automatically, once.
const fetched = new Set();
function fetchReady() {
  const ready = document.getElementById("ready");
  if (ready instanceof HTMLAnchorElement && !fetched.has(ready.href)) {
    fetched.add(ready.href);
    ready.click();
  }
}
document.addEventListener("htmx:afterSettle", fetchReady);
fetchReady();
