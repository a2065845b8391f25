/** Questions: the recording stops where the teacher asks, what follows is hidden, the viewer may try a move. */

import { START } from "./lesson.js";
import { changed, positionAt } from "./position.js";
import { clockText } from "./times.js";
import { byId, make } from "./view.js";

const LOOK = 1100; // milliseconds for which a move that is not the answer stays on the board

const PROMOTIONS = /** @type {Record<string, string>} */ ({ q: "Queen", r: "Rook", b: "Bishop", n: "Knight" });

/** @typedef {import("./board.js").LegalMove} LegalMove */

export class Questions {
  /** Questions that were answered or whose answer was shown. @type {Set<number>} */
  #settled = new Set();
  /** @type {number | undefined} */
  #timer;

  /**
   * @param {import("./state.js").State} state
   * @param {import("./board.js").Board} board
   * @param {import("./now.js").Now} now
   * @param {import("./media.js").Recording & EventTarget} recording
   */
  constructor(state, board, now, recording) {
    this.state = state;
    this.board = board;
    this.now = now;
    this.recording = recording;
    this.panel = byId("question");
    this.asking = /** @type {HTMLInputElement} */ (byId("ask"));
    const { quizzes } = state.lesson;
    if (!quizzes.length) return;
    byId("ask-label").hidden = !recording.playable;
    byId("ask-text").textContent = `Stop at the ${quizzes.length === 1 ? "question" : `${quizzes.length} questions`} and let me try`;
    this.#list();
    this.asking.addEventListener("change", () => this.#drawCurtain());
    recording.addEventListener("stop", (event) => {
      const { quiz } = /** @type {Event & { quiz: number }} */ (event);
      if (this.asking.checked && !this.#settled.has(quiz)) this.open(quiz);
    });
    state.addEventListener("time", () => this.#drawCurtain());
  }

  /** @param {number} index */
  open(index) {
    const quiz = this.#quiz(index);
    this.close();
    this.recording.pause();
    this.state.setFollowing(true);
    this.state.ask(index);
    this.recording.seek(quiz.stop);
    this.state.show({ game: quiz.game, ply: quiz.ply });
    this.#drawCurtain();
    this.#fillPanel(index);
    this.#startTrial(index);
    this.#showPanel(true);
    byId("question-title").focus({ preventScroll: true });
    this.panel.scrollIntoView({ block: "nearest" });
  }

  /** Leaves the open question, if there is one; the board goes back to the talk. */
  close() {
    if (this.state.question === null) return;
    clearTimeout(this.#timer);
    this.board.endTrial();
    this.#showPanel(false);
    this.state.ask(null);
    this.#drawCurtain();
    this.now.show();
  }

  /** The open question takes the place of what else stands under the board. @param {boolean} open */
  #showPanel(open) {
    this.panel.hidden = !open;
    for (const id of ["now", "steps"]) byId(id).hidden = open;
  }

  /** @param {number} index */
  #quiz(index) {
    return this.state.lesson.quizzes[index];
  }

  #list() {
    const questions = byId("questions");
    questions.hidden = false;
    const items = this.state.lesson.quizzes.map((quiz, index) => {
      const label = make("span", {}, clockText(quiz.start));
      const button = make("button", { type: "button" }, label, ` Question ${index + 1}: ${side(quiz)} to move`);
      button.addEventListener("click", () => this.open(index));
      return make("li", {}, button);
    });
    questions.querySelector("ol")?.append(...items);
  }

  #drawCurtain() {
    const { lesson, time, question } = this.state;
    const open = lesson.quizzes.filter((quiz, index) => !this.#settled.has(index) && quiz.stop > time - 0.01);
    const stops = this.asking.checked ? open.map((quiz) => quiz.stop) : [];
    if (question !== null && !this.#settled.has(question)) stops.push(this.#quiz(question).stop);
    this.state.setCurtain(Math.min(Infinity, ...stops));
  }

  /** @param {number} index */
  #fillPanel(index) {
    const quiz = this.#quiz(index);
    const title = make("h2", { id: "question-title", tabindex: "-1" }, `Question ${index + 1} of ${this.state.lesson.quizzes.length}`);
    const field = make("input", { type: "text", id: "try", autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
    const form = make("form", {}, make("label", {}, "Your move ", field), make("button", { type: "submit" }, "Try it"));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#tryWritten(index, /** @type {HTMLInputElement} */ (field).value);
    });
    const reveal = make("button", { type: "button", id: "reveal" }, "Show the answer");
    reveal.addEventListener("click", () => this.#reveal(index));
    const goOn = make("button", { type: "button", id: "go-on" }, this.recording.playable ? "Go on" : "Close the question");
    goOn.addEventListener("click", () => this.#goOn(index));
    this.panel.replaceChildren(
      title,
      ...(quiz.asked ? [make("blockquote", {}, quiz.asked)] : []),
      make("div", { class: "choices" }, form, reveal, goOn),
      make("p", { id: "feedback", role: "status", class: "feedback" }, `${side(quiz)} to move: move a piece on the board, or write the move.`),
    );
  }

  /** @param {number} index */
  #startTrial(index) {
    const { legal } = this.#quiz(index);
    this.board.startTrial(legal, (moves) => (moves.length === 1 ? this.#try(index, moves[0]) : this.#askPromotion(index, moves)));
  }

  /**
   * @param {number} index
   * @param {LegalMove[]} moves
   */
  #askPromotion(index, moves) {
    const buttons = moves.map((move) => {
      const button = make("button", { type: "button" }, PROMOTIONS[move[0][4]]);
      button.addEventListener("click", () => this.#try(index, move));
      return button;
    });
    byId("feedback").replaceChildren("Promote to ", ...buttons);
    buttons[0].focus();
  }

  /**
   * @param {number} index
   * @param {string} written SAN or UCI, capture and check signs as one likes
   */
  #tryWritten(index, written) {
    const found = writtenMoves(this.#quiz(index).legal, written);
    if (found.length === 1) this.#try(index, found[0]);
    else if (found.length > 1) this.#say(`That may be ${found.map(([, san]) => san).join(" or ")}: write it out.`);
    else this.#say(`“${written.trim()}” is no legal move here. Write it as Nf3 or g1f3.`);
  }

  /**
   * @param {number} index
   * @param {LegalMove} move
   */
  #try(index, [uci, san, changes]) {
    const quiz = this.#quiz(index);
    const place = quiz.answers.findIndex(([answer]) => answer === uci);
    const answer = place < 0 ? null : this.#answer(quiz, place);
    this.#put(quiz, changes, answer?.played ?? false);
    if (place === 0) {
      this.#settle(index);
      this.#say(`Yes, ${san}. ${answer?.played ? "That is what was played." : "That is the talk’s move."}`);
      return;
    }
    if (answer) this.#say(`${san} comes up in the talk as well, but it is not the answer. Try again, or go on.`);
    else if (quiz.answers.length) this.#say(`${san} is legal, but it is not the talk’s answer. Try again, or go on.`);
    else this.#say(`${san} is legal. The talk names no answer here.`);
    this.#timer = setTimeout(() => this.#put(quiz, "", true), LOOK);
  }

  /**
   * @param {number} index
   */
  #reveal(index) {
    const quiz = this.#quiz(index);
    this.#settle(index);
    if (!quiz.answers.length) {
      this.#say("The talk names no answer here.");
      return;
    }
    const { label, played, changes } = this.#answer(quiz, 0);
    this.#put(quiz, changes, played);
    this.#say(`${label.replace("...", "… ")}: ${played ? "this was played." : "this is the talk’s move."}`);
  }

  /** @param {number} index */
  #settle(index) {
    this.#settled.add(index);
    this.board.endTrial();
    byId("reveal").hidden = true;
    this.panel.querySelector("form")?.remove();
    this.#drawCurtain();
    byId("go-on").focus();
  }

  /** @param {number} index */
  #goOn(index) {
    this.#settled.add(index);
    this.close();
    this.state.setFollowing(true);
    if (this.recording.playable && !this.recording.playing) this.recording.toggle();
  }

