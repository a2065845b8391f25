/** The talk along a line: what is discussed when, and how long. */

import { START } from "./lesson.js";
import { clockText, lastAt, timeWords } from "./times.js";
import { byId, draw, make } from "./view.js";

/** Top and height of the lanes in percent, by depth: the game, its side lines, all that is deeper. */
const LANES = [
  [6, 36],
  [52, 18],
  [78, 18],
];
const WITHOUT_CHAPTERS = 60; // seconds that Page Up and Page Down go

export class Timeline {
  #duration;

  /**
   * @param {import("./state.js").State} state
   * @param {{ toMoment: (moment: number) => void, toTime: (time: number) => void }} jump
   */
  constructor(state, jump) {
    this.state = state;
    this.jump = jump;
    this.element = byId("timeline");
    const { lesson } = state;
    this.#duration = Math.max(lesson.duration, ...lesson.moments.map((moment) => moment.end), 0.001);
    this.lanes = draw("svg", { class: "lanes", viewBox: `0 0 ${this.#duration} 100`, preserveAspectRatio: "none" });
    this.heard = make("div", { class: "heard" });
    this.cursor = make("div", { class: "cursor" });
    this.veil = make("div", { class: "veil" });
    this.tip = make("div", { class: "tip" });
    this.tip.hidden = true;
    this.current = draw("path", { class: "bar current" });
    this.lanes.append(...this.#spans(), ...this.#bars(), this.current);
    const track = make("div", { class: "track" }, this.lanes, this.heard, this.veil);
    this.element.append(this.#heads(), track, ...this.#asks(), this.cursor, this.tip);
    for (const part of this.element.children) part.setAttribute("aria-hidden", "true");
    this.element.setAttribute("aria-valuemin", "0");
    this.element.setAttribute("aria-valuemax", String(Math.round(this.#duration)));
    byId("total").textContent = clockText(this.#duration);
    this.#listen();
    this.#move();
    this.#markCurrent();
  }

  /** The side line that a moment belongs to, at the first level; START for the game. @param {number} index */
  #topLine(index) {
    const { game, ply } = this.state.lesson.moments[index];
    const { plies } = this.state.lesson.games[game];
    let line = plies[ply].line;
    while (line !== START && plies[line].depth > 1) line = plies[plies[line].parent].line;
    return line;
  }

  /** One stretch for each run of moments of one side line. */
  #spans() {
    const { moments } = this.state.lesson;
    /** @type {{ game: number, line: number, start: number, end: number }[]} */
    const spans = [];
    moments.forEach((moment, index) => {
      const line = this.#topLine(index);
      const last = spans[spans.length - 1];
      if (last && last.game === moment.game && last.line === line) last.end = Math.max(last.end, moment.end);
      else spans.push({ game: moment.game, line, start: moment.start, end: moment.end });
    });
    const paths = spans.filter(({ line }) => line !== START).map(({ start, end }) => box(start, end, LANES[1][0] - 6, 100));
    return paths.length ? [draw("path", { class: "span", d: paths.join("") })] : [];
  }

  /** Bars in two shades by turns, so that neighbours part even where they touch. */
  #bars() {
    const { moments, games } = this.state.lesson;
    /** @type {Record<string, string[]>} */
    const paths = {};
    moments.forEach((moment, index) => {
      const kind = games[moment.game].plies[moment.ply].played ? "played" : "considered";
      const shade = index % 2 ? "odd" : "even";
      (paths[`bar ${kind} ${shade}`] ??= []).push(this.#bar(index));
    });
    return Object.entries(paths).map(([name, boxes]) => draw("path", { class: name, d: boxes.join("") }));
  }

  /** @param {number} index */
  #bar(index) {
    const { start, end, game, ply } = this.state.lesson.moments[index];
    const [top, height] = LANES[Math.min(this.state.lesson.games[game].plies[ply].depth, LANES.length - 1)];
    return box(start, end, top, top + height);
  }

  /** The chapters, above the lanes. */
  #heads() {
    const { chapters } = this.state.lesson;
    const heads = make("div", { class: "heads" });
    chapters.forEach((chapter, index) => {
      const end = chapters[index + 1]?.start ?? this.#duration;
      const head = make("span", { class: "head" }, chapter.title);
      head.style.left = this.#percent(chapter.start);
      head.style.width = this.#percent(end - chapter.start);
      heads.append(head);
    });
    return heads;
  }

  /** The questions, below the lanes. */
  #asks() {
    const marks = this.state.lesson.quizzes.map((quiz) => {
      const mark = make("span", {}, "?");
      mark.style.left = this.#percent(quiz.stop);
      return mark;
    });
    return marks.length ? [make("div", { class: "asks" }, ...marks)] : [];
  }

  /** @param {number} time */
  #percent(time) {
    return `${(Math.min(Math.max(time / this.#duration, 0), 1) * 100).toFixed(3)}%`;
  }

