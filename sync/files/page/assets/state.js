/** What the page shows, and who wants to know. */

import { START } from "./lesson.js";

/**
 * Events:
 * "shown": another position is on the board; "spoken": the talk came to another step; "time": the recording's time
 * moved; "following": the board left the talk or came back to it; "curtain": what is hidden changed; "asked": a
 * question was opened or closed.
 */
export class State extends EventTarget {
  /** @param {import("./lesson.js").Lesson} lesson */
  constructor(lesson) {
    super();
    this.lesson = lesson;
    /** @type {import("./lesson.js").Place} */
    this.shown = { game: 0, ply: START };
    /** Index into lesson.steps: what the talk is about now. */
    this.step = lesson.steps.length ? 0 : -1;
    this.time = 0;
    this.following = true;
    /** Moves first named from this time on are hidden. */
    this.curtain = Infinity;
    /** Index of the open question, null when there is none. @type {number | null} */
    this.question = null;
    /** The place that was asked for, while its step lasts. @type {{ step: number, place: Place } | null} */
    this.pinned = null;
  }

  get game() {
    return this.lesson.games[this.shown.game];
  }

  get ply() {
    return this.shown.ply === START ? null : this.game.plies[this.shown.ply];
  }

  /**
   * Puts a position on the board.
   * @param {import("./lesson.js").Place} place
   */
  show({ game, ply }) {
    if (game === this.shown.game && ply === this.shown.ply) return;
    this.shown = { game, ply };
    this.#tell("shown");
  }

  /**
   * Puts a position on the board that the talk is not about.
   * @param {import("./lesson.js").Place} place
   */
  stepTo(place) {
    this.setFollowing(false);
    this.show(place);
  }

  /**
   * The talk came to a step.
   * @param {number} step
   */
  speak(step) {
    if (this.pinned && this.pinned.step !== step) this.pinned = null;
    if (step !== this.step) {
      this.step = step;
      this.#tell("spoken");
    }
    if (this.following && this.question === null) this.#showSpoken();
  }

  /**
   * Keeps a place on the board for as long as a step lasts: where the same words name two moves, the one asked for.
   * @param {number} step
   * @param {import("./lesson.js").Place} place
   */
  pin(step, place) {
    this.pinned = { step, place };
  }

  /** @param {boolean} following */
  setFollowing(following) {
    if (following !== this.following) {
      this.following = following;
      this.#tell("following");
    }
    if (following) this.#showSpoken();
  }

  /** @param {number} time */
  setTime(time) {
    this.time = time;
    this.#tell("time");
  }

  /** @param {number} time */
  setCurtain(time) {
    if (time === this.curtain) return;
    this.curtain = time;
    this.#tell("curtain");
  }

  /** @param {number | null} question */
  ask(question) {
    this.question = question;
    this.#tell("asked");
  }

  #showSpoken() {
    const place = this.pinned?.place ?? this.lesson.steps[this.step];
    if (place) this.show(place);
  }

  /** @param {string} event */
  #tell(event) {
    this.dispatchEvent(new Event(event));
  }
}

/** @typedef {import("./lesson.js").Place} Place */
