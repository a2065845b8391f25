/** What stands under the board: which move this is, whether it was played, when the talk is about it. */

import { START } from "./lesson.js";
import { positionAt, positionWords, whiteToMove } from "./position.js";
import { clockText, timeWords } from "./times.js";
import { byId, make } from "./view.js";

const UNSURE_BELOW = 80; // percent

export class Now {
  /**
   * @param {import("./state.js").State} state
   * @param {import("./board.js").Board} board
   * @param {import("./moves.js").Moves} moves
   * @param {(moment: number) => void} jump takes the recording to a moment
   */
  constructor(state, board, moves, jump) {
    this.state = state;
    this.board = board;
    this.moves = moves;
    byId("move-times").addEventListener("click", (event) => {
      const link = event.target instanceof Element ? event.target.closest("a") : null;
      if (!link) return;
      if (!link.target) event.preventDefault();
      jump(Number(link.dataset.m));
    });
    state.addEventListener("shown", () => this.show());
    state.addEventListener("spoken", () => this.#markTime());
    state.addEventListener("following", () => this.#sign());
    this.show();
  }

  show() {
    const { game, ply, shown } = this.state;
    if (!game) return;
    const position = positionAt(game, shown.ply);
    const move = ply && { from: ply.changes.slice(0, 2), to: ply.changes.slice(3, 5), played: ply.played };
    const name = ply ? ply.label.replace("...", "… ").replace(/\.(?=\S)/, ". ") : "Start position";
    this.board.show(position, move, `Position after ${name}. ${positionWords(position)}`);
    byId("move-name").textContent = name;
    this.#sign();
    this.#times();
    this.#doubt();
    this.#announce();
  }

  #sign() {
    const { ply, following } = this.state;
    const sign = byId("sign");
    sign.className = !ply ? "opening" : ply.played ? "played" : "considered";
    sign.textContent = !ply ? "Before the first move" : ply.played ? "Played in the game" : "Only considered";
    byId("follow").hidden = following || this.state.question !== null;
  }

  #times() {
    const { ply, lesson } = this.state;
    const links = (ply?.moments ?? []).map((index, count) => {
      const { start, end } = lesson.moments[index];
      const address = lesson.link?.replaceAll("{seconds}", String(Math.floor(start)));
      /** @type {Record<string, string>} */
      const out = address ? { target: "_blank", rel: "noopener noreferrer" } : {};
      const label = `${count ? "Named again" : "Named"} at ${timeWords(start)}, for ${timeWords(Math.max(1, end - start))}`;
      const attributes = { href: address ?? `#t=${start}`, "data-m": String(index), "aria-label": `${clockText(start)}: ${label}` };
      return make("a", { ...attributes, ...out }, clockText(start));
    });
    const [first, ...again] = links;
    const list = byId("move-times");
    if (!first) list.replaceChildren(ply ? "Not named in the talk" : whiteMoves(this.state));
    else list.replaceChildren("Talked about at ", first, ...again.flatMap((link) => [" and ", link]));
    this.#markTime();
  }

  #markTime() {
    const moment = this.state.lesson.steps[this.state.step]?.moment;
    for (const link of byId("move-times").querySelectorAll("a")) {
      if (Number(link.dataset.m) === moment) link.setAttribute("aria-current", "time");
      else link.removeAttribute("aria-current");
    }
  }

  #doubt() {
    const { ply } = this.state;
    const parts = [];
    if (ply?.inferred) parts.push("Never named: it follows from the moves after it.");
    if (ply && ply.confidence < UNSURE_BELOW) parts.push(`${ply.confidence}% sure.`);
    if (ply?.reason) parts.push(sentence(ply.reason));
    const others = ply?.runnersUp.map(([san, percent]) => `${san} (${percent}%)`) ?? [];
    if (others.length) parts.push(`The words may also mean ${others.join(" or ")}.`);
    byId("move-doubt").textContent = parts.join(" ");
  }

  /** While the talk leads, the voice of a screen reader would only speak over it. */
  #announce() {
    if (this.state.following && this.state.shown.ply !== START) return;
    const link = this.moves.link(this.state.shown);
    byId("status").textContent = link?.getAttribute("aria-label")?.replace(/^[^:]*: /, "") ?? "Start position";
  }
}

/** @param {string} text */
function sentence(text) {
  const capital = text[0].toUpperCase() + text.slice(1);
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
}

/** @param {import("./state.js").State} state */
function whiteMoves(state) {
  return `${whiteToMove(state.game, state.shown.ply) ? "White" : "Black"} is to move`;
}