  #listen() {
    const { element, state } = this;
    element.addEventListener("pointermove", (event) => this.#hover(event));
    element.addEventListener("pointerleave", () => (this.tip.hidden = true));
    element.addEventListener("pointerdown", (event) => this.#press(event));
    element.addEventListener("keydown", (event) => this.#key(event));
    element.addEventListener("focus", () => this.#tellHere());
    element.addEventListener("blur", () => (this.tip.hidden = true));
    state.addEventListener("time", () => this.#move());
    state.addEventListener("spoken", () => this.#markCurrent());
    state.addEventListener("curtain", () => this.#hide());
  }

  #move() {
    const { time } = this.state;
    const place = this.#percent(time);
    this.cursor.style.left = place;
    this.heard.style.width = place;
    const elapsed = clockText(time);
    const shown = byId("elapsed");
    if (shown.textContent === elapsed) return;
    shown.textContent = elapsed;
    this.element.setAttribute("aria-valuenow", String(Math.floor(time)));
    this.#nameValue();
  }

  #markCurrent() {
    const moment = this.#momentNow();
    this.current.setAttribute("d", moment < 0 ? "" : this.#bar(moment));
    this.#nameValue();
    if (this.element.matches(":focus-visible")) this.#tellHere();
  }

  #nameValue() {
    const moment = this.#momentNow();
    const about = moment < 0 ? "" : `, ${this.#name(moment)}`;
    this.element.setAttribute("aria-valuetext", `${timeWords(this.state.time)}${about}`);
  }

  #momentNow() {
    return this.state.lesson.steps[this.state.step]?.moment ?? -1;
  }

  /** @param {number} index */
  #name(index) {
    const { game, ply } = this.state.lesson.moments[index];
    const { label, played } = this.state.lesson.games[game].plies[ply];
    return `${label.replace("...", "…")} ${played ? "played" : "only considered"}`;
  }

  /** The moment that covers a time, -1 for none. @param {number} time */
  #momentAt(time) {
    const { steps, moments } = this.state.lesson;
    const moment = steps[lastAt(steps.length, (index) => steps[index].start, time)]?.moment ?? -1;
    return moment >= 0 && moments[moment].end > time ? moment : -1;
  }

  /** @param {PointerEvent} event */
  #timeAt(event) {
    const rect = this.element.getBoundingClientRect();
    return Math.min(Math.max((event.clientX - rect.left) / rect.width, 0), 1) * this.#duration;
  }

  /** @param {PointerEvent} event */
  #hover(event) {
    const time = this.#timeAt(event);
    this.#tell(time);
    if (event.buttons & 1 && Math.abs(event.movementX) > 0) this.jump.toTime(time);
  }

  #tellHere() {
    this.#tell(this.state.time);
  }

  /** Says beside the line what the talk is about at a time. @param {number} time */
  #tell(time) {
    const { curtain, lesson } = this.state;
    const moment = time < curtain ? this.#momentAt(time) : -1;
    const chapter = lesson.chapters[lastAt(lesson.chapters.length, (index) => lesson.chapters[index].start, time)];
    const lines = [];
    if (time >= curtain) lines.push("Hidden until the question is answered");
    else if (moment >= 0) lines.push(this.#name(moment), this.#stretch(moment), this.#sideLine(moment));
    else lines.push(chapter?.title ?? "");
    this.tip.replaceChildren(
      ...lines.filter(Boolean).map((line) => make("span", {}, line)),
      ...(moment < 0 ? [make("span", {}, clockText(time))] : []),
    );
    this.tip.hidden = false;
    const width = this.element.clientWidth;
    const half = this.tip.offsetWidth / 2;
    const middle = (time / this.#duration) * width;
    this.tip.style.left = `${Math.min(Math.max(middle, half), Math.max(half, width - half))}px`;
  }

  /** @param {number} index */
  #stretch(index) {
    const { start, end } = this.state.lesson.moments[index];
    return `${clockText(start)} to ${clockText(end)}, ${timeWords(Math.max(1, Math.round(end - start)))}`;
  }

  /** @param {number} index */
  #sideLine(index) {
    const line = this.#topLine(index);
    const { game } = this.state.lesson.moments[index];
    return line === START ? "" : `Side line ${this.state.lesson.games[game].plies[line].label.replace("...", "…")}`;
  }

  /** @param {PointerEvent} event */
  #press(event) {
    if (event.button !== 0) return;
    const time = this.#timeAt(event);
    const moment = this.#momentAt(time);
    if (moment >= 0) this.jump.toMoment(moment);
    else this.jump.toTime(time);
    this.element.setPointerCapture(event.pointerId);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const keys = /** @type {Record<string, () => void>} */ ({
      ArrowRight: () => this.toNeighbour(1),
      ArrowUp: () => this.toNeighbour(1),
      ArrowLeft: () => this.toNeighbour(-1),
      ArrowDown: () => this.toNeighbour(-1),
      PageUp: () => this.#toChapter(1),
      PageDown: () => this.#toChapter(-1),
      Home: () => this.jump.toTime(0),
      End: () => this.jump.toTime(this.#duration),
    });
    if (!(event.key in keys) || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    keys[event.key]();
    this.#tellHere();
  }

  /** To the next moment (1) or the one before (-1). @param {1 | -1} step */
  toNeighbour(step) {
    const { moments } = this.state.lesson;
    const time = this.state.time;
    const here = lastAt(moments.length, (index) => moments[index].start, time + 0.001);
    const inside = here >= 0 && time > moments[here].start + 0.5;
    const next = step > 0 ? here + 1 : inside ? here : here - 1;
    if (next >= 0 && next < moments.length && moments[next].start < this.state.curtain) this.jump.toMoment(next);
  }

  /** @param {1 | -1} step */
  #toChapter(step) {
    const { chapters } = this.state.lesson;
    const here = lastAt(chapters.length, (index) => chapters[index].start, this.state.time + 0.001);
    const time = chapters.length ? chapters[here + step]?.start : this.state.time + step * WITHOUT_CHAPTERS;
    if (time !== undefined) this.jump.toTime(Math.min(Math.max(time, 0), this.#duration));
  }

  #hide() {
    const { curtain } = this.state;
    this.veil.style.left = this.#percent(Math.min(curtain, this.#duration));
  }
}

/**
 * @param {number} left
 * @param {number} right
 * @param {number} top
 * @param {number} bottom
 */
function box(left, right, top, bottom) {
  return `M${left} ${top}H${right}V${bottom}H${left}Z`;
}
