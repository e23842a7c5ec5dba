// The search field of every page: "/" goes to it, results come while you type, arrow keys and Enter choose one.
// Without this script it is a plain form.
const form = document.querySelector("form.search");
const field = /** @type {HTMLInputElement | null} */ (document.getElementById("search"));
const list = document.getElementById("search-offers");
const told = document.getElementById("search-told");
const LEAST = 2;
const WAIT_MS = 120;

if (form instanceof HTMLFormElement && field && list) {
  let timer = 0;
  let shown = ""; // the words whose results are listed
  /** @type {AbortController | null} */
  let asking = null;

  field.setAttribute("role", "combobox");
  field.setAttribute("aria-controls", "search-offers-list");
  field.setAttribute("aria-autocomplete", "list");
  field.setAttribute("aria-expanded", "false");

  const options = () => /** @type {HTMLAnchorElement[]} */ ([...list.querySelectorAll("[role=option]")]);
  const chosen = () => options().find((each) => each.getAttribute("aria-selected") === "true");

  /** @param {HTMLAnchorElement | undefined} option */
  const choose = (option) => {
    for (const each of options()) each.setAttribute("aria-selected", String(each === option));
    if (option) {
      field.setAttribute("aria-activedescendant", option.id);
      option.scrollIntoView({ block: "nearest" });
    } else field.removeAttribute("aria-activedescendant");
  };

  const close = () => {
    clearTimeout(timer);
    asking?.abort();
    list.hidden = true;
    field.setAttribute("aria-expanded", "false");
    choose(undefined);
  };

  const ask = async () => {
    asking?.abort();
    asking = new AbortController();
    const words = field.value.trim();
    try {
      const there = `${form.dataset.offers}?q=${encodeURIComponent(words)}`;
      const answer = await fetch(there, { signal: asking.signal, redirect: "error" });
      if (!answer.ok) return;
      list.innerHTML = await answer.text();
    } catch {
      return; // canceled, or no connection: Enter still sends the form
    }
    if (field.value.trim() !== words || document.activeElement !== field) return;
    shown = words;
    list.hidden = false;
    field.setAttribute("aria-expanded", String(options().length > 0));
    choose(options()[0]);
    const said = list.querySelector("[data-told]");
    said?.remove();
    if (told) told.textContent = said?.textContent ?? "";
  };

  field.addEventListener("input", () => {
    clearTimeout(timer);
    if (field.value.trim().length < LEAST) close();
    else timer = setTimeout(ask, WAIT_MS);
  });

  field.addEventListener("keydown", (event) => {
    if (event.isComposing) return;
    const open = !list.hidden;
    const all = open ? options() : [];
    const at = all.findIndex((each) => each.getAttribute("aria-selected") === "true");
    if (event.key === "Escape" && open) close();
    else if (event.key === "ArrowDown" && all.length) choose(all[(at + 1) % all.length]);
    else if (event.key === "ArrowUp" && all.length) choose(all[(at < 1 ? all.length : at) - 1]);
    else if (event.key === "ArrowDown" && field.value.trim().length >= LEAST) ask();
    else if (event.key === "Enter" && open && shown === field.value.trim() && chosen()) chosen()?.click();
    else return;
    event.preventDefault();
  });

  // The field keeps the focus while an option is clicked.
  list.addEventListener("mousedown", (event) => event.preventDefault());
  form.addEventListener("focusout", (event) => {
    if (!(event.relatedTarget instanceof Node && form.contains(event.relatedTarget))) close();
  });
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
  const at = event.target;
  const types = at instanceof HTMLElement && (at.isContentEditable || at.closest("input, textarea, select"));
  const other = document.querySelector("a[data-search]");
  if (types || document.querySelector("dialog[open]") || !(field || other)) return;
  event.preventDefault();
  if (field) {
    field.focus();
    field.select();
  } else if (other instanceof HTMLAnchorElement) other.click();
});
