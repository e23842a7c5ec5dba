// Four corners tapped on a photograph, each set exactly in an enlarged view. The picture is only drawn here.

/** @type {(id: string) => any} an element of any kind: a canvas, a form field, a button */
const byId = (id) => document.getElementById(id);
const form = byId("photo");
const [stage, lens, glass, told] = ["stage", "lens", "glass", "told"].map(byId);
/** @type {NodeListOf<HTMLButtonElement>} */
const buttons = document.querySelectorAll("button[data-corner]");
const corners = [...buttons];
const fields = corners.map((_, place) => byId(`corner${place + 1}`));
const COLOR = "#e0241b";
const LENS_SHARE = 0.62; // height of the enlarged view against its width
const [LEAST_ZOOM, MOST_ZOOM] = [0.5, 16];

/** @type {ImageBitmap | null} */
let picture = null;
let key = "";
let current = 0;
let zoom = 4; // pixels of the screen for one of the picture

/** @param {number} place */
function pointOf(place) {
  const found = /^\s*([\d.]+)\s*,\s*([\d.]+)\s*$/.exec(fields[place].value);
  return found ? { x: Number(found[1]), y: Number(found[2]) } : null;
}

/** @param {number} place @param {{x: number, y: number}} point */
function setPoint(place, point) {
  const x = Math.min(Math.max(point.x, 0), picture.width);
  const y = Math.min(Math.max(point.y, 0), picture.height);
  fields[place].value = `${x.toFixed(1)}, ${y.toFixed(1)}`;
  keep();
  draw();
}

/** Taps outlive a reload of the page and a refusal, as long as the same file is chosen again. */
function keep() {
  try {
    sessionStorage.setItem(key, JSON.stringify(fields.map((field) => field.value)));
  } catch {
    // No storage here: taps last as long as the page.
  }
}

function kept() {
  try {
    const values = JSON.parse(sessionStorage.getItem(key) ?? "null");
    if (Array.isArray(values))
      for (const [place, field] of fields.entries()) field.value = String(values[place] ?? "");
  } catch {
    // Nothing was kept.
  }
}

/** @param {HTMLCanvasElement} canvas @param {number} height of it in CSS pixels */
function cleared(canvas, height) {
  const density = window.devicePixelRatio || 1;
  canvas.width = Math.round(canvas.clientWidth * density);
  canvas.height = Math.round(height * density);
  const on = canvas.getContext("2d");
  on.scale(density, density);
  return on;
}

function drawStage() {
  const scale = stage.clientWidth / picture.width;
  const on = cleared(stage, picture.height * scale);
  on.drawImage(picture, 0, 0, stage.clientWidth, picture.height * scale);
  const points = corners.map((_, place) => pointOf(place));
  on.lineWidth = 2;
  on.strokeStyle = COLOR;
  on.font = "600 16px sans-serif";
  if (points.every(Boolean)) {
    on.beginPath();
    for (const place of [0, 1, 3, 2, 0]) on.lineTo(points[place].x * scale, points[place].y * scale);
    on.stroke();
  }
  points.forEach((point, place) => {
    if (!point) return;
    const [x, y] = [point.x * scale, point.y * scale];
    on.beginPath();
    on.arc(x, y, place === current ? 9 : 6, 0, 2 * Math.PI);
    on.stroke();
    on.lineWidth = 4;
    on.strokeStyle = "#fff";
    on.strokeText(String(place + 1), x + 9, y - 9);
    on.lineWidth = 2;
    on.strokeStyle = COLOR;
    on.fillStyle = COLOR;
    on.fillText(String(place + 1), x + 9, y - 9);
  });
}

function drawLens() {
  const point = pointOf(current);
  glass.hidden = !point;
  if (!point) return;
  const [wide, high] = [lens.clientWidth, lens.clientWidth * LENS_SHARE];
  const on = cleared(lens, high);
  on.imageSmoothingEnabled = zoom < 4;
  on.drawImage(
    picture,
    wide / 2 - point.x * zoom,
    high / 2 - point.y * zoom,
    picture.width * zoom,
    picture.height * zoom,
  );
  for (const { color, width } of [
    { color: "#fff", width: 4 },
    { color: COLOR, width: 1.5 },
  ]) {
    on.strokeStyle = color;
    on.lineWidth = width;
    on.beginPath();
    for (const [dx, dy] of [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ]) {
      on.moveTo(wide / 2 + 6 * dx, high / 2 + 6 * dy);
      on.lineTo(wide / 2 + 46 * dx, high / 2 + 46 * dy);
    }
    on.stroke();
  }
}

