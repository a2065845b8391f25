/** The card: the words that are looked at, what they are read as, and what else they may be. */

import { ask } from "./dialog.js";
import { consider, leave, report, say, take } from "./edit.js";
import { Board } from "./board.js";
import { get } from "./server.js";
import { hear } from "./sound.js";
import { clock, desk, lineOf, moments, plyAt } from "./state.js";
import { positionWords } from "./position.js";
import { byId, make } from "./view.js";

const AROUND = 16;
const STEP = 0.05;
const SETTLES = 900;

/** @type {Board} */
let board;
/** The position that the words are said in. @type {any} */
let position = null;
let asked = "";
/** Which position is on the board: it is not set up again while somebody moves on it. */
let standing = "";

export function setUpDetail() {
  board = new Board(byId("board"));
  byId("typed").addEventListener("submit", (event) => {
    event.preventDefault();
    typedMove();
  });
  byId("san").addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    byId("san").blur();
  });
  desk.listeners.push(draw);
}

/** @param {string} kind @param {string} key @param {string} text @param {() => void} does */
function button(kind, key, text, does) {
  const element = make("button", { type: "button", class: kind }, `${text} `, make("kbd", {}, key));
  element.addEventListener("click", does);
  return element;
}

function draw() {
  const choice = desk.choice;
  byId("card").classList.toggle("empty", !choice);
  for (const id of ["typed", "roles", "extras"]) byId(id).hidden = !choice;
  if (!choice) {
    byId("reason").textContent = "";
    byId("words").replaceChildren();
    byId("options").replaceChildren();
    byId("trial").hidden = true;
    byId("reading").textContent = desk.shown?.doubts.length ? "" : "No doubts are left.";
    return;
  }
  drawWords(choice);
  const { ply, doubt } = choice;
  byId("reason").textContent = doubt ? `${sure(doubt.confidence)}${doubt.reason ? `: ${doubt.reason}` : ""}` : "";
  byId("reading").replaceChildren(
    ...(ply
      ? ["Read as ", make("strong", {}, ply.label), make("span", { class: "role" }, ply.played ? "played" : "only considered")]
      : ["Read as no move"]),
  );
  drawOptions(choice);
  drawRoles(choice);
  drawExtras(choice);
  drawTrial();
  void fetchPosition(choice);
}

/** @param {number} confidence */
function sure(confidence) {
  return `${Math.round(confidence * 100)}% sure`;
}

/** @param {import("./state.js").Choice} choice */
function drawWords(choice) {
  const words = desk.shown.words;
  const from = Math.max(0, choice.first - AROUND);
  const to = Math.min(words.length, choice.last + AROUND);
  const text = (/** @type {number} */ first, /** @type {number} */ end) =>
    words.slice(first, end).map((/** @type {any} */ word) => word[0]).join(" ");
  byId("words").replaceChildren(
    make("span", { class: "time" }, clock(choice.at)),
    ` ${from ? "… " : ""}${text(from, choice.first)} `,
    make("mark", {}, text(choice.first, choice.last)),
    ` ${text(choice.last, to)}${to < words.length ? " …" : ""}`,
  );
}

/** @param {import("./state.js").Choice} choice */
function drawOptions(choice) {
  const options = choice.doubt?.options ?? [];
  const list = options.map(([uci, san, probability], index) =>
    button("option", String(index + 1), probability ? `${san} ${Math.round(probability * 100)}%` : san, () => pick(uci, san)),
  );
  const right = choice.ply && choice.doubt ? [button("right", "Enter", `${choice.ply.san} is right`, confirm)] : [];
  byId("options").replaceChildren(...right, ...list);
}

/** @param {import("./state.js").Choice} choice */
function drawRoles(choice) {
  const { ply } = choice;
  byId("roles").replaceChildren(
    button("", "n", "Not a move", notAMove),
    ...(ply
      ? [
          button("", "c", "Only considered", () => role("considered", "only considered")),
          button("", "p", "Played in the game", () => role("played", "played in the game")),
          button("", "b", "Same as before", () => role("repeat", "the same as before")),
        ]
      : []),
    button("", "l", "Starts a side line from …", sideLine),
  );
}

