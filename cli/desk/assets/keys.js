/** One key each for what an editor does all the time. */

import { isOpen, show } from "./dialog.js";
import { leave, redo, undo } from "./edit.js";
import { confirm, editComment, editNags, editWords, notAMove, nudge, pickOption, role, sideLine, takeTrial } from "./detail.js";
import { nextDoubt, openTabNumber, promote, reorder } from "./lists.js";
import { publish } from "./main.js";
import { changeSpeed, hear, isPlaying, silence } from "./sound.js";
import { desk } from "./state.js";
import { byId, make } from "./view.js";

/** @type {[string, string, () => unknown][]} */
const KEYS = [
  [" ", "hear the words; again: stop", hearChoice],
  ["s", "speed 0.75× or 1×", changeSpeed],
  ["j", "next doubt", () => nextDoubt(1)],
  ["k", "doubt before", () => nextDoubt(-1)],
  ["Enter", "the reading is right; or take what is looked at", () => (desk.trial ? takeTrial() : confirm())],
  ["Escape", "leave it", leave],
  ["m", "type another move", () => byId("san").focus()],
  ["v", "move on the board with the arrow keys", focusBoard],
  ["n", "not a move", notAMove],
  ["c", "only considered", () => role("considered", "only considered")],
  ["p", "played in the game", () => role("played", "played in the game")],
  ["b", "same as before", () => role("repeat", "the same as before")],
  ["l", "starts a side line from …", sideLine],
  ["w", "change the words", editWords],
  ["x", "comment", editComment],
  ["g", "NAGs", editNags],
  ["[", "moment starts earlier", () => nudge("start", -1)],
  ["]", "moment starts later", () => nudge("start", 1)],
  ["{", "moment ends earlier", () => nudge("end", -1)],
  ["}", "moment ends later", () => nudge("end", 1)],
  ["+", "promote: this line is the game", () => promote(true)],
  ["-", "demote: from here only considered", () => promote(false)],
  ["K", "side line up", () => reorder(-1)],
  ["J", "side line down", () => reorder(1)],
  ["u", "undo", undo],
  ["r", "redo", redo],
  ["P", "publish: write all files", publish],
  ["?", "these keys", showKeys],
];

const BY_KEY = new Map(KEYS.map(([key, , does]) => [key, does]));
const NAMES = /** @type {Record<string, string>} */ ({ " ": "Space", Escape: "Esc" });

export function setUpKeys() {
  document.addEventListener("keydown", (event) => {
    const target = /** @type {HTMLElement} */ (event.target);
    if (isOpen() || target.matches("input, textarea, select")) return;
    if (event.altKey && /^Digit[1-6]$/.test(event.code)) {
      event.preventDefault();
      openTabNumber(Number(event.code.slice(-1)));
      return;
    }
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z") {
      event.preventDefault();
      void (event.shiftKey ? redo() : undo());
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if ((event.key === "Enter" || event.key === " ") && target.matches("button, video, audio")) return;
    const does = /^[1-9]$/.test(event.key) ? () => pickOption(Number(event.key)) : BY_KEY.get(event.key);
    if (!does) return;
    event.preventDefault();
    void does();
  });
  byId("help").addEventListener("click", showKeys);
}

function hearChoice() {
  if (isPlaying()) silence();
  else if (desk.choice) hear(desk.choice.at, desk.choice.end);
}

function focusBoard() {
  /** @type {HTMLElement | null} */ (document.querySelector(".square[tabindex='0']"))?.focus();
}

function showKeys() {
  const rows = [["1 … 5", "take a runner-up"], ["Alt 1 … 6", "open a list; the arrow keys go through it"], ...KEYS.map(([key, text]) => [NAMES[key] ?? key, text])];
  show("Keys", make("dl", { class: "keys" }, ...rows.map(([key, text]) => make("div", {}, make("dt", {}, make("kbd", {}, key)), make("dd", {}, text)))));
}