function draw() {
  if (!picture) return;
  corners.forEach((button, place) => {
    button.setAttribute("aria-checked", String(place === current));
    button.tabIndex = place === current ? 0 : -1;
    button.querySelector(".tapped").textContent = pointOf(place) ? "✓" : "";
  });
  const all = corners.every((_, place) => pointOf(place));
  told.textContent = all ? form.dataset.done : corners[current].textContent.trim();
  drawStage();
  drawLens();
}

/** @param {number} place */
function choose(place) {
  current = (place + corners.length) % corners.length;
  draw();
}

/** @param {File} file */
async function show(file) {
  const bad = document.getElementById("bad");
  bad.hidden = true;
  try {
    picture = await createImageBitmap(file);
  } catch {
    picture = null;
    bad.hidden = false;
    bad.querySelector("span").textContent = form.dataset.bad;
    return;
  }
  key = `photo ${file.name} ${file.size} ${file.lastModified}`;
  for (const field of fields) field.value = "";
  kept();
  stage.hidden = false;
  document.getElementById("corners").hidden = false;
  zoom = Math.min(Math.max(2400 / picture.width, 1), 6);
  current = Math.max(
    fields.findIndex((field) => !field.value),
    0,
  );
  draw();
}

function drags() {
  /** @type {{x: number, y: number} | null} */
  let from = null;
  lens.addEventListener("pointerdown", (event) => {
    from = { x: event.clientX, y: event.clientY };
    lens.setPointerCapture(event.pointerId);
  });
  lens.addEventListener("pointermove", (event) => {
    const point = from && pointOf(current);
    if (!point) return;
    setPoint(current, {
      x: point.x - (event.clientX - from.x) / zoom,
      y: point.y - (event.clientY - from.y) / zoom,
    });
    from = { x: event.clientX, y: event.clientY };
  });
  for (const name of ["pointerup", "pointercancel"]) lens.addEventListener(name, () => (from = null));
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  lens.addEventListener("keydown", (event) => {
    const [step, point] = [steps[event.key], pointOf(current)];
    if (!step || !point) return;
    event.preventDefault();
    setPoint(current, { x: point.x + step[0], y: point.y + step[1] });
  });
}

stage.addEventListener("click", (event) => {
  const box = stage.getBoundingClientRect();
  const scale = picture.width / box.width;
  setPoint(current, { x: (event.clientX - box.left) * scale, y: (event.clientY - box.top) * scale });
  glass.scrollIntoView({ block: "nearest" });
});
corners.forEach((button, place) => {
  button.addEventListener("click", () => choose(place));
  button.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    choose(place + step);
    corners[current].focus();
  });
});
document.getElementById("next").addEventListener("click", () => {
  const open = fields.findIndex((field) => !field.value);
  choose(open < 0 ? current + 1 : open);
});
/** @type {NodeListOf<HTMLButtonElement>} */
const zooms = document.querySelectorAll("button[data-zoom]");
for (const button of zooms) {
  button.addEventListener("click", () => {
    zoom = Math.min(Math.max(zoom * Number(button.dataset.zoom), LEAST_ZOOM), MOST_ZOOM);
    drawLens();
  });
}
for (const field of fields) field.addEventListener("input", draw);
const file = byId("file");
file.addEventListener("change", () => file.files[0] && show(file.files[0]));
if (file.files[0]) show(file.files[0]);
window.addEventListener("resize", draw);
form.addEventListener("submit", (event) => {
  if (file.files[0] && fields.every((field) => field.value.trim())) return;
  event.preventDefault();
  const missing = document.getElementById("missing");
  missing.hidden = false;
  missing.querySelector("span").textContent = form.dataset.missing;
});
drags();
