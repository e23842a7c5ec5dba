// The editor's texts, which come with the page; and which side of the draft each part belongs to.
const WORDS = JSON.parse(document.getElementById("words")?.textContent ?? "{}");

/** A text with its placeholders filled in. @param {string} name @param {Record<string, string | number>} places */
export function word(name, places = {}) {
  return WORDS[name].replace(/\{(\w+)\}/g, (/** @type {string} */ _, /** @type {string} */ place) =>
    String(places[place]),
  );
}

/** The threads that a part of the sheet stands for. */
export const SIDE_OF = {
  threading: "warp",
  warp: "warp",
  side: "weft",
  weft: "weft",
  cloth: null,
  tieup: null,
};
