/** Small helpers for the document. */

/**
 * The element of an id; the page holds every id that the script asks for.
 * @template {HTMLElement} [T=HTMLElement]
 * @param {string} id
 * @returns {T}
 */
export function byId(id) {
  return /** @type {T} */ (document.getElementById(id));
}

/**
 * @param {string} tag
 * @param {Record<string, string>} attributes
 * @param {(Node | string)[]} children
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

/**
 * @param {string} tag
 * @param {Record<string, string | number>} attributes
 * @param {Node[]} children
 */
export function draw(tag, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...children);
  return element;
}

/** True when the viewer wants little motion. */
export function still() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}

/**
 * Scrolls a pane so that the element stands in its middle part; does nothing when it is there already. Where the pane
 * does not scroll, as on phones, the page does, but only for a pane that is in sight.
 * @param {HTMLElement} pane
 * @param {Element} element
 */
export function bringIntoView(pane, element) {
  const inner = element.getBoundingClientRect();
  if (inner.height === 0 && inner.width === 0) return; // hidden, or the pane is
  const scrolls = pane.scrollHeight > pane.clientHeight + 1 && getComputedStyle(pane).overflowY === "auto";
  const [top, bottom] = scrolls ? edges(pane) : [byId("board").getBoundingClientRect().bottom, edges(byId("dock"))[0]];
  if (!scrolls && (edges(pane)[0] > (top + bottom) / 2 || edges(pane)[1] < top)) return;
  const room = (bottom - top) * 0.15;
  if (inner.top >= top + room && inner.bottom <= bottom - room) return;
  const by = inner.top - top - (bottom - top - inner.height) * 0.4;
  const far = Math.abs(by) > 2 * (bottom - top); // all that is passed on the way would have to be drawn
  (scrolls ? pane : window).scrollBy({ top: by, behavior: still() || far ? "instant" : "smooth" });
}

/**
 * Top and bottom in the window.
 * @param {Element} element
 */
function edges(element) {
  const { top, bottom } = element.getBoundingClientRect();
  return [top, bottom];
}
