/** Making edits: a look at what else would change, then taking it; undo and redo. */

import { post, get, RefusedError } from "./server.js";
import { desk, plyAt, tell } from "./state.js";
import { byId } from "./view.js";

const POLL = 300;

/** @param {string} text */
export function say(text) {
  byId("status").textContent = text;
}

/** Takes over what the server tells. @param {any} shown */
export function settle(shown) {
  if (!shown || (desk.shown && shown.stamp < desk.shown.stamp)) return; // an answer that was overtaken
  desk.shown = shown;
  if (desk.choice?.ply) desk.choice.ply = plyAt(desk.choice.game, [...desk.choice.line, desk.choice.ply.uci]);
  tell();
}

/** Asks the server for what is new. */
export async function refresh() {
  try {
    settle(await get(`state?since=${desk.shown ? desk.shown.stamp : -1}`));
  } catch (error) {
    report(error);
  }
}

/**
 * Shows what an edit of a move would change, and waits for Enter or Escape.
 * @param {any} edit
 * @param {string} says what it does, in a few words
 */
export async function consider(edit, says) {
  const trial = { edit, says, changes: null };
  desk.trial = trial;
  tell();
  await look(trial);
}

/** @param {any} trial */
async function look(trial) {
  while (desk.trial === trial) {
    try {
      trial.changes = await post("preview", { edits: [trial.edit], based_on: desk.shown.number });
    } catch (error) {
      await report(error);
      if (!(error instanceof RefusedError && error.stale)) return;
      continue;
    }
    if (desk.trial !== trial) return;
    tell();
    if (trial.changes.checked) return;
    await new Promise((resolve) => setTimeout(resolve, POLL));
  }
}

export function leave() {
  desk.trial = null;
  tell();
}

/**
 * Makes edits at once. Resolves to false when they were not made.
 * @param {any[]} edits
 * @param {string} says
 */
export async function take(edits, says) {
  return change("edits", { edits }, says);
}

export function undo() {
  return change("undo", {}, "Taken back.");
}

export function redo() {
  return change("redo", {}, "Made again.");
}

/** Changes are made one after the other, each based on the one before. @type {Promise<unknown>} */
let turn = Promise.resolve();

/**
 * @param {string} path
 * @param {object} value
 * @param {string} says
 * @returns {Promise<boolean>}
 */
export function change(path, value, says) {
  const done = turn.then(() => changeNow(path, value, says));
  turn = done;
  return done;
}

/**
 * @param {string} path
 * @param {object} value
 * @param {string} says
 */
async function changeNow(path, value, says) {
  try {
    const shown = await post(path, { ...value, based_on: desk.shown.number });
    desk.trial = null;
    say(says);
    settle(shown);
    return true;
  } catch (error) {
    await report(error);
    return false;
  }
}

/** @param {unknown} error */
export async function report(error) {
  if (!(error instanceof RefusedError)) throw error;
  if (error.stale) {
    await refresh();
    say("Another window changed this lesson, and is shown now. Nothing was overwritten: look again, then repeat it.");
  } else {
    say(error.message);
  }
}
