/** The board: shows a position, and takes a viewer's try at a move. */

import { isWhite, pieceName, squareIndex, squareName } from "./position.js";
import { draw, make, still } from "./view.js";

const SLIDE = { duration: 140, easing: "ease-out" };
const MOST_SLIDES = 4; // a castling moves two pieces; more changes than that are a jump, not a move
const BRACKETS = "M6 26v-20h20M74 6h20v20M94 74v20h-20M26 94h-20v-20";
const DASHES = "M6 6h88v88h-88z";

/** @typedef {[uci: string, san: string, changes: string]} LegalMove */

export class Board {
  /** @type {HTMLElement[]} */
  #squares = [];
  #position = "-".repeat(64);
  #flipped = false;
  /** @type {{ legal: LegalMove[], tell: (moves: LegalMove[]) => void } | null} */
  #trial = null;
  /** @type {number | null} */
  #chosen = null;
  #cursor = 0;

  /** @param {HTMLElement} element */
  constructor(element) {
    this.element = element;
    this.ranks = make("div", { class: "ranks", "aria-hidden": "true" });
    this.files = make("div", { class: "files", "aria-hidden": "true" });
    this.grid = make("div", { class: "squares", role: "img" });
    this.marks = draw("svg", { class: "marks", viewBox: "0 0 800 800", "aria-hidden": "true" });
    for (let rank = 7; rank >= 0; rank--) this.grid.append(this.#row(rank));
    this.grid.append(this.marks);
    element.append(this.ranks, this.grid, this.files);
    this.#arrange();
    this.#listen();
  }

  /** @param {boolean} flipped black's side nearer */
  flip(flipped) {
    this.#flipped = flipped;
    this.#arrange();
  }

  /**
   * @param {string} position
   * @param {{ from: string, to: string, played: boolean } | null} move the one that led to it
   * @param {string} words the position for screen readers
   */
  show(position, move, words) {
    const before = this.#position;
    this.#position = position;
    const slides = still() ? [] : this.#slides(before, position);
    for (let index = 0; index < 64; index++) if (before[index] !== position[index]) this.#fill(index);
    for (const [from, to] of slides) this.#slide(from, to);
    this.element.classList.toggle("considered", move !== null && !move.played);
    this.#markMove(move);
    if (this.#trial) return;
    this.grid.setAttribute("aria-label", words);
  }

  /**
   * Lets the viewer move; tell gets the legal moves between the two squares chosen (several for a promotion).
   * @param {LegalMove[]} legal
   * @param {(moves: LegalMove[]) => void} tell
   */
  startTrial(legal, tell) {
    this.#trial = { legal, tell };
    this.element.classList.add("trial");
    this.element.removeAttribute("tabindex");
    this.grid.setAttribute("role", "grid");
    this.grid.setAttribute("aria-label", "Board: choose a piece, then its square");
    for (const row of this.grid.querySelectorAll(".row")) row.setAttribute("role", "row");
    this.#squares.forEach((square, index) => {
      square.setAttribute("role", "gridcell");
      this.#nameSquare(index);
    });
    this.#moveCursor(this.#flipped ? 60 : 4, false);
  }

  endTrial() {
    this.#trial = null;
    this.#choose(null);
    this.element.classList.remove("trial");
    this.element.tabIndex = 0;
    this.grid.setAttribute("role", "img");
    for (const row of this.grid.querySelectorAll(".row")) row.removeAttribute("role");
    for (const square of this.#squares) {
      for (const name of ["role", "tabindex", "aria-label", "aria-selected"]) square.removeAttribute(name);
    }
  }

