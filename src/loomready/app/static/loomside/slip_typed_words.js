// What a weaver says of a fault in a few words, as in loomready/slips/typed_words.py.

const SIGNS = { gap: "gap", line: "crowded", streak: "crowded" };
const NUMBER = "([0-9]{1,5})";
const RISES = new RegExp(
  `^end ${NUMBER} (rises|does not rise|doesn't rise|stays down) (?:with|on) shafts? ([0-9]{1,3}(?:(?: and |, ?| )[0-9]{1,3})*)$`,
);
const ENDS = new RegExp(
  `^(?:(gap|line|streak) (?:at|between) )?(?:ends? )?${NUMBER}(?: ?(?:to|-|and) ?${NUMBER})?$`,
);
const FROM = new RegExp(
  `^(?:(gap|line|streak|end|fault) )?${NUMBER}(?: ends?)?(?: in)? from (?:the )?(left|right)(?: edge)?$`,
);

/**
 * What it says: where, how it looks, whether an end rises; or what is wrong, as the name of a word with its blanks.
 * @returns {{at?: [number, number], sign?: string, rose?: {shafts: number[], seen: [number, boolean][]}, wrong?: (string | object)[]}}
 */
export function read(text, ends, shafts, end1) {
  const words = text
    .toLowerCase()
    .replaceAll("–", "-")
    .split(/\s+/)
    .filter(Boolean)
    .join(" ")
    .replace(/^[. ]+|[. ]+$/g, "");
  let found = RISES.exec(words);
  const no = (end) => (end >= 1 && end <= ends ? null : { wrong: ["no_end", { n: end, of: ends }] });
  if (found) {
    const lifted = [...new Set(found[3].match(/[0-9]+/g).map(Number))].sort((a, b) => a - b);
    const other = lifted.find((shaft) => shaft < 1 || shaft > shafts);
    if (other !== undefined) return { wrong: ["no_shaft", { n: other, of: shafts }] };
    const end = Number(found[1]);
    return no(end) ?? { rose: { shafts: lifted, seen: [[end, found[2] === "rises"]] } };
  }
  found = FROM.exec(words);
  if (found) {
    const place = Number(found[2]);
    const end = found[3] === end1 ? place : ends + 1 - place;
    return no(place) ?? { at: [end, end], ...sign(found[1]) };
  }
  found = ENDS.exec(words);
  if (found) {
    const both = [Number(found[2]), Number(found[3] ?? found[2])];
    return no(both[0]) ?? no(both[1]) ?? { at: [Math.min(...both), Math.max(...both)], ...sign(found[1]) };
  }
  return {
    wrong: [
      words ? "not_understood" : "words_expected",
      { text: text.length > 40 ? `${text.slice(0, 39)}…` : text },
    ],
  };
}

const sign = (word) => (SIGNS[word] ? { sign: SIGNS[word] } : {});
