/** The recording: a media element of the page, or none. */

import { lastAt } from "./times.js";
import { byId } from "./view.js";

/**
 * What the page asks of a recording. Events: "step" (step holds the index), "time", "stop" (quiz holds the index; the
 * end of a question was reached by playing), "state" (playing or paused).
 * @typedef {object} Recording
 * @property {number} time seconds
 * @property {boolean} playing
 * @property {boolean} playable false when there is nothing to play
 * @property {number} step index of the step that holds at the present time
 * @property {(time: number) => void} seek
 * @property {() => void} toggle
 * @property {() => void} pause
 * @property {(rate: number) => void} setRate
 * @property {(time: number) => void} stopAt pauses when playing reaches a time
 */

/** Seconds for which a caption may stay after the onset of its last word. */
const LAST_WORD = 2;

/** A time that moves only when it is told to. */
export class SilentRecording extends EventTarget {
  /** @param {import("./lesson.js").Lesson} lesson */
  constructor(lesson) {
    super();
    this.steps = lesson.steps;
    this.time = 0;
    this.playing = false;
    this.playable = false;
  }

  get step() {
    return Math.max(0, lastAt(this.steps.length, (index) => this.steps[index].start, this.time));
  }

  /** @param {number} time */
  seek(time) {
    this.time = time;
    this.dispatchEvent(new Event("step"));
    this.dispatchEvent(new Event("time"));
  }

  toggle() {}

  pause() {}

  setRate() {}

  stopAt() {}
}

export class PlayedRecording extends EventTarget {
  #stopTime = Infinity;
  #soughtTo = 0;
  #ticking = false;

  /**
   * @param {HTMLMediaElement} element
   * @param {import("./lesson.js").Lesson} lesson
   */
  constructor(element, lesson) {
    super();
    this.element = element;
    this.lesson = lesson;
    this.playable = true;
    this.step = 0;
    this.#trackSteps();
    this.#trackQuestions();
    this.#watchElement();
    this.#mendCaptions();
  }

  get time() {
    return this.element.currentTime;
  }

  get playing() {
    return !this.element.paused;
  }

  /** @param {number} time */
  seek(time) {
    this.#stopTime = Infinity;
    this.element.currentTime = time;
    this.#sought(time);
  }

  toggle() {
    if (this.element.paused) void this.element.play().catch(() => undefined);
    else this.element.pause();
  }

  pause() {
    this.element.pause();
  }

  /** @param {number} rate */
  setRate(rate) {
    this.element.playbackRate = rate;
  }

  /** @param {number} time */
  stopAt(time) {
    this.#stopTime = time;
  }

  /** Steps are cues of a metadata track: the browser tells when playing enters one, at any rate. */
  #trackSteps() {
    const track = this.element.addTextTrack("metadata", "plies");
    track.mode = "hidden";
    const { steps, duration } = this.lesson;
    steps.forEach((step, index) => {
      const end = steps[index + 1]?.start ?? Math.max(duration, step.start) + 1;
      const cue = new VTTCue(step.start, end, JSON.stringify({ game: step.game, ply: step.ply }));
      cue.id = String(index);
      track.addCue(cue);
    });
    track.addEventListener("cuechange", () => {
      // Where one cue ends another begins, and at that very time browsers may hold both to be active.
      const cue = track.activeCues?.[track.activeCues.length - 1];
      if (cue && !this.element.seeking) this.#setStep(Number(cue.id));
    });
  }

  /** Questions are cues as well: playing out of one stops the recording, seeking out of it does not. */
  #trackQuestions() {
    const track = this.element.addTextTrack("metadata", "questions");
    track.mode = "hidden";
    this.lesson.quizzes.forEach((quiz, index) => {
      const cue = new VTTCue(quiz.start, quiz.stop, "");
      cue.addEventListener("exit", () => this.#leaveQuestion(quiz.stop, index));
      track.addCue(cue);
    });
  }

  /**
   * @param {number} stop
   * @param {number} index
   */
  #leaveQuestion(stop, index) {
    if (this.element.seeking || this.#soughtTo >= stop || this.time < stop) return;
    this.dispatchEvent(Object.assign(new Event("stop"), { quiz: index }));
  }

  #watchElement() {
    const { element } = this;
    for (const name of ["play", "pause", "ended"]) {
      element.addEventListener(name, () => {
        this.dispatchEvent(new Event("state"));
        this.#tick();
      });
    }
    element.addEventListener("seeking", () => this.#sought(element.currentTime));
    element.addEventListener("timeupdate", () => this.#move());
    element.addEventListener("error", () => this.#tellTrouble());
    element.addEventListener("loadedmetadata", () => {
      const silent = element instanceof HTMLVideoElement && element.videoWidth === 0;
      element.classList.toggle("sound-only", silent);
    });
  }

  /** While it plays, the time is told with every frame that the browser draws. */
  #tick() {
    if (this.#ticking) return;
    this.#ticking = true;
    const frame = () => {
      this.#ticking = this.playing;
      this.#move();
      if (this.#ticking) requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  #move() {
    if (this.time >= this.#stopTime) {
      this.#stopTime = Infinity;
      this.pause();
    }
    this.dispatchEvent(new Event("time"));
  }

  /** @param {number} time */
  #sought(time) {
    this.#soughtTo = time;
    const { steps } = this.lesson;
    if (steps.length) this.#setStep(Math.max(0, lastAt(steps.length, (index) => steps[index].start, time)));
    this.dispatchEvent(new Event("time"));
  }

  /** @param {number} step */
  #setStep(step) {
    this.step = step;
    this.dispatchEvent(new Event("step"));
  }

  /** Opened from disk a page may not load its caption file; the talk in the page stands in for it. */
  #mendCaptions() {
    const element = this.element.querySelector("track");
    element?.addEventListener("error", () => {
      const { mode } = element.track;
      const track = this.element.addTextTrack("captions", element.label, element.srclang);
      for (const { start, end, text } of captionsOf(this.lesson)) track.addCue(new VTTCue(start, end, text));
      element.remove();
      track.mode = mode;
    });
  }

  #tellTrouble() {
    const trouble = byId("media-trouble");
    trouble.textContent = "This browser cannot play the recording. Moves and talk work without it.";
    trouble.hidden = false;
  }
}

/**
 * Captions out of the transcript's phrases.
 * @param {import("./lesson.js").Lesson} lesson
 * @returns {{ start: number, end: number, text: string }[]}
 */
function captionsOf({ words, duration }) {
  return [...document.querySelectorAll("#words span[data-w]")].flatMap((phrase, index, phrases) => {
    const first = Number(phrase.getAttribute("data-w"));
    const next = Number(phrases[index + 1]?.getAttribute("data-w") ?? words.length);
    const end = Math.min(words[next] ?? duration, words[next - 1] + LAST_WORD);
    const text = [...phrase.childNodes].map((node) => (node.firstChild ?? node).textContent).join("");
    return end > words[first] ? [{ start: words[first], end, text: text.replace(/[&<]/g, escaped) }] : [];
  });
}

/** @param {string} sign */
function escaped(sign) {
  return sign === "&" ? "&amp;" : "&lt;";
}
