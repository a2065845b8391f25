/** What the desk knows: the lesson as the server tells it, and what is chosen in it. */

/**
 * start, end: seconds; first, namedEnd, endWord: word indices; spoken: the naming words put right; nameEnd: when they end.
 * @typedef {{ start: number, end: number, first: number, namedEnd: number, endWord: number, spoken: string,
 *   nameEnd: number, game: number, ply: Ply }} Moment
 */

/**
 * @typedef {object} Ply
 * @property {number} id
 * @property {number | null} parent
 * @property {string} uci
 * @property {string} san
 * @property {string} label with its number
 * @property {boolean} played
 * @property {boolean} inferred nobody names it
 * @property {number} confidence
 * @property {number[]} nags
 * @property {string | null} comment
 * @property {any[][]} moments
 */

/**
 * @typedef {object} Doubt
 * @property {number} at
 * @property {number} end
 * @property {number} first
 * @property {number} last
 * @property {string} heard
 * @property {number} game
 * @property {string[]} line
 * @property {string} uci
 * @property {string} san
 * @property {string} label
 * @property {string} role
 * @property {number} confidence
 * @property {string} reason
 * @property {[string, string, number][]} options
 */

/**
 * Words that are looked at, and what they are read as. line: moves to the position that they are said in.
 * @typedef {{ at: number, end: number, first: number, last: number, game: number, line: string[], ply: Ply | null,
 *   doubt: Doubt | null }} Choice
 */

/** An edit that is looked at before it is taken. @typedef {{ edit: any, says: string }} Trial */

export const desk = {
  /** @type {any} */
  shown: null,
  /** @type {Choice | null} */
  choice: null,
  /** @type {Trial | null} */
  trial: null,
  tab: "doubts",
  /** Hears the rest of the page about changes. @type {(() => void)[]} */
  listeners: [],
};

export function tell() {
  for (const listener of desk.listeners) listener();
}

/**
 * @param {number} game
 * @param {number | null} id
 * @returns {Ply | null}
 */
export function plyOf(game, id) {
  return id === null ? null : desk.shown.games[game].plies.find((/** @type {Ply} */ ply) => ply.id === id);
}

/**
 * The moves that lead to a ply, its own the last.
 * @param {number} game
 * @param {Ply | null} ply
 * @returns {string[]}
 */
export function lineOf(game, ply) {
  const line = [];
  for (let each = ply; each; each = plyOf(game, each.parent)) line.push(each.uci);
  return line.reverse();
}

/**
 * The ply at the end of a line.
 * @param {number} game
 * @param {string[]} line
 * @returns {Ply | null}
 */
export function plyAt(game, line) {
  /** @type {Ply | null} */
  let found = null;
  for (const uci of line) {
    const parent = found ? found.id : null;
    found = desk.shown.games[game].plies.find((/** @type {Ply} */ ply) => ply.parent === parent && ply.uci === uci) ?? null;
    if (!found) return null;
  }
  return found;
}

/** All moments in the order of the talk. @returns {Moment[]} */
export function moments() {
  const found = [];
  for (const [game, tree] of desk.shown.games.entries())
    for (const ply of tree.plies)
      for (const [start, end, first, namedEnd, endWord, spoken, nameEnd] of ply.moments)
        found.push({ start, end, first, namedEnd, endWord, spoken, nameEnd, game, ply });
  return found.sort((one, other) => one.start - other.start || one.ply.id - other.ply.id);
}

/** @param {Doubt} doubt @returns {Choice} */
export function choiceOfDoubt(doubt) {
  const { at, end, first, last, game, line } = doubt;
  return { at, end, first, last, game, line, ply: plyAt(game, [...line, doubt.uci]), doubt };
}

/** @param {Moment} moment @returns {Choice} */
export function choiceOfMoment(moment) {
  const doubt = desk.shown.doubts.find((/** @type {Doubt} */ each) => each.at === moment.start && each.uci === moment.ply.uci);
  const line = lineOf(moment.game, moment.ply).slice(0, -1);
  const { start, nameEnd, first, namedEnd, game, ply } = moment;
  return { at: start, end: nameEnd, first, last: namedEnd, game, line, ply, doubt: doubt ?? null };
}

/**
 * Words in which no move is read so far.
 * @param {number} first
 * @param {number} last index after the last one
 * @returns {Choice}
 */
export function choiceOfWords(first, last) {
  const words = desk.shown.words;
  const at = words[first][1];
  const inside = moments().filter((moment) => moment.first < last && first < moment.namedEnd);
  if (inside.length && inside[0].first === first && inside[0].namedEnd === last) return choiceOfMoment(inside[0]);
  const before = moments().findLast((moment) => moment.start < at);
  const game = before?.game ?? 0;
  const ply = inside.length === 1 ? inside[0].ply : null;
  const line = ply ? lineOf(game, ply).slice(0, -1) : lineOf(game, before?.ply ?? null);
  return { at, end: words[last - 1][2], first, last, game, line, ply, doubt: null };
}

/** @param {number} seconds */
export function clock(seconds) {
  const whole = Math.floor(seconds);
  const tail = String(whole % 60).padStart(2, "0");
  return whole < 3600 ? `${Math.floor(whole / 60)}:${tail}` : `${Math.floor(whole / 3600)}:${String(Math.floor(whole / 60) % 60).padStart(2, "0")}:${tail}`;
}
