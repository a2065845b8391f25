/** The lists at the side: doubts, talk, moves, chapters and quizzes, the lesson's tags, the edits so far. */

import { ask } from "./dialog.js";
import { change, take } from "./edit.js";
import { choiceOfDoubt, choiceOfMoment, choiceOfWords, clock, desk, lineOf, moments, plyOf, tell } from "./state.js";
import { byId, make } from "./view.js";

const TABS = /** @type {Record<string, [string, () => Node[]]>} */ ({
  doubts: ["Doubts", doubtsList],
  talk: ["Talk", talkList],
  moves: ["Moves", movesList],
  parts: ["Chapters", partsList],
  lesson: ["Lesson", lessonList],
  edits: ["Edits", editsList],
});

let drawn = "";

export function setUpLists() {
  byId("tabs").append(
    ...Object.entries(TABS).map(([name, [label]], index) => {
      const tab = make("button", { type: "button", role: "tab", id: `tab-${name}`, "aria-controls": "pane" }, label, make("kbd", {}, `Alt ${index + 1}`));
      tab.addEventListener("click", () => openTab(name));
      return tab;
    }),
  );
  byId("pane").addEventListener("click", onClick);
  byId("pane").addEventListener("keydown", onKey);
  desk.listeners.push(drawTab);
}

/** @param {string} name */
export function openTab(name) {
  desk.tab = name;
  tell();
  byId("pane").focus({ preventScroll: true });
}

/** @param {number} number counted from 1 */
export function openTabNumber(number) {
  const name = Object.keys(TABS)[number - 1];
  if (name) openTab(name);
}

function drawTab() {
  if (!desk.shown) return;
  for (const name of Object.keys(TABS)) byId(`tab-${name}`).setAttribute("aria-selected", String(name === desk.tab));
  byId("pane").setAttribute("aria-labelledby", `tab-${desk.tab}`);
  const key = `${desk.tab} ${desk.shown.stamp}`;
  if (key !== drawn) {
    drawn = key;
    byId("pane").replaceChildren(...TABS[desk.tab][1]());
  }
  mark();
}

/** Shows in the list what is looked at. */
function mark() {
  const pane = byId("pane");
  for (const element of pane.querySelectorAll(".here")) element.classList.remove("here");
  const choice = desk.choice;
  if (!choice) return;
  let found = null;
  if (desk.tab === "doubts" && choice.doubt) found = pane.querySelector(`[data-doubt="${desk.shown.doubts.findIndex((/** @type {any} */ each) => each.at === choice.at && each.uci === choice.doubt?.uci)}"]`);
  if (desk.tab === "talk") {
    for (let word = choice.first; word < choice.last; word++) pane.querySelector(`[data-word="${word}"]`)?.classList.add("here");
    found = pane.querySelector(`[data-word="${choice.first}"]`);
  }
  if (desk.tab === "moves" && choice.ply) found = pane.querySelector(`[data-game="${choice.game}"][data-ply="${choice.ply.id}"]`);
  found?.classList.add("here");
  found?.scrollIntoView({ block: "nearest" });
}

/** @param {any} choice */
export function choose(choice) {
  desk.choice = choice;
  desk.trial = null;
  tell();
}

/** @param {MouseEvent} event */
function onClick(event) {
  const target = /** @type {Element} */ (event.target).closest("[data-doubt], [data-word], [data-ply], [data-do]");
  if (!(target instanceof HTMLElement)) return;
  const { doubt, word, ply, game } = target.dataset;
  if (doubt !== undefined) choose(choiceOfDoubt(desk.shown.doubts[Number(doubt)]));
  else if (word !== undefined) chooseWord(Number(word), event.shiftKey);
  else if (ply !== undefined) choosePly(Number(game), Number(ply));
  else void does[target.dataset.do ?? ""]?.(Number(target.dataset.number));
}

/** @param {number} word @param {boolean} extend */
function chooseWord(word, extend) {
  const choice = desk.choice;
  if (extend && choice) {
    choose(choiceOfWords(Math.min(choice.first, word), Math.max(choice.last, word + 1)));
    return;
  }
  const moment = moments().find((each) => each.first <= word && word < each.namedEnd);
  choose(moment ? choiceOfMoment(moment) : choiceOfWords(word, word + 1));
}

