/** The score sheets: mark the position on the board, hide what a question may not give away. */

import { firstNamed, START } from "./lesson.js";
import { bringIntoView, byId } from "./view.js";

export class Moves {
  /** @type {HTMLElement | null} */
  #current = null;

  /**
   * @param {import("./state.js").State} state
   * @param {(place: import("./lesson.js").Place) => void} jump takes the recording to a place's first moment
   */
  constructor(state, jump) {
    this.state = state;
    this.pane = byId("sheets");
    this.pane.addEventListener("click", (event) => {
      const place = this.#placeOf(event.target);
      if (!place || event.ctrlKey || event.metaKey || event.shiftKey) return;
      if (!this.#leadsOut(event.target)) event.preventDefault();
      jump(place);
    });
    for (const link of this.pane.querySelectorAll("a.m")) link.setAttribute("tabindex", "-1");
    this.#first()?.setAttribute("tabindex", "0");
    state.addEventListener("shown", () => this.#mark());
    state.addEventListener("curtain", () => this.#hide());
  }

  /** @param {import("./lesson.js").Place} place */
  link({ game, ply }) {
    return ply === START ? null : document.getElementById(`p${game + 1}.${this.state.lesson.games[game].plies[ply].id}`);
  }

  #first() {
    return this.pane.querySelector("a.m");
  }

  #mark() {
    const inPane = this.pane.contains(document.activeElement);
    this.#current?.removeAttribute("aria-current");
    (this.#current ?? this.#first())?.setAttribute("tabindex", "-1");
    this.#current = this.link(this.state.shown);
    const stop = this.#current ?? this.#first();
    stop?.setAttribute("tabindex", "0");
    this.#current?.setAttribute("aria-current", "true");
    if (inPane) /** @type {HTMLElement | null} */ (stop)?.focus({ preventScroll: true });
    if (this.#current) bringIntoView(this.pane, this.#current);
    else if (this.state.shown.game === 0) this.pane.scrollTo({ top: 0 });
  }

  #hide() {
    const { curtain, lesson } = this.state;
    byId("curtain").hidden = curtain === Infinity;
    lesson.games.forEach((game, index) =>
      game.plies.forEach((_, ply) => {
        const hidden = curtain < Infinity && firstNamed(game, lesson.moments, ply) >= curtain;
        this.link({ game: index, ply })?.classList.toggle("ahead", hidden);
      }),
    );
    for (const aside of this.pane.querySelectorAll(".aside")) {
      aside.classList.toggle("ahead", aside.querySelector("a.m:not(.ahead)") === null);
    }
    for (const note of this.pane.querySelectorAll(".note, .gap")) {
      const move = note.matches(".gap") ? note.nextElementSibling : note.previousElementSibling;
      note.classList.toggle("ahead", move?.classList.contains("ahead") ?? false);
    }
    for (const number of this.pane.querySelectorAll(".no")) {
      const next = number.nextElementSibling;
      number.classList.toggle("ahead", next?.classList.contains("ahead") ?? false);
    }
  }

  /** @param {EventTarget | null} target */
  #leadsOut(target) {
    return target instanceof Element && target.closest("a[target]") !== null;
  }

  /**
   * @param {EventTarget | null} target
   * @returns {import("./lesson.js").Place | null}
   */
  #placeOf(target) {
    const link = target instanceof Element ? target.closest("a.m") : null;
    const match = /^p(\d+)\.(\d+)$/.exec(link?.id ?? "");
    if (!match) return null;
    const game = Number(match[1]) - 1;
    return { game, ply: this.state.lesson.games[game].plies.findIndex((ply) => ply.id === Number(match[2])) };
  }
}
