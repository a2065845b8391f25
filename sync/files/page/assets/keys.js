/** The keyboard. Keys that scroll are taken only on the board and among the moves. */

import { byId } from "./view.js";

const FIELDS = "input, select, textarea, button, summary, video, audio, [role=slider], [role=gridcell]";

/**
 * @typedef {object} Commands
 * @property {import("./steps.js").Steps} steps
 * @property {(step: 1 | -1) => void} toNeighbour to the next moment or the one before
 * @property {() => void} toRecording takes the recording to the position on the board
 * @property {() => void} toggle plays or pauses
 */

/** @param {Commands} commands */
export function listenToKeys({ steps, toNeighbour, toRecording, toggle }) {
  const anywhere = /** @type {Record<string, () => void>} */ ({
    ArrowLeft: () => steps.back(),
    ArrowRight: () => steps.next(),
    " ": toggle,
  });
  const onBoard = /** @type {Record<string, () => void>} */ ({
    ArrowUp: () => steps.beside(-1),
    ArrowDown: () => steps.beside(1),
    Home: () => steps.start(),
    End: () => steps.end(),
    PageUp: () => toNeighbour(-1),
    PageDown: () => toNeighbour(1),
    Enter: toRecording,
  });
  document.addEventListener("keydown", (event) => {
    const target = event.target instanceof Element ? event.target : document.body;
    if (event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || target.closest(FIELDS)) return;
    const near = byId("board").contains(target) || byId("sheets").contains(target);
    const onLink = target.closest("a") !== null;
    const command = anywhere[event.key] ?? (near && !(onLink && event.key === "Enter") ? onBoard[event.key] : undefined);
    if (!command) return;
    event.preventDefault();
    command();
  });
}