/** @param {number} game @param {number} id */
function choosePly(game, id) {
  const ply = plyOf(game, id);
  if (!ply) return;
  const moment = moments().find((each) => each.ply === ply);
  if (moment) {
    choose(choiceOfMoment(moment));
    return;
  }
  const doubt = desk.shown.doubts.find((/** @type {any} */ each) => each.game === game && each.uci === ply.uci && each.line.join() === lineOf(game, ply).slice(0, -1).join());
  const next = moments().find((each) => lineOf(each.game, each.ply).join().startsWith(lineOf(game, ply).join()));
  if (doubt) choose(choiceOfDoubt(doubt));
  else if (next) choose({ ...choiceOfMoment(next), line: lineOf(game, ply).slice(0, -1), ply, doubt: null });
}

/** Arrow keys in the lists. @param {KeyboardEvent} event */
function onKey(event) {
  const back = event.key === "ArrowLeft" || event.key === "ArrowUp";
  if (!back && event.key !== "ArrowRight" && event.key !== "ArrowDown") return;
  if (/** @type {HTMLElement} */ (event.target).matches("input, textarea")) return;
  event.preventDefault();
  const step = back ? -1 : 1;
  const choice = desk.choice;
  if (desk.tab === "talk") {
    const last = desk.shown.words.length;
    if (event.shiftKey && choice) choose(choiceOfWords(choice.first, Math.max(choice.first + 1, Math.min(last, choice.last + step))));
    else if (choice) chooseWord(Math.max(0, Math.min(last - 1, back ? choice.first - 1 : choice.last)), false);
    else chooseWord(0, false);
  } else if (desk.tab === "moves") {
    const all = [...byId("pane").querySelectorAll("[data-ply]")];
    const here = all.findIndex((element) => element.classList.contains("here"));
    const next = /** @type {HTMLElement | undefined} */ (all[Math.max(0, Math.min(all.length - 1, here + step))]);
    if (next) choosePly(Number(next.dataset.game), Number(next.dataset.ply));
  } else if (desk.tab === "doubts") {
    nextDoubt(step);
  }
}

/** @param {number} step */
export function nextDoubt(step) {
  const { doubts } = desk.shown;
  if (!doubts.length) {
    choose(null);
    return;
  }
  const here = doubts.findIndex((/** @type {any} */ each) => each.at === desk.choice?.at && each.uci === desk.choice?.doubt?.uci);
  const next = here < 0 ? 0 : (here + step + doubts.length) % doubts.length;
  choose(choiceOfDoubt(doubts[next]));
}

function doubtsList() {
  const { doubts } = desk.shown;
  if (!doubts.length) return [make("p", { class: "quiet" }, "No doubts are left. Publish writes the lesson's files anew.")];
  return [
    make(
      "ol",
      { class: "rows" },
      ...doubts.map((/** @type {any} */ each, /** @type {number} */ index) =>
        make(
          "li",
          {},
          make(
            "button",
            { type: "button", class: "line", "data-doubt": String(index) },
            make("span", { class: "sure" }, `${Math.round(each.confidence * 100)}%`),
            make("span", { class: "what" }, make("q", {}, each.heard), make("span", { class: "time" }, ` ${clock(each.at)}`)),
            make("strong", {}, each.label),
          ),
        ),
      ),
    ),
  ];
}

function talkList() {
  const named = new Map();
  for (const moment of moments()) for (let word = moment.first; word < moment.namedEnd; word++) named.set(word, moment);
  const doubtful = new Set(desk.shown.doubts.flatMap((/** @type {any} */ each) => range(each.first, each.last)));
  const parts = [];
  for (const [index, [text, start]] of desk.shown.words.entries()) {
    if (index === 0 || start - desk.shown.words[index - 1][2] > 1) parts.push(make("span", { class: "time" }, `${clock(start)} `));
    const moment = named.get(index);
    const kind = moment ? (moment.ply.played ? "named played" : "named considered") : "";
    parts.push(make("span", { "data-word": String(index), class: doubtful.has(index) ? `${kind} doubtful` : kind, ...(moment ? { title: moment.ply.label } : {}) }, text), " ");
  }
  return [make("p", { class: "quiet" }, "Arrow keys go from word to word, with Shift they take more words."), make("p", { class: "talk" }, ...parts)];
}

/** @param {number} from @param {number} to */
function range(from, to) {
  return Array.from({ length: to - from }, (_, index) => from + index);
}

