// The time of each job: started and paused under "more", shown beside the job's name while it runs.
import { fill } from "./draw.js";
import { Stopwatch } from "./stopwatch.js";

/** @type {(id: string) => any} an element of any kind: a form field, a dialog, a link */
const byId = (id) => document.getElementById(id);
const SHOWN = 5000; // ms between updates

/** @param {any} beside the page */
export function timing(beside) {
  const { page } = beside;
  const { words } = page;
  const watch = new Stopwatch(`${page.guild.id}/${page.warp}`);

  function show() {
    const running = watch.job === beside.name;
    const told = page.order.map((job) => [job, watch.told(job)]).filter(([, time]) => time);
    byId("clock").textContent = running
      ? fill(words.time_runs, { time: watch.told(beside.name) || "0:00" })
      : "";
    byId("time").textContent = fill(running ? words.time_pause : words.time_start, {
      job: words[beside.name],
    });
    const list = told.map(([job, time]) => `${words[job]} ${time}`).join(" · ");
    if (byId("time-told").textContent !== list) byId("time-told").textContent = list;
    byId("time-clear").hidden = !told.length;
    const over = byId("time-over");
    if (!over) return;
    over.hidden = !told.length;
    over.href = `${over.dataset.to}?${new URLSearchParams(told)}`;
  }

  byId("time").onclick = () => {
    if (watch.job === beside.name) watch.pause();
    else watch.start(beside.name);
    show();
  };
  byId("time-clear").onclick = () => {
    watch.clear();
    show();
  };
  setInterval(show, SHOWN);
  return {
    /** Another job: stop the time of the one before. */
    opened() {
      if (watch.job && watch.job !== beside.name) watch.pause();
      show();
    },
  };
}
