/** Stepping through the game and its side lines. */

import { firstNamed, following, START } from "./lesson.js";

export class Steps {
  /** @param {import("./state.js").State} state */
  constructor(state) {
    this.state = state;
  }

  start() {
    this.#to(START);
  }

  back() {
    const { ply } = this.state;
    if (ply) this.#to(ply.parent);
  }

  next() {
    const [first] = this.#after(this.state.shown.ply);
    if (first !== undefined) this.#to(first);
  }

  /** To the end of the line, but not from the game into a side line. */
  end() {
    const { plies } = this.state.game;
    let here = this.state.shown.ply;
    for (let [next] = this.#after(here); next !== undefined; [next] = this.#after(here)) {
      if (!plies[next].played && (here === START ? false : plies[here].played)) break;
      here = next;
    }
    this.#to(here);
  }

  /** To another move in the place of this one. @param {1 | -1} step */
  beside(step) {
    const { ply, shown } = this.state;
    if (!ply) return;
    const places = this.#after(ply.parent);
    const next = places[places.indexOf(shown.ply) + step];
    if (next !== undefined) this.#to(next);
  }

  /** The plies after a place that are not hidden. @param {number} ply */
  #after(ply) {
    const { game, lesson, curtain } = this.state;
    return following(game, ply).filter((next) => curtain === Infinity || firstNamed(game, lesson.moments, next) < curtain);
  }

  /** @param {number} ply */
  #to(ply) {
    if (ply !== this.state.shown.ply && this.state.question === null) this.state.stepTo({ game: this.state.shown.game, ply });
  }
}
