/** Positions: strings of 64 characters, a1 to h8, FEN's letters and "-". */

import { START } from "./lesson.js";

const NAMES = /** @type {Record<string, string>} */ ({
  k: "king",
  q: "queen",
  r: "rook",
  b: "bishop",
  n: "knight",
  p: "pawn",
});

/** @param {string} square such as "g1" */
export function squareIndex(square) {
  return square.charCodeAt(0) - 97 + 8 * (square.charCodeAt(1) - 49);
}

/** @param {number} index */
export function squareName(index) {
  return String.fromCharCode(97 + (index % 8)) + String.fromCharCode(49 + (index >> 3));
}

/**
 * @param {string} position
 * @param {string} changes
 */
export function changed(position, changes) {
  const squares = [...position];
  for (let at = 0; at < changes.length; at += 3) squares[squareIndex(changes.slice(at, at + 2))] = changes[at + 2];
  return squares.join("");
}

/**
 * The position after a ply.
 * @param {import("./lesson.js").Game} game
 * @param {number} ply
 */
export function positionAt(game, ply) {
  const line = [];
  for (let index = ply; index !== START; index = game.plies[index].parent) line.push(game.plies[index].changes);
  return line.reduceRight(changed, game.opening);
}

/**
 * True when white is to move after a ply.
 * @param {import("./lesson.js").Game} game
 * @param {number} ply
 */
export function whiteToMove(game, ply) {
  let white = game.white;
  for (let index = ply; index !== START; index = game.plies[index].parent) white = !white;
  return white;
}

/** "N" -> "white knight" @param {string} piece */
export function pieceName(piece) {
  return `${isWhite(piece) ? "white" : "black"} ${NAMES[piece.toLowerCase()]}`;
}

/** @param {string} piece */
export function isWhite(piece) {
  return piece < "a";
}

/**
 * "White: king g1, pawns a2, b2. Black: king g8."
 * @param {string} position
 */
export function positionWords(position) {
  return ["KQRBNP", "kqrbnp"].map((letters) => sideWords(position, letters)).join(" ");
}

/**
 * @param {string} position
 * @param {string} letters
 */
function sideWords(position, letters) {
  const groups = [...letters].map((letter) => {
    const squares = [...position].flatMap((piece, index) => (piece === letter ? [squareName(index)] : []));
    const name = NAMES[letter.toLowerCase()];
    return squares.length ? `${squares.length > 1 ? `${name}s` : name} ${squares.join(", ")}` : "";
  });
  return `${isWhite(letters) ? "White" : "Black"}: ${groups.filter(Boolean).join("; ")}.`;
}