/** @param {import("./state.js").Choice} choice */
function drawExtras(choice) {
  const { ply } = choice;
  const moment = momentOf(choice);
  byId("extras").replaceChildren(
    button("", "w", "Words", editWords),
    ...(ply ? [button("", "x", ply.comment === null ? "Comment" : "Comment ✓", editComment), button("", "g", `NAGs ${ply.nags.map((nag) => `$${nag}`).join(" ")}`, editNags)] : []),
    ...(moment
      ? [
          make(
            "p",
            { class: "times" },
            `Moment ${moment.start.toFixed(2)} s to ${moment.end.toFixed(2)} s. Start: `,
            make("kbd", {}, "["),
            " earlier, ",
            make("kbd", {}, "]"),
            " later. End: ",
            make("kbd", {}, "{"),
            " ",
            make("kbd", {}, "}"),
          ),
        ]
      : []),
  );
}

function drawTrial() {
  const trial = /** @type {any} */ (desk.trial);
  const section = byId("trial");
  section.hidden = !trial;
  if (!trial) return;
  const { changes } = trial;
  const rows = changes ? changes.readings.map(changed) : [];
  let summary = "Looking what else changes …";
  if (changes) {
    summary = rows.length ? `${rows.length} other ${rows.length === 1 ? "place is" : "places are"} read otherwise:` : "No other place is read otherwise.";
    if (changes.moved) summary += ` ${changes.moved} later moments now follow it.`;
    if (!changes.checked) summary += ` Followed anew up to ${clock(changes.until)}; the rest is still being followed …`;
  }
  section.replaceChildren(
    make("h3", {}, trial.says),
    make("p", {}, summary),
    make("ul", {}, ...rows),
    make("div", { class: "bar" }, button("right", "Enter", "Take it", takeTrial), button("", "Esc", "Leave it", leave)),
  );
}

/** @param {any} each */
function changed(each) {
  const name = (/** @type {any} */ reading) => (reading ? `${reading.label}${reading.played ? "" : " (considered)"}` : "no move");
  return make("li", {}, make("span", { class: "time" }, clock(each.at)), ` “${each.heard}”: ${name(each.before)} → `, make("strong", {}, name(each.after)));
}

/** @param {import("./state.js").Choice} choice */
async function fetchPosition(choice) {
  const key = `${choice.game}:${choice.line.join(",")}`;
  if (asked !== key) {
    asked = key;
    try {
      const found = await get(`position?game=${choice.game}&line=${choice.line.join(",")}`);
      if (asked !== key) return;
      position = found;
    } catch (error) {
      await report(error);
      return;
    }
  }
  if (!position || desk.choice !== choice || standing === key) return;
  standing = key;
  const last = position.last ? { from: position.last[0], to: position.last[1], played: plyAt(choice.game, choice.line)?.played ?? true } : null;
  board.show(position.position, last, positionWords(position.position));
  board.startTrial(position.legal, (moves) => void onBoard(moves));
  const parent = plyAt(choice.game, choice.line);
  byId("where").textContent = `${parent ? `After ${parent.label}` : "Start position"}, ${position.white ? "white" : "black"} to move`;
  byId("legal").replaceChildren(...position.legal.map(([, san]) => make("option", { value: san })));
}

/** @param {[string, string, string][]} moves */
async function onBoard(moves) {
  if (!moves.length) return;
  let [uci, san] = moves[0];
  if (moves.length > 1) {
    const answer = await ask("Promote to", [{ name: "piece", label: "Piece: Q, R, B or N", value: "Q" }]);
    const chosen = moves.find((move) => move[0].endsWith((answer?.piece ?? "").toLowerCase().slice(0, 1) || "-"));
    if (!chosen) return;
    [uci, san] = chosen;
  }
  pick(uci, san);
}

