/** The lesson that the page was written with. */

/**
 * A place in a game. ply: index among the game's plies, START for its start position.
 * @typedef {{ game: number, ply: number }} Place
 */

/**
 * @typedef {object} Ply
 * @property {number} parent index of the ply before, START for the start position
 * @property {number} id stable name of the ply within its game
 * @property {string} label the move with its number, such as "12...Qc7"
 * @property {string} changes squares that the move changes: "g1-f3N" empties g1 and puts a white knight on f3
 * @property {boolean} played false for a move that was only considered
 * @property {boolean} inferred true for a move that the talk never names
 * @property {number} confidence in percent
 * @property {string} reason why confidence is not higher
 * @property {[string, number][]} runnersUp other moves that the same words may have named, with percent
 * @property {number[]} following indices of the plies after it; the line's own continuation first
 * @property {number[]} moments indices into Lesson.moments
 * @property {number} line index of the first ply of its side line, START for a played move
 * @property {number} depth 0 for played moves, 1 for side lines of the game, 2 for side lines of those and so on
 */

/**
 * @typedef {object} Game
 * @property {string} name
 * @property {string} opening 64 characters, a1 to h8, FEN's letters and "-"
 * @property {boolean} white true when white moves first
 * @property {Ply[]} plies
 * @property {number[]} following indices of the plies after the start position
 */

/**
 * Times are in seconds.
 * @typedef {{ start: number, end: number, game: number, ply: number, firstWord: number, namedEnd: number }} Moment
 * @typedef {{ start: number, game: number, ply: number, moment: number }} Step
 * @typedef {{ start: number, end: number, title: string }} Chapter
 */

/**
 * @typedef {object} Quiz
 * @property {number} start
 * @property {number} stop
 * @property {number} game
 * @property {number} ply
 * @property {boolean} white true when white is to move
 * @property {string} asked the teacher's words
 * @property {[string, string, string][]} legal UCI, SAN and changes of each legal move
 * @property {[string, number][]} answers UCI and ply index of the moves that the talk gives
 */

/**
 * @typedef {object} Lesson
 * @property {string} title
 * @property {number} duration
 * @property {string | null} link address of a recording elsewhere, {seconds} for the time
 * @property {Game[]} games
 * @property {Moment[]} moments by onset
 * @property {Step[]} steps which position the talk is about, by onset
 * @property {number[]} words onsets
 * @property {Chapter[]} chapters
 * @property {Quiz[]} quizzes
 */

export const START = -1;

const PLAYED = 1;
const INFERRED = 2;

/**
 * @param {string} text JSON as the page holds it
 * @returns {Lesson}
 */
export function readLesson(text) {
  const data = JSON.parse(text);
  const games = data.games.map(readGame);
  const moments = data.moments.map(readMoment);
  moments.forEach((/** @type {Moment} */ moment, /** @type {number} */ index) =>
    games[moment.game].plies[moment.ply].moments.push(index),
  );
  return {
    title: data.title,
    duration: data.duration,
    link: data.link,
    games,
    moments,
    steps: data.steps.map((/** @type {number | number[]} */ row) => readStep(row, moments)),
    words: running(data.words),
    chapters: data.chapters.map((/** @type {[number, number, string]} */ [start, end, title]) => ({ start, end, title })),
    quizzes: data.quizzes,
  };
}

/**
 * The onset of a ply's first moment; for a ply never named, that of the first named one after it.
 * @param {Game} game
 * @param {Moment[]} moments
 * @param {number} index
 * @returns {number} Infinity when none is named
 */
export function firstNamed(game, moments, index) {
  const ply = game.plies[index];
  if (ply.moments.length) return moments[ply.moments[0]].start;
  return Math.min(...ply.following.map((after) => firstNamed(game, moments, after)));
}

/**
 * The plies after a place.
 * @param {Game} game
 * @param {number} ply
 */
export function following(game, ply) {
  return ply === START ? game.following : game.plies[ply].following;
}

/**
 * @param {number[]} hundredths each after the one before
 * @returns {number[]} seconds
 */
function running(hundredths) {
  let sum = 0;
  return hundredths.map((step) => (sum += step) / 100);
}

/** @param {number[]} row */
function readMoment([start, end, game, ply, firstWord, namedEnd]) {
  return { start, end, game, ply, firstWord, namedEnd };
}

/**
 * @param {number | number[]} row index of the moment it begins with; or start, moment; or start, -1, game
 * @param {Moment[]} moments
 * @returns {Step}
 */
function readStep(row, moments) {
  if (typeof row === "number") return { ...place(moments[row]), start: moments[row].start, moment: row };
  const [start, moment, game] = row;
  return moment < 0 ? { start, game, ply: START, moment } : { ...place(moments[moment]), start, moment };
}

/** @param {Place} place */
function place({ game, ply }) {
  return { game, ply };
}

/**
 * @param {any} data
 * @returns {Game}
 */
function readGame(data) {
  /** @type {Game} */
  const game = { name: data.name, opening: data.opening, white: data.white, plies: [], following: [] };
  for (const [parent, id, label, changes, flags, confidence, reason = "", runnersUp = []] of data.plies) {
    const before = parent === START ? null : game.plies[parent];
    const played = (flags & PLAYED) !== 0;
    const index = game.plies.length;
    const continues = before !== null && !before.played && before.following.length === 0;
    game.plies.push({
      parent,
      id,
      label,
      changes,
      played,
      inferred: (flags & INFERRED) !== 0,
      confidence,
      reason,
      runnersUp,
      following: [],
      moments: [],
      line: played ? START : continues ? before.line : index,
      depth: played ? 0 : continues ? before.depth : (before?.depth ?? 0) + 1,
    });
    (before ?? game).following.push(index);
  }
  return game;
}
