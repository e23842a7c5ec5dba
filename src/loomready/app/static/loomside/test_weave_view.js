// What the views of the test weave share with the job they belong to.

import { fill } from "./draw.js";

export const WINDOW = 8; // ends side by side, each wide enough for a thumb
export const DOUBTFUL = 3; // odds

/** The sentence for one, or for several. */
export const several = (says, name, n) => fill(n === 1 ? says[`${name}_one`] : says[name], { n });

/** A view: it reads the job's marks and words, and asks the job to change them. */
export class View {
  /** @param {import("./test_weave.js").TestWeave} weave */
  constructor(weave) {
    this.weave = weave;
  }

  get says() {
    return this.weave.says;
  }

  get job() {
    return this.weave.job;
  }

  get page() {
    return this.weave.page;
  }

  get marks() {
    return this.weave.marks;
  }

  get at() {
    return this.weave.at;
  }

  get flip() {
    return this.weave.flip;
  }
}
