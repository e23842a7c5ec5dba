// Whoever leaves the page while a change is tried and not kept is asked first.
let keeps = false;
document.addEventListener("submit", (event) => {
  keeps = event.target instanceof HTMLFormElement && event.target.method === "post";
});
addEventListener("beforeunload", (event) => {
  const tried = document.getElementById("tried")?.dataset.tried === "yes";
  if (tried && !keeps) event.preventDefault();
});
