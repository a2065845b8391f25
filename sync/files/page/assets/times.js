/** Times as text, and places in sorted times. */

/**
 * 83.45 -> "1:23"
 * @param {number} seconds
 */
export function clockText(seconds) {
  const whole = Math.floor(seconds);
  const [hours, minutes, rest] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const tail = String(rest).padStart(2, "0");
  return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${tail}` : `${minutes}:${tail}`;
}

/**
 * 83.45 -> "1 minute 23"
 * @param {number} seconds
 */
export function timeWords(seconds) {
  const whole = Math.floor(seconds);
  const [hours, minutes, rest] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  if (!hours && !minutes) return many(rest, "second");
  const parts = [hours ? many(hours, "hour") : "", minutes ? many(minutes, "minute") : "", rest ? String(rest) : ""];
  return parts.filter(Boolean).join(" ");
}

/**
 * Index of the last onset that is not after a time, -1 when all are.
 * @param {number} count
 * @param {(index: number) => number} onset sorted
 * @param {number} time
 */
export function lastAt(count, onset, time) {
  let [low, high] = [0, count];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (onset(middle) <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/**
 * @param {number} count
 * @param {string} unit
 */
function many(count, unit) {
  return `${count} ${unit}${count === 1 ? "" : "s"}`;
}
