/** Puts the page together. */

import { Board } from "./board.js";
import { readFragment, writeFragment } from "./fragment.js";
import { listenToKeys } from "./keys.js";
import { readLesson, START } from "./lesson.js";
import { PlayedRecording, SilentRecording } from "./media.js";
import { Moves } from "./moves.js";
import { Now } from "./now.js";
import { Questions } from "./quiz.js";
import { Search } from "./search.js";
import { State } from "./state.js";
import { Steps } from "./steps.js";
import { Talk } from "./talk.js";
import { Timeline } from "./timeline.js";
import { lastAt } from "./times.js";
import { byId } from "./view.js";

const lesson = readLesson(byId("lesson").textContent ?? "");
const state = new State(lesson);
const element = /** @type {HTMLMediaElement | null} */ (document.getElementById("media"));
const recording = element ? new PlayedRecording(element, lesson) : new SilentRecording(lesson);
const board = new Board(byId("board"));
const moves = new Moves(state, toPlace);
const now = new Now(state, board, moves, toMoment);
const talk = new Talk(state, { toMoment, toTime });
const timeline = new Timeline(state, { toMoment, toTime });
const questions = new Questions(state, board, now, recording);
const steps = new Steps(state);
new Search((phrase) => toTime(lesson.words[Number(phrase.getAttribute("data-w"))]));

recording.addEventListener("step", () => state.speak(recording.step));
recording.addEventListener("time", () => state.setTime(recording.time));

/**
 * Takes the recording to a moment.
 * @param {number} index
 */
function toMoment(index) {
  const { start, game, ply } = lesson.moments[index];
  toTime(start, { game, ply });
  setAddress(start, { game, ply });
}

/**
 * Takes the recording to a place's first moment; a place never named only comes on the board.
 * @param {import("./lesson.js").Place} place
 */
function toPlace(place) {
  const [first] = place.ply === START ? [] : lesson.games[place.game].plies[place.ply].moments;
  if (first !== undefined) {
    toMoment(first);
    return;
  }
  questions.close();
  state.stepTo(place);
  setAddress(null, place);
}

/**
 * Takes the recording to a time, the board to what the talk is about then (or to a place that is named there).
 * @param {number} time
 * @param {import("./lesson.js").Place | null} place
 */
function toTime(time, place = null) {
  questions.close();
  if (place) state.pin(Math.max(0, lastAt(lesson.steps.length, (index) => lesson.steps[index].start, time)), place);
  recording.seek(time);
  state.setFollowing(true);
  talk.follow();
}

/**
 * Keeps the address bar at the place, so that it can be copied from there too.
 * @param {number | null} time
 * @param {import("./lesson.js").Place} place
 */
function setAddress(time, place) {
  history.replaceState(null, "", writeFragment(time, named(place)));
}

/** @param {import("./lesson.js").Place} place */
function named({ game, ply }) {
  return ply === START ? null : { game, id: lesson.games[game].plies[ply].id };
}

function openAddress() {
  const { start, end, game, id } = readFragment(location.hash);
  const ply = game === null ? -1 : (lesson.games[game]?.plies.findIndex((each) => each.id === id) ?? -1);
  const place = game !== null && ply >= 0 ? { game, ply } : null;
  if (start !== null) toTime(start, place);
  else if (place) toPlace(place);
  if (end !== null) recording.stopAt(end);
}

function placeLink() {
  const { shown, ply, time } = state;
  const { moments } = lesson;
  const onset = ply?.moments.findLast((index) => moments[index].start <= time + 0.001) ?? ply?.moments[0];
  const at = ply ? (onset === undefined ? null : moments[onset].start) : time;
  return location.href.replace(/#.*/, "") + writeFragment(at, named(shown));
}

async function copyLink() {
  const field = /** @type {HTMLInputElement} */ (byId("link-text"));
  field.value = placeLink();
  byId("link-out").hidden = false;
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
    byId("status").textContent = "Link copied";
    byId("link-said").textContent = "Copied.";
  } catch {
    byId("link-said").textContent = "Copy it from the field.";
  }
}

function listenToButtons() {
  const commands = /** @type {Record<string, () => void>} */ ({
    "to-start": () => steps.start(),
    "to-back": () => steps.back(),
    "to-next": () => steps.next(),
    "to-end": () => steps.end(),
    follow: () => state.setFollowing(true),
    copy: () => void copyLink(),
    "link-close": () => (byId("link-out").hidden = true),
    play: () => recording.toggle(),
    flip: () => {
      const flipped = byId("flip").getAttribute("aria-pressed") !== "true";
      byId("flip").setAttribute("aria-pressed", String(flipped));
      board.flip(flipped);
    },
  });
  for (const [id, command] of Object.entries(commands)) byId(id).addEventListener("click", command);
  const speed = /** @type {HTMLSelectElement} */ (byId("speed"));
  speed.addEventListener("change", () => recording.setRate(Number(speed.value)));
  for (const button of document.querySelectorAll(".panels button")) {
    button.addEventListener("click", () => showPanel(/** @type {HTMLElement} */ (button).dataset.panel ?? ""));
  }
}

/** Narrow screens show one panel at a time. @param {string} panel */
function showPanel(panel) {
  document.body.dataset.panel = panel;
  for (const button of document.querySelectorAll(".panels button")) {
    button.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (button).dataset.panel === panel));
  }
}

function toRecording() {
  toPlace(state.shown);
}

for (const id of ["play", "speed-label"]) byId(id).hidden = !recording.playable;
recording.addEventListener("state", () => {
  document.body.classList.toggle("playing", recording.playing);
  byId("play").setAttribute("aria-label", recording.playing ? "Pause" : "Play");
});
byId("chapters").addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a") : null;
  if (!link) return;
  if (!link.target) event.preventDefault();
  toTime(lesson.chapters[Number(link.dataset.c)].start);
});
byId("chapters").hidden = lesson.chapters.length === 0;
listenToButtons();
listenToKeys({ steps, toNeighbour: (step) => timeline.toNeighbour(step), toRecording, toggle: () => recording.toggle() });
addEventListener("hashchange", openAddress);
openAddress();
