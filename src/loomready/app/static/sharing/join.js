// A scanned code comes in the address's fragment, which no browser sends: it is put into the form and taken
// out of the address again, so that it stays in no history.
const field = document.getElementById("code");
const code = decodeURIComponent(location.hash.slice(1));
if (field instanceof HTMLInputElement && code) {
  field.value = code;
  history.replaceState(null, "", location.pathname);
  document.getElementById("name")?.focus();
}