  /**
   * @param {import("./lesson.js").Quiz} quiz
   * @param {number} place
   */
  #answer(quiz, place) {
    return this.state.lesson.games[quiz.game].plies[quiz.answers[place][1]];
  }

  /**
   * Puts the question's position on the board, with some changes.
   * @param {import("./lesson.js").Quiz} quiz
   * @param {string} changes
   * @param {boolean} played
   */
  #put(quiz, changes, played) {
    clearTimeout(this.#timer);
    const game = this.state.lesson.games[quiz.game];
    const before = quiz.ply === START ? null : game.plies[quiz.ply];
    const move = changes || before?.changes;
    const ends = move ? { from: move.slice(0, 2), to: move.slice(3, 5), played: changes ? played : (before?.played ?? true) } : null;
    this.board.show(changed(positionAt(game, quiz.ply), changes), ends, "Position of the question");
  }

  /** @param {string} text */
  #say(text) {
    byId("feedback").textContent = text;
  }
}

/**
 * The legal moves that a viewer may have meant.
 * @param {LegalMove[]} legal
 * @param {string} written
 * @returns {LegalMove[]}
 */
export function writtenMoves(legal, written) {
  const bare = (/** @type {string} */ text) => text.replace(/[\s+#x×=!?.:-]/g, "").replace(/^0+$/, (zeros) => "O".repeat(zeros.length));
  const small = (/** @type {string} */ text) => bare(text.toLowerCase());
  const wanted = bare(written);
  if (!wanted) return [];
  const exact = legal.filter(([uci, san]) => bare(san) === wanted || uci === wanted.toLowerCase());
  return exact.length ? exact : legal.filter(([, san]) => small(san) === small(written));
}

/** @param {import("./lesson.js").Quiz} quiz */
function side(quiz) {
  return quiz.white ? "White" : "Black";
}
