// The large area for "next". A contact too broad to be a finger does not count. Tap, double tap or hold is a setting.

const HOLD = 450; // ms a hold takes
const TWICE = 500; // ms between the two taps of a double tap
const AGAIN = 150; // ms within which a second press is a bounce
const STRAY = 14; // px that a finger may slide
const BROAD = 70; // px across a contact that is not a finger

/** @param {HTMLElement} area @param {() => string} way "tap", "double" or "hold" @param {() => void} go */
export function press(area, way, go) {
  /** @type {{x: number, y: number, at: number, stray?: boolean, up?: boolean} | null} */
  let down = null;
  let timer = 0;
  let before = -Infinity;
  let went = -Infinity;
  const on = () => {
    const now = performance.now();
    if (now - went < AGAIN) return;
    went = now;
    go();
  };
  const off = () => {
    clearTimeout(timer);
    area.classList.remove("held");
  };
  area.addEventListener("pointerdown", (event) => {
    // A second contact at the same time is an arm, not a finger.
    down =
      down && !down.up
        ? { ...down, stray: true }
        : { x: event.clientX, y: event.clientY, at: performance.now() };
    if (event.width > BROAD || event.height > BROAD) down.stray = true;
    if (way() === "hold" && !down.stray) {
      area.classList.add("held");
      timer = setTimeout(() => {
        off();
        on();
      }, HOLD);
    }
  });
  area.addEventListener("pointermove", (event) => {
    if (down && !down.up && Math.hypot(event.clientX - down.x, event.clientY - down.y) > STRAY) {
      down.stray = true;
      off();
    }
  });
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) {
    area.addEventListener(name, () => {
      off();
      if (down) down.up = true;
    });
  }
  area.addEventListener("contextmenu", (event) => event.preventDefault());
  area.addEventListener("click", (event) => {
    const was = down;
    down = null;
    if (event.detail === 0) return on(); // keyboard, or a reader for the blind
    if (way() === "hold" || was?.stray) return undefined;
    if (way() === "tap") return on();
    const now = performance.now();
    const twice = now - before < TWICE;
    before = twice ? -Infinity : now;
    return twice ? on() : undefined;
  });
}
