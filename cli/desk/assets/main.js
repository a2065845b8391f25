/** The desk: goes from one doubtful place to the next. */

import { setUpDetail } from "./detail.js";
import { redo, refresh, report, say, undo } from "./edit.js";
import { setUpKeys } from "./keys.js";
import { nextDoubt, setUpLists } from "./lists.js";
import { post } from "./server.js";
import { hear, setUpSound } from "./sound.js";
import { desk } from "./state.js";
import { byId } from "./view.js";

const SOON = 700;
const LATER = 4000;

/** Doubts when the desk was opened. */
let atFirst = 0;

export async function publish() {
  say("Writing …");
  try {
    const { files } = await post("publish", {});
    say(`Written: ${files.join(", ")}`);
  } catch (error) {
    await report(error);
  }
}

function drawHead() {
  const { title, name, doubts, following, fault, unfit, edits, undone, broken } = desk.shown;
  document.title = `${title || name} – desk`;
  byId("title").textContent = title || name;
  atFirst = Math.max(atFirst, doubts.length);
  const parts = [doubts.length ? `${doubts.length} ${doubts.length === 1 ? "doubt" : "doubts"} left` : "No doubts left"];
  if (unfit.length) parts.push(`${unfit.length} ${unfit.length === 1 ? "edit does" : "edits do"} not fit`);
  if (broken) parts.push(`${broken} broken lines in the journal`);
  if (following) parts.push("following the talk …");
  byId("count").textContent = parts.join(" · ");
  byId("count").classList.toggle("busy", following);
  if (fault) say(fault);
  /** @type {HTMLButtonElement} */ (byId("undo")).disabled = !edits.length;
  /** @type {HTMLButtonElement} */ (byId("redo")).disabled = !undone;
}

/** The doubt that was looked at is decided: the next one. */
function goOn() {
  const choice = desk.choice;
  if (!choice?.doubt || desk.trial) return;
  const still = desk.shown.doubts.some((/** @type {any} */ each) => each.at === choice.at && each.uci === choice.doubt?.uci);
  if (!still) nextDoubt(1);
}

async function keepUp() {
  await refresh();
  setTimeout(keepUp, desk.shown?.following ? SOON : LATER);
}

setUpSound();
setUpDetail();
setUpLists();
setUpKeys();
desk.listeners.unshift(drawHead);
desk.listeners.push(goOn);
byId("undo").addEventListener("click", undo);
byId("redo").addEventListener("click", redo);
byId("publish").addEventListener("click", publish);
byId("hear").addEventListener("click", () => desk.choice && hear(desk.choice.at, desk.choice.end));
addEventListener("focus", () => void refresh());
await refresh();
nextDoubt(0);
setTimeout(keepUp, LATER);