function movesList() {
  return [
    make("p", { class: "quiet" }, "Promote ", make("kbd", {}, "+"), ", demote ", make("kbd", {}, "-"), ", side line up ", make("kbd", {}, "Shift K"), ", down ", make("kbd", {}, "Shift J")),
    ...desk.shown.games.map((/** @type {any} */ game, /** @type {number} */ number) => make("div", { class: "tree" }, ...branch(game, number, null))),
  ];
}

/**
 * The moves that go on from a ply; side lines before the line goes on.
 * @param {any} game
 * @param {number} number
 * @param {number | null} parent
 * @returns {Node[]}
 */
function branch(game, number, parent) {
  const nodes = [];
  let from = parent;
  for (;;) {
    const below = game.plies.filter((/** @type {any} */ ply) => ply.parent === from);
    if (!below.length) return nodes;
    const [main, ...others] = below;
    nodes.push(move(main, number));
    for (const other of others) nodes.push(make("div", { class: "side" }, move(other, number), ...branch(game, number, other.id)));
    from = main.id;
  }
}

/** @param {any} ply @param {number} game */
function move(ply, game) {
  const kind = `ply ${ply.played ? "played" : "considered"}${ply.inferred ? " unnamed" : ""}`;
  const text = `${ply.label}${ply.nags.map((/** @type {number} */ nag) => ` $${nag}`).join("")}${ply.comment === null ? "" : " ✎"}`;
  return make("button", { type: "button", class: kind, "data-game": String(game), "data-ply": String(ply.id) }, text);
}

/** @param {boolean} played */
export async function promote(played) {
  const choice = desk.choice;
  if (!choice?.ply) return;
  await take([{ kind: "played", at: choice.at, game: choice.game, line: lineOf(choice.game, choice.ply), played }], played ? "The line is the game now." : "The line is only considered now.");
}

/** @param {number} step */
export async function reorder(step) {
  const choice = desk.choice;
  if (!choice?.ply) return;
  const { game, ply } = choice;
  const order = desk.shown.games[game].plies.filter((/** @type {any} */ each) => each.parent === ply.parent).map((/** @type {any} */ each) => each.uci);
  const from = order.indexOf(ply.uci);
  const to = from + step;
  if (to < 0 || to >= order.length) return;
  [order[from], order[to]] = [order[to], order[from]];
  await take([{ kind: "order", at: choice.at, game, line: lineOf(game, ply).slice(0, -1), order }], "Order changed.");
}

/** @param {string} name @param {number} number @param {string} text */
function action(name, number, text) {
  return make("button", { type: "button", "data-do": name, "data-number": String(number) }, text);
}

function partsList() {
  const { chapters, quizzes } = desk.shown;
  return [
    make("h3", {}, "Chapters"),
    make("ul", { class: "rows" }, ...chapters.map((/** @type {any} */ [start, , title], /** @type {number} */ index) => make("li", {}, make("span", { class: "time" }, clock(start)), make("span", { class: "what" }, title), action("chapter", index, "Change"), ...(index ? [action("chapterAway", index, "Remove")] : [])))),
    action("chapterNew", 0, "Add a chapter"),
    make("h3", {}, "Quizzes"),
    make("ul", { class: "rows" }, ...quizzes.map((/** @type {any} */ [start, stop, game, ply], /** @type {number} */ index) => make("li", {}, make("span", { class: "time" }, clock(start)), make("span", { class: "what" }, `stops at ${stop.toFixed(1)} s, ${ply === null ? "start position" : `after ${plyOf(game, ply)?.label ?? "?"}`}`), action("quiz", index, "Change"), action("quizAway", index, "Remove")))),
    action("quizNew", 0, "Add a quiz at the chosen words"),
  ];
}

