// @ts-check
/** Requests to the board's own server: one secret, one preview at a time, the newest wins. */

import { made } from "./differences.js";

const SECRET = "board-secret";

/** @type {string} */
let secret = "";

/** An answer that says why something cannot be done. */
export class Refused extends Error {
  /** @param {number} status @param {{says?: string, do?: string}} body */
  constructor(status, body) {
    super([body.says, body.do].filter(Boolean).join("; ") || `the answer was ${status}`);
    this.status = status;
  }
}

/** Trade the ticket in the address for the secret, or take the one that this tab has. */
export async function enter() {
  const ticket = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  if (ticket) {
    const answer = await fetch("/enter", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ticket }),
    });
    if (answer.ok) sessionStorage.setItem(SECRET, (await answer.json()).secret);
  }
  secret = sessionStorage.getItem(SECRET) ?? "";
  return secret !== "";
}

/** The plan as it came last, which newer answers speak of. @type {any} */
let known = null;

/** What is drawn of a plan, and its verdict; all else comes with every answer. */
const SCENE = ["lot", "surfaces", "features", "regions", "asked_regions", "parts", "verdict"];

/** An answer with what was left out of it, since it is known here. @param {any} found */
async function whole(found) {
  if (found.since === undefined) {
    if (found.surfaces) known = found;
    return found;
  }
  const before = known?.revision === found.since ? known : null;
  if ("sequence" in found) return before ? { ...found, verdict: made(before.verdict, found.verdict) } : { sequence: found.sequence };
  if (!before) return call("/plan");
  const { since, scene, ...head } = found;
  known = { ...head, ...made(Object.fromEntries(SCENE.map((key) => [key, before[key]])), scene) };
  return known;
}

/** @returns {Record<string, string>} */
const own = () => ({ "x-board-secret": secret, ...(known ? { "x-board-knows": String(known.revision) } : {}) });

/** @param {string} path @param {object} [body] @param {AbortSignal} [signal] @returns {Promise<Response>} */
async function asked(path, body, signal) {
  const headers = own();
  if (body) headers["content-type"] = "application/json";
  return fetch(path, {
    method: body ? "POST" : "GET",
    headers,
    body: body ? JSON.stringify(body) : undefined,
    signal,
  });
}

/** What is under way for a purpose, so that a newer question does not wait behind an older one. @type {Map<string, AbortController>} */
const underWay = new Map();

/** Ask, and give up what was asked for the same purpose before; nothing when given up. @param {string} purpose @param {string} path @returns {Promise<any>} */
export async function callAnew(purpose, path) {
  underWay.get(purpose)?.abort();
  const own = new AbortController();
  underWay.set(purpose, own);
  try {
    return await call(path, undefined, own.signal);
  } catch (wrong) {
    if (own.signal.aborted) return null;
    throw wrong;
  }
}

/** @param {string} path @param {object} [body] @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function call(path, body, signal) {
  const answer = await asked(path, body, signal);
  const found = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Refused(answer.status, found);
  return whole(found);
}

/** Hand a whole file in. @param {string} path @param {Blob} file @returns {Promise<any>} */
export async function send(path, file) {
  const headers = { ...own(), "content-type": "application/octet-stream" };
  const answer = await fetch(path, { method: "POST", headers, body: file });
  const found = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Refused(answer.status, found);
  return whole(found);
}

/** @param {string} path @returns {Promise<Blob>} */
export async function file(path) {
  const answer = await asked(path);
  if (!answer.ok) throw new Refused(answer.status, await answer.json().catch(() => ({})));
  return answer.blob();
}

let sequence = 0;
/** Answers up to this one are shown already, or belong to a plan that has moved on. */
let floor = 0;
let isAsking = false;
/** @type {null | (() => void)} */
let waiting = null;

/**
 * Ask for the verdict of a change that is not made yet; answers come in order, older ones than shown are dropped.
 * @param {number} revision @param {object} change @param {{of: string, list: string}} of Whose distances are told. @param {(found: any) => void} then
 */
export function preview(revision, change, of, then) {
  const own = (sequence += 1);
  const send = () => {
    isAsking = true;
    call("/preview", { revision, sequence: own, change, ...of })
      .then((found) => {
        // A slow answer while the hand moves on is still newer than what is shown.
        if (found.sequence <= floor) return;
        floor = found.sequence;
        then(found);
      })
      .catch(() => undefined)
      .finally(() => {
        isAsking = false;
        const next = waiting;
        waiting = null;
        if (next) next();
      });
  };
  if (isAsking) waiting = send;
  else send();
}

/** Forget all previews that are under way. */
export function forgetPreviews() {
  floor = sequence;
  waiting = null;
}