function typedMove() {
  const input = /** @type {HTMLInputElement} */ (byId("san"));
  const wanted = input.value.trim();
  const bare = (/** @type {string} */ san) => san.replace(/[+#x=]/g, "").replace(/0/g, "O");
  const legal = position?.legal ?? [];
  const found =
    legal.find((/** @type {any} */ move) => move[1] === wanted) ??
    one(legal.filter((/** @type {any} */ move) => bare(move[1]) === bare(wanted))) ??
    one(legal.filter((/** @type {any} */ move) => bare(move[1]).toLowerCase() === bare(wanted).toLowerCase())) ??
    legal.find((/** @type {any} */ move) => move[0] === wanted);
  if (!found) {
    say(wanted ? `${wanted} is not legal here.` : "Type a move first.");
    return;
  }
  input.value = "";
  input.blur();
  pick(found[0], found[1]);
}

/** @template T @param {T[]} found @returns {T | undefined} */
function one(found) {
  return found.length === 1 ? found[0] : undefined;
}

/** @param {Partial<{ uci: string | null, role: string | null, line: string[] | null }>} members */
function moveEdit(members) {
  const choice = /** @type {import("./state.js").Choice} */ (desk.choice);
  return { kind: "move", at: choice.at, end: choice.end, uci: null, role: null, line: null, was: choice.ply?.uci ?? null, ...members };
}

/** @param {string} uci @param {string} san */
export function pick(uci, san) {
  const choice = desk.choice;
  if (choice) void consider(moveEdit({ uci, line: choice.line }), `${san} in place of ${choice.ply?.san ?? "no move"}`);
}

/** @param {number} number counted from 1 */
export function pickOption(number) {
  const option = desk.choice?.doubt?.options[number - 1];
  if (option) pick(option[0], option[1]);
}

/** The reading is right as it is. */
export async function confirm() {
  const choice = desk.choice;
  if (!choice?.ply || !choice.doubt) return;
  const role = choice.ply.inferred ? null : choice.ply.played ? "played" : "considered";
  if (choice.ply.inferred) {
    say("Nobody names this move: the move after it is looked at by its own words.");
    return;
  }
  await take([moveEdit({ uci: choice.ply.uci, line: choice.line, role: repeated(choice) ? "repeat" : role })], `${choice.ply.san} is right.`);
}

/** The words name a move that was named before. @param {import("./state.js").Choice} choice */
function repeated(choice) {
  return choice.ply !== null && choice.ply.moments.length > 1 && choice.ply.moments[0][0] < choice.at;
}

export function notAMove() {
  if (desk.choice) void consider(moveEdit({}), "These words name no move");
}

/** @param {string} name @param {string} says */
export function role(name, says) {
  const choice = desk.choice;
  if (choice?.ply) void consider(moveEdit({ uci: choice.ply.uci, role: name, line: choice.line }), `${choice.ply.san}: ${says}`);
}

export async function sideLine() {
  const choice = desk.choice;
  if (!choice) return;
  const plies = desk.shown.games[choice.game].plies;
  const answer = await ask("Starts a side line", [
    { name: "from", label: "After the move (empty: from the start position)", options: plies.map((/** @type {any} */ ply) => ply.label) },
    { name: "san", label: "With the move", value: choice.ply?.san ?? "" },
  ]);
  if (!answer) return;
  const squeeze = (/** @type {string} */ text) => text.replace(/\s+/g, "");
  const from = plies.find((/** @type {any} */ ply) => ply.label === squeeze(answer.from));
  if (answer.from.trim() && !from) {
    say(`${answer.from} is not in the lesson: write it as the moves are listed, such as 12...Qc7.`);
    return;
  }
  const line = lineOf(choice.game, from ?? null);
  try {
    const there = await get(`position?game=${choice.game}&line=${line.join(",")}`);
    const move = there.legal.find((/** @type {any} */ each) => each[1].replace(/[+#]/g, "") === answer.san.trim().replace(/[+#]/g, ""));
    if (!move) say(`${answer.san} is not legal there.`);
    else void consider(moveEdit({ uci: move[0], role: "considered", line }), `${move[1]} starts a side line ${from ? `after ${from.label}` : "from the start"}`);
  } catch (error) {
    await report(error);
  }
}

export async function takeTrial() {
  const trial = desk.trial;
  if (trial) await take([trial.edit], `${trial.says}.`);
}

export async function editWords() {
  const choice = desk.choice;
  if (!choice) return;
  const words = desk.shown.words.slice(choice.first, choice.last);
  const answer = await ask("What was said", [{ name: "text", label: "Words (their time stays)", value: words.map((/** @type {any} */ word) => word[0]).join(" "), type: "long" }]);
  if (answer?.text.trim()) await take([{ kind: "words", at: words[0][1], end: words[words.length - 1][2], text: answer.text.trim() }], "Words changed.");
}

export async function editComment() {
  const choice = desk.choice;
  if (!choice?.ply) return;
  const answer = await ask(`Comment to ${choice.ply.label}`, [{ name: "text", label: "Comment (empty: what was said about it)", value: choice.ply.comment ?? "", type: "long" }]);
  if (answer) await take([{ kind: "comment", at: choice.at, game: choice.game, line: lineOf(choice.game, choice.ply), text: answer.text.trim() || null }], "Comment changed.");
}

export async function editNags() {
  const choice = desk.choice;
  if (!choice?.ply) return;
  const answer = await ask(`NAGs of ${choice.ply.label}`, [{ name: "nags", label: "Numbers (1 good move, 2 mistake, 3 brilliant, 4 blunder, 5 interesting, 6 dubious …)", value: choice.ply.nags.join(" ") }]);
  if (answer) await take([{ kind: "nags", at: choice.at, game: choice.game, line: lineOf(choice.game, choice.ply), nags: (answer.nags.match(/\d+/g) ?? []).map(Number) }], "NAGs changed.");
}

/** @param {import("./state.js").Choice} choice */
function momentOf(choice) {
  return choice.ply ? moments().find((moment) => moment.ply === choice.ply && Math.abs(moment.start - choice.at) < 0.5) : undefined;
}

/** The nudges that are not yet an edit. @type {{ timer: number, edit: any } | null} */
let nudged = null;

/**
 * Moves the start or the end of the moment a little, and lets it be heard.
 * @param {"start" | "end"} side
 * @param {number} direction 1 for later
 */
export function nudge(side, direction) {
  const choice = desk.choice;
  const moment = choice ? momentOf(choice) : undefined;
  if (!choice?.ply || !moment) return;
  const edit = nudged?.edit ?? { kind: "moment", at: moment.start, game: choice.game, line: lineOf(choice.game, choice.ply), start: moment.start, end: moment.end };
  const value = Math.round((edit[side] + direction * STEP) * 1000) / 1000;
  if (value < 0 || (side === "start" ? value > edit.end : value < edit.start)) return;
  edit[side] = value;
  if (nudged) clearTimeout(nudged.timer);
  say(`Moment ${edit.start.toFixed(2)} s to ${edit.end.toFixed(2)} s`);
  if (side === "start") hear(edit.start, edit.start + 0.6, 0);
  else hear(edit.end - 1, edit.end - 0.7, 0);
  nudged = { edit, timer: setTimeout(() => void keepNudge(), SETTLES) };
}

async function keepNudge() {
  const edit = nudged?.edit;
  nudged = null;
  if (!edit || !(await take([edit], "Moment moved."))) return;
  if (desk.choice && Math.abs(desk.choice.at - edit.at) < 0.001) desk.choice = { ...desk.choice, at: edit.start };
}