function lessonList() {
  const { title, games, speaker, forms } = desk.shown;
  return [
    make("ul", { class: "rows" }, make("li", {}, make("span", { class: "what" }, make("strong", {}, title || "No title")), action("title", 0, "Change the title"))),
    ...games.flatMap((/** @type {any} */ game, /** @type {number} */ index) => [
      make("h3", {}, games.length > 1 ? `Tag pairs of game ${index + 1}` : "Tag pairs"),
      make("ul", { class: "rows" }, ...Object.entries(game.tags).map(([name, value]) => make("li", {}, make("span", { class: "what" }, `${name}: ${value}`)))),
      action("tag", index, "Set a tag pair"),
    ]),
    make("h3", {}, "Speaker"),
    make("p", { class: "quiet" }, speaker ? `What ${speaker}'s words turn out to mean is kept for the next lesson:` : "With a name, what misheard words turn out to mean is kept for the speaker's next lesson."),
    make("ul", { class: "rows" }, ...forms.map((/** @type {string[]} */ [heard, means]) => make("li", {}, make("span", { class: "what" }, make("q", {}, heard), ` means ${means}`)))),
    action("speaker", 0, speaker ? "Another speaker" : "Name the speaker"),
  ];
}

function editsList() {
  const { edits, unfit, undone } = desk.shown;
  const text = (/** @type {any} */ edit) => `${edit.kind} at ${clock(edit.at)}${edit.uci ? ` ${edit.uci}` : ""}${edit.text ? `: ${edit.text}` : ""}`;
  return [
    ...(unfit.length ? [make("h3", {}, "These do not fit any more"), make("ul", { class: "rows unfit" }, ...unfit.map((/** @type {any} */ each) => make("li", {}, make("span", { class: "what" }, `${text(each.edit)}: ${each.why}`))))] : []),
    make("h3", {}, `${edits.length} edits${undone ? `, ${undone} undone` : ""}`),
    make("ol", { class: "rows" }, ...edits.toReversed().map((/** @type {any} */ edit) => make("li", {}, make("span", { class: "what" }, text(edit))))),
  ];
}

/** What the buttons in the lists do. @type {Record<string, (number: number) => Promise<unknown>>} */
const does = {
  async chapter(number) {
    const [start, , title] = desk.shown.chapters[number];
    const answer = await ask("Chapter", [{ name: "title", label: "Title", value: title }, { name: "start", label: "Begins at (seconds)", value: String(start), type: "number" }]);
    if (answer) await take([{ kind: "chapter", at: start, start: Number(answer.start), title: answer.title.trim() }], "Chapter changed.");
  },
  async chapterAway(number) {
    await take([{ kind: "chapter-removed", at: desk.shown.chapters[number][0] }], "Chapter removed.");
  },
  async chapterNew() {
    const answer = await ask("A new chapter", [{ name: "title", label: "Title" }, { name: "start", label: "Begins at (seconds)", value: String(desk.choice?.at ?? 0), type: "number" }]);
    if (answer) await take([{ kind: "chapter-added", at: Number(answer.start), title: answer.title.trim() }], "Chapter added.");
  },
  async quiz(number) {
    const [start, stop] = desk.shown.quizzes[number];
    const answer = await ask("Quiz", [{ name: "start", label: "The question begins at (seconds)", value: String(start), type: "number" }, { name: "stop", label: "The viewer is stopped at (seconds)", value: String(stop), type: "number" }]);
    if (answer) await take([{ kind: "quiz", at: start, start: Number(answer.start), stop: Number(answer.stop) }], "Quiz changed.");
  },
  async quizAway(number) {
    await take([{ kind: "quiz-removed", at: desk.shown.quizzes[number][0] }], "Quiz removed.");
  },
  async quizNew() {
    const choice = desk.choice;
    if (choice) await take([{ kind: "quiz-added", at: choice.at, stop: choice.end, game: choice.game, line: choice.line }], "Quiz added.");
  },
  async title() {
    const answer = await ask("Title of the lesson", [{ name: "text", label: "Title", value: desk.shown.title }]);
    if (answer) await take([{ kind: "title", at: 0, text: answer.text.trim() }], "Title changed.");
  },
  async tag(number) {
    const answer = await ask("Tag pair", [{ name: "name", label: "Name", options: ["White", "Black", "Event", "Site", "Date", "Round", "Result", "Annotator"] }, { name: "value", label: "Value (empty: take it away)" }]);
    if (answer?.name.trim()) await take([{ kind: "tags", at: 0, game: number, tags: { [answer.name.trim()]: answer.value.trim() || null } }], "Tag pairs changed.");
  },
  async speaker() {
    const answer = await ask("Speaker", [{ name: "name", label: "Name (empty: keep nothing)", value: desk.shown.speaker }]);
    if (answer) await change("speaker", { name: answer.name.trim() }, "Speaker named.");
  },
};
