/** Requests to the desk's server. */

/** The server's one-line answer when something cannot be done. stale: another window changed the lesson. */
export class RefusedError extends Error {
  /**
   * @param {string} message
   * @param {boolean} stale
   */
  constructor(message, stale) {
    super(message);
    this.stale = stale;
  }
}

/**
 * @param {string} path relative to the desk's address
 * @returns {Promise<any>} null when nothing is new
 */
export async function get(path) {
  return read(await reach(path, {}));
}

/**
 * @param {string} path
 * @param {object} value
 */
export async function post(path, value) {
  const headers = { "content-type": "application/json" };
  return read(await reach(path, { method: "POST", headers, body: JSON.stringify(value) }));
}

/**
 * @param {string} path
 * @param {RequestInit} request
 */
async function reach(path, request) {
  try {
    return await fetch(path, request);
  } catch {
    throw new RefusedError("The desk does not answer: is plycue review still running? Nothing taken so far is lost.", false);
  }
}

/** @param {Response} response */
async function read(response) {
  if (response.status === 204) return null;
  if (response.ok) return response.json();
  const told = response.headers.get("content-type")?.startsWith("application/json") ? (await response.json()).error : "";
  throw new RefusedError(told || `The desk refused (${response.status}).`, response.status === 409);
}