  /** @param {number} rank */
  #row(rank) {
    const row = make("div", { class: "row" });
    for (let file = 0; file < 8; file++) {
      const index = rank * 8 + file;
      const square = make("div", { class: `square ${(rank + file) % 2 ? "light" : "dark"}` });
      this.#squares[index] = square;
      row.append(square);
    }
    return row;
  }

  /** @param {number} index */
  #column(index) {
    return this.#flipped ? 7 - (index % 8) : index % 8;
  }

  /** @param {number} index */
  #line(index) {
    return this.#flipped ? index >> 3 : 7 - (index >> 3);
  }

  #arrange() {
    this.#squares.forEach((square, index) => {
      square.style.gridArea = `${this.#line(index) + 1} / ${this.#column(index) + 1}`;
    });
    const [ranks, files] = this.#flipped ? ["12345678", "hgfedcba"] : ["87654321", "abcdefgh"];
    this.ranks.replaceChildren(...[...ranks].map((rank) => make("span", {}, rank)));
    this.files.replaceChildren(...[...files].map((file) => make("span", {}, file)));
    this.#markMove(this.move ?? null);
  }

  /** @param {number} index */
  #fill(index) {
    const piece = this.#position[index];
    this.#squares[index].replaceChildren(...(piece === "-" ? [] : [drawPiece(piece)]));
    if (this.#trial) this.#nameSquare(index);
  }

  /**
   * Pairs of squares between which a piece moved.
   * @param {string} before
   * @param {string} after
   * @returns {[number, number][]}
   */
  #slides(before, after) {
    /** @type {number[]} */
    const left = [];
    /** @type {number[]} */
    const reached = [];
    for (let index = 0; index < 64; index++) {
      if (before[index] === after[index]) continue;
      if (before[index] !== "-") left.push(index);
      if (after[index] !== "-") reached.push(index);
    }
    if (left.length > MOST_SLIDES || reached.length > MOST_SLIDES) return [];
    return reached.flatMap((to) => {
      const from = left.find((index) => before[index] === after[to]);
      return from === undefined ? [] : [/** @type {[number, number]} */ ([from, to])];
    });
  }

  /**
   * @param {number} from
   * @param {number} to
   */
  #slide(from, to) {
    const across = (this.#column(from) - this.#column(to)) * 100;
    const down = (this.#line(from) - this.#line(to)) * 100;
    const piece = this.#squares[to].firstElementChild;
    piece?.animate([{ transform: `translate(${across}%, ${down}%)` }, { transform: "none" }], SLIDE);
  }

  /** @param {{ from: string, to: string, played: boolean } | null} move */
  #markMove(move) {
    this.move = move;
    const squares = move ? [move.from, move.to].map(squareIndex) : [];
    this.marks.replaceChildren(
      ...squares.map((index) =>
        draw("path", {
          d: move?.played ? BRACKETS : DASHES,
          transform: `translate(${this.#column(index) * 100} ${this.#line(index) * 100})`,
        }),
      ),
    );
  }

  #listen() {
    this.grid.addEventListener("pointerdown", (event) => this.#press(event));
    this.grid.addEventListener("keydown", (event) => this.#key(event));
  }

  /** @param {PointerEvent} event */
  #press(event) {
    const index = this.#at(event);
    if (!this.#trial || index === null || event.button !== 0) return;
    event.preventDefault();
    this.#moveCursor(index, true);
    this.#take(index);
    if (this.#chosen !== null) this.#drag(event, index);
  }

  /**
   * The chosen piece goes along with the pointer until it is let go.
   * @param {PointerEvent} start
   * @param {number} from
   */
  #drag(start, from) {
    const piece = /** @type {SVGElement | null} */ (this.#squares[from].firstElementChild);
    const follow = (/** @type {PointerEvent} */ event) => {
      if (!piece) return;
      piece.style.transform = `translate(${event.clientX - start.clientX}px, ${event.clientY - start.clientY}px)`;
      piece.style.zIndex = "2";
    };
    const drop = (/** @type {PointerEvent} */ event) => {
      this.grid.removeEventListener("pointermove", follow);
      this.grid.removeEventListener("pointerup", drop);
      this.grid.removeEventListener("pointercancel", drop);
      if (piece) piece.style.transform = piece.style.zIndex = "";
      const to = event.type === "pointerup" ? this.#at(event) : null;
      if (to !== null && to !== from && this.#between(from, to).length) this.#play(from, to);
    };
    this.grid.setPointerCapture(start.pointerId);
    this.grid.addEventListener("pointermove", follow);
    this.grid.addEventListener("pointerup", drop);
    this.grid.addEventListener("pointercancel", drop);
  }

  /** The square under the pointer. @param {PointerEvent} event */
  #at(event) {
    const box = this.grid.getBoundingClientRect();
    const column = Math.floor(((event.clientX - box.left) / box.width) * 8);
    const line = Math.floor(((event.clientY - box.top) / box.height) * 8);
    if (column < 0 || column > 7 || line < 0 || line > 7) return null;
    return this.#flipped ? line * 8 + 7 - column : (7 - line) * 8 + column;
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (!this.#trial) return;
    const toward = this.#flipped ? -1 : 1;
    const steps = /** @type {Record<string, [number, number]>} */ ({
      ArrowLeft: [-toward, 0],
      ArrowRight: [toward, 0],
      ArrowUp: [0, toward],
      ArrowDown: [0, -toward],
    });
    if (event.key in steps) {
      const [file, rank] = [(this.#cursor % 8) + steps[event.key][0], (this.#cursor >> 3) + steps[event.key][1]];
      if (file >= 0 && file < 8 && rank >= 0 && rank < 8) this.#moveCursor(rank * 8 + file, true);
    } else if (event.key === "Enter" || event.key === " ") {
      this.#take(this.#cursor);
    } else if (event.key === "Escape") {
      this.#choose(null);
    } else {
      return;
    }
    event.preventDefault();
    event.stopPropagation();
  }

  /** Chooses the piece on a square, or moves the chosen one there. @param {number} index */
  #take(index) {
    if (this.#chosen !== null && this.#between(this.#chosen, index).length) this.#play(this.#chosen, index);
    else this.#choose(this.#from(index).length ? index : null);
  }

  /**
   * @param {number} index
   * @param {boolean} focus
   */
  #moveCursor(index, focus) {
    this.#squares[this.#cursor].tabIndex = -1;
    this.#cursor = index;
    this.#squares[index].tabIndex = 0;
    if (focus) this.#squares[index].focus({ preventScroll: true });
  }

  /** @param {number | null} index */
  #choose(index) {
    this.#chosen = index;
    this.#squares.forEach((square, each) => {
      square.classList.toggle("chosen", each === index);
      square.classList.toggle("target", index !== null && this.#between(index, each).length > 0);
      if (this.#trial) square.setAttribute("aria-selected", String(each === index));
    });
  }

  /**
   * @param {number} from
   * @param {number} to
   */
  #play(from, to) {
    const moves = this.#between(from, to);
    this.#choose(null);
    this.#trial?.tell(moves);
  }

  /** @param {number} from */
  #from(from) {
    return this.#trial?.legal.filter(([uci]) => uci.startsWith(squareName(from))) ?? [];
  }

  /**
   * @param {number} from
   * @param {number} to
   */
  #between(from, to) {
    return this.#from(from).filter(([uci]) => uci.slice(2, 4) === squareName(to));
  }

  /** @param {number} index */
  #nameSquare(index) {
    const piece = this.#position[index];
    const label = piece === "-" ? squareName(index) : `${squareName(index)}, ${pieceName(piece)}`;
    this.#squares[index].setAttribute("aria-label", label);
  }
}

/** @param {string} piece FEN letter */
function drawPiece(piece) {
  const use = draw("use", { href: `#piece-${piece.toLowerCase()}` });
  return draw("svg", { class: `piece ${isWhite(piece) ? "white" : "black"}`, "aria-hidden": "true" }, use);
}
