/**
 * Links to a place of the lesson: the temporal dimension of W3C Media Fragments URI 1.0 (4.2.1, normal play time), and
 * ply, which the standard leaves free: the game's number, a dot and the ply's id.
 */

/** @typedef {{ start: number | null, end: number | null, game: number | null, id: number | null }} Target */

const TIME = /^(?:npt:)?([\d:.]*)(?:,([\d:.]+))?$/;
const CLOCK = /^(?:(?:(\d+):)?([0-5]?\d):)?(\d+(?:\.\d*)?)$/;
const PLY = /^(\d+)\.(\d+)$/;

/**
 * What a fragment names; what it does not name, or names wrongly, is null (4.2.1 and 5: errors are ignored). As in
 * the standard's name-value lists (4.1), of several t the last one holds.
 * @param {string} hash with or without "#"
 * @returns {Target}
 */
export function readFragment(hash) {
  /** @type {Target} */
  const target = { start: null, end: null, game: null, id: null };
  for (const pair of hash.replace(/^#/, "").split("&")) {
    const [name, value] = [pair.slice(0, pair.indexOf("=")), pair.slice(pair.indexOf("=") + 1)].map(decoded);
    if (name === "t") Object.assign(target, readTime(value));
    const ply = name === "ply" && PLY.exec(value);
    if (ply) Object.assign(target, { game: Number(ply[1]) - 1, id: Number(ply[2]) });
  }
  return target;
}

/**
 * @param {number | null} time seconds
 * @param {{ game: number, id: number } | null} ply
 */
export function writeFragment(time, ply) {
  const parts = [];
  if (time !== null) parts.push(`t=${Number(time.toFixed(3))}`);
  if (ply) parts.push(`ply=${ply.game + 1}.${ply.id}`);
  return `#${parts.join("&")}`;
}

/** @param {string} text */
function readTime(text) {
  const match = TIME.exec(text);
  if (!match || (!match[1] && !match[2])) return {};
  const start = match[1] ? seconds(match[1]) : 0;
  const end = match[2] ? seconds(match[2]) : null;
  if (Number.isNaN(start) || Number.isNaN(end) || (end !== null && end <= Number(start))) return {};
  return { start, end };
}

/** @param {string} text */
function seconds(text) {
  const match = CLOCK.exec(text);
  if (!match) return NaN;
  const [, hours, minutes, rest] = match;
  if (minutes !== undefined && Number(rest) >= 60) return NaN;
  return Number(hours ?? 0) * 3600 + Number(minutes ?? 0) * 60 + Number(rest);
}

/** @param {string} text */
function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return "";
  }
}
