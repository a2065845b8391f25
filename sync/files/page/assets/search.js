/** Search in the talk. */

import { bringIntoView, byId } from "./view.js";

const SHORTEST = 2;
const ALL = "found";
const HERE = "found-here";

export class Search {
  /** @type {Range[]} */
  #matches = [];
  #here = -1;

  /** @param {(phrase: Element) => void} go takes the recording to a phrase */
  constructor(go) {
    this.field = /** @type {HTMLInputElement} */ (byId("search"));
    this.pane = byId("words");
    this.field.addEventListener("input", () => this.#search());
    this.field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") this.#step(event.shiftKey ? -1 : 1);
      if (event.key === "Escape") this.#clear();
    });
    byId("found-back").addEventListener("click", () => this.#step(-1));
    byId("found-next").addEventListener("click", () => this.#step(1));
    byId("found-go").addEventListener("click", () => {
      const phrase = this.#matches[this.#here]?.startContainer.parentElement?.closest("span[data-w]");
      if (phrase) go(phrase);
    });
  }

  #clear() {
    this.field.value = "";
    this.#search();
  }

  #search() {
    const wanted = this.field.value.trim().replace(/\s+/g, " ").toLowerCase();
    const paragraphs = [...this.pane.querySelectorAll("p[data-w]:not(.ahead)")];
    this.#matches = wanted.length < SHORTEST ? [] : paragraphs.flatMap((paragraph) => matchesIn(paragraph, wanted));
    this.#here = -1;
    for (const id of ["found-back", "found-next", "found-go"]) byId(id).hidden = this.#matches.length === 0;
    this.#paint(ALL, this.#matches);
    if (this.#matches.length) this.#step(1);
    else {
      this.#paint(HERE, []);
      byId("found").textContent = wanted.length < SHORTEST ? "" : "not found";
    }
  }

  /** @param {number} step */
  #step(step) {
    const count = this.#matches.length;
    if (!count) return;
    this.#here = (this.#here + step + count) % count;
    const match = this.#matches[this.#here];
    this.#paint(HERE, [match]);
    byId("found").textContent = `${this.#here + 1} of ${count}`;
    const element = match.startContainer.parentElement;
    if (element) bringIntoView(this.pane, element);
  }

  /**
   * @param {string} name
   * @param {Range[]} ranges
   */
  #paint(name, ranges) {
    if (CSS.highlights) CSS.highlights.set(name, new Highlight(...ranges));
  }
}

/**
 * @param {Element} paragraph
 * @param {string} wanted lower case
 * @returns {Range[]}
 */
function matchesIn(paragraph, wanted) {
  const nodes = textNodes(paragraph);
  const text = nodes.map((node) => node.data).join("").toLowerCase();
  const ranges = [];
  for (let at = text.indexOf(wanted); at >= 0; at = text.indexOf(wanted, at + wanted.length)) {
    const range = document.createRange();
    const [first, from] = place(nodes, at);
    const [last, before] = place(nodes, at + wanted.length - 1);
    range.setStart(first, from);
    range.setEnd(last, before + 1);
    ranges.push(range);
  }
  return ranges;
}

/** @param {Element} paragraph */
function textNodes(paragraph) {
  const walker = document.createTreeWalker(paragraph, NodeFilter.SHOW_TEXT);
  /** @type {Text[]} */
  const nodes = [];
  while (walker.nextNode()) {
    const node = /** @type {Text} */ (walker.currentNode);
    if (!node.parentElement?.closest(".at")) nodes.push(node);
  }
  return nodes;
}

/**
 * The node and offset of a character of the joined text.
 * @param {Text[]} nodes
 * @param {number} at
 * @returns {[Text, number]}
 */
function place(nodes, at) {
  let index = 0;
  for (; at >= nodes[index].length; index++) at -= nodes[index].length;
  return [nodes[index], at];
}
