// A scanned code comes in the address's fragment, which no browser sends: it is put into the form and removed
// from the address, so that no history keeps it.
const field = document.getElementById("code");
const code = location.hash.slice(1);
if (field instanceof HTMLInputElement && code) {
  field.value = code;
  history.replaceState(null, "", location.pathname);
  document.getElementById("name")?.focus();
} else if (field?.closest("[data-unknown]")) {
  // A link from another program sends no cookie: the device may have joined already.
  const answer = await fetch("/pulse", { cache: "no-store" });
  if (answer.ok && !answer.redirected) location.replace("/");
}
