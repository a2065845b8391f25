/** The running transcript: marks the words now spoken, leads into the recording, hides what is to come. */

import { lastAt } from "./times.js";
import { bringIntoView, byId } from "./view.js";

const NOW = "now-spoken";

export class Talk {
  #word = -1;
  /** @type {Element | null} */
  #phrase = null;
  #keepsUp = true;

  /**
   * @param {import("./state.js").State} state
   * @param {{ toMoment: (moment: number) => void, toTime: (time: number) => void }} jump
   */
  constructor(state, jump) {
    this.state = state;
    this.jump = jump;
    this.pane = byId("words");
    this.phrases = [...this.pane.querySelectorAll("span[data-w]")];
    this.firsts = this.phrases.map((phrase) => Number(phrase.getAttribute("data-w")));
    /** @type {Map<Element, (Range | null)[]>} */
    this.ranges = new Map();
    this.pane.addEventListener("click", (event) => this.#click(event));
    for (const name of ["wheel", "touchmove", "keydown"]) {
      this.pane.addEventListener(name, () => this.#setKeepsUp(false), { passive: true });
    }
    byId("to-now").addEventListener("click", () => this.#setKeepsUp(true));
    for (const link of this.pane.querySelectorAll("a.m, a.at")) link.setAttribute("tabindex", "-1");
    this.pane.addEventListener("keydown", (event) => this.#key(event));
    state.addEventListener("time", () => this.#mark());
    state.addEventListener("curtain", () => this.#hide());
    this.#mark();
  }

  /** Lets the pane follow the words again. */
  follow() {
    this.#setKeepsUp(true);
  }

  #mark() {
    const { words } = this.state.lesson;
    const word = lastAt(words.length, (index) => words[index], this.state.time + 0.005);
    if (word === this.#word) return;
    this.#word = word;
    const phrase = this.phrases[lastAt(this.firsts.length, (index) => this.firsts[index], word)] ?? null;
    if (phrase !== this.#phrase) {
      this.#phrase?.classList.remove("spoken");
      phrase?.classList.add("spoken");
      this.#phrase = phrase;
      if (phrase && this.#keepsUp) this.#scroll(phrase);
    }
    this.#markWord(phrase, word);
  }

  /**
   * @param {Element | null} phrase
   * @param {number} word
   */
  #markWord(phrase, word) {
    if (!CSS.highlights) return; // the phrase is marked all the same
    const range = phrase && this.#rangesOf(phrase)[word - Number(phrase.getAttribute("data-w"))];
    if (range) CSS.highlights.set(NOW, new Highlight(range));
    else CSS.highlights.delete(NOW);
  }

  /**
   * The ranges of a phrase's words; those that name a move share the range of its link.
   * @param {Element} phrase
   */
  #rangesOf(phrase) {
    const known = this.ranges.get(phrase);
    if (known) return known;
    /** @type {(Range | null)[]} */
    const ranges = [];
    for (const node of phrase.childNodes) {
      if (node instanceof Element && node.matches("a.m")) {
        const range = document.createRange();
        range.selectNodeContents(node);
        ranges.push(...Array(this.#wordsIn(node, Number(phrase.getAttribute("data-w")) + ranges.length)).fill(range));
      } else {
        ranges.push(...wordRanges(node instanceof Element ? (node.firstChild ?? node) : node));
      }
    }
    this.ranges.set(phrase, ranges);
    return ranges;
  }

  /**
   * How many words of the talk a link stands for.
   * @param {Element} link
   * @param {number} next index of the next word that is not accounted for
   */
  #wordsIn(link, next) {
    const { firstWord, namedEnd } = this.state.lesson.moments[Number(link.getAttribute("data-m"))];
    return firstWord < next ? 0 : Math.max(1, namedEnd - firstWord);
  }

  /** @param {MouseEvent} event */
  #click(event) {
    const target = event.target instanceof Element ? event.target : null;
    const link = target?.closest("a");
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (!link) {
      this.#clickWord(event);
      return;
    }
    if (!link.target) event.preventDefault();
    this.#setKeepsUp(true);
    if (link.dataset.m) this.jump.toMoment(Number(link.dataset.m));
    else this.jump.toTime(this.state.lesson.words[Number(link.parentElement?.getAttribute("data-w"))]);
  }

  /**
   * A click between the links goes to the word under it, unless text was selected.
   * @param {MouseEvent} event
   */
  #clickWord(event) {
    const spot = document.caretPositionFromPoint?.(event.clientX, event.clientY);
    const phrase = spot?.offsetNode.parentElement?.closest("span[data-w]");
    if (!spot || !phrase || !getSelection()?.isCollapsed) return;
    const index = this.#rangesOf(phrase).findIndex((range) => range?.isPointInRange(spot.offsetNode, spot.offset));
    if (index >= 0) this.jump.toTime(this.state.lesson.words[Number(phrase.getAttribute("data-w")) + index]);
  }

  /**
   * Arrow keys go from link to link.
   * @param {KeyboardEvent} event
   */
  #key(event) {
    const step = /** @type {Record<string, number>} */ ({ ArrowRight: 1, ArrowLeft: -1 })[event.key];
    if (!step) return;
    event.preventDefault();
    event.stopPropagation();
    const links = [.../** @type {NodeListOf<HTMLElement>} */ (this.pane.querySelectorAll("a.m:not(.ahead)"))];
    const active = document.activeElement;
    const here = active instanceof HTMLElement ? links.indexOf(active) : -1;
    const next = here < 0 ? this.#linkNow(links) : Math.min(links.length - 1, Math.max(0, here + step));
    links[next]?.focus({ preventScroll: true });
    if (links[next]) bringIntoView(this.pane, links[next]);
  }

  /** @param {HTMLElement[]} links */
  #linkNow(links) {
    const moment = this.state.lesson.steps[this.state.step]?.moment ?? 0;
    return Math.max(0, links.findIndex((link) => Number(link.dataset.m) >= moment));
  }

  /** @param {Element} element */
  #scroll(element) {
    bringIntoView(this.pane, element);
  }

  /** @param {boolean} keepsUp */
  #setKeepsUp(keepsUp) {
    this.#keepsUp = keepsUp;
    byId("to-now").hidden = keepsUp;
    if (keepsUp && this.#phrase) this.#scroll(this.#phrase);
  }

  #hide() {
    const { curtain, lesson } = this.state;
    const first = curtain === Infinity ? Infinity : lastAt(lesson.words.length, (index) => lesson.words[index], curtain) + 1;
    this.phrases.forEach((phrase, index) => phrase.classList.toggle("ahead", this.firsts[index] >= first));
    for (const paragraph of this.pane.querySelectorAll("p[data-w]")) {
      paragraph.classList.toggle("ahead", Number(paragraph.getAttribute("data-w")) >= first);
    }
    for (const heading of this.pane.querySelectorAll("h3")) {
      heading.classList.toggle("ahead", lesson.chapters[Number(heading.id.slice(1))].start >= curtain);
    }
  }
}

/** @param {Node} node */
function wordRanges(node) {
  const text = node.textContent ?? "";
  return [...text.matchAll(/\S+/g)].map((match) => {
    const range = document.createRange();
    range.setStart(node, match.index);
    range.setEnd(node, match.index + match[0].length);
    return range;
  });
}
