/** The recording: a moment of it at the press of a key. */

import { byId, make } from "./view.js";

const LEAD_IN = 1.2;
const TAIL = 0.7;
const SLOW = 0.75;

/** @type {HTMLMediaElement | null} */
let media = null;
let stopAt = Infinity;

export function setUpSound() {
  const kind = document.body.dataset.media;
  if (kind === "none" || !kind) {
    byId("hearing").hidden = true;
    return;
  }
  media = /** @type {HTMLMediaElement} */ (make(kind, { src: "recording", preload: "auto", controls: "", id: "media" }));
  media.addEventListener("timeupdate", check);
  byId("player").append(media);
  byId("slow").addEventListener("click", changeSpeed);
}

/** Plays some words with a little before and after them. @param {number} start @param {number} end */
export function hear(start, end, leadIn = LEAD_IN) {
  if (!media) return;
  media.currentTime = Math.max(0, start - leadIn);
  stopAt = end + TAIL;
  void media.play();
  watch();
}

export function isPlaying() {
  return media !== null && !media.paused;
}

export function silence() {
  media?.pause();
}

export function changeSpeed() {
  if (!media) return;
  media.playbackRate = media.playbackRate === 1 ? SLOW : 1;
  const slow = media.playbackRate !== 1;
  byId("slow").setAttribute("aria-pressed", String(slow));
  byId("slow").firstChild?.replaceWith(`Speed ${slow ? "0.75" : "1"}× `);
}

/** timeupdate comes four times a second only. */
function watch() {
  check();
  if (isPlaying()) requestAnimationFrame(watch);
}

function check() {
  if (media && media.currentTime >= stopAt) {
    media.pause();
    stopAt = Infinity;
  }
}
