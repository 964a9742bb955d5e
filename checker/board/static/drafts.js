// @ts-check
/** What is being drawn: points so far, where the next one would lie, and the shape they make. */

import { THINGS } from "./things.js";
import { alongArc, arcOf, boxBetween, circleOf, corners, polygonOf, stripOf, tidy } from "./geometry/shapes.js";

/** @typedef {[number, number]} Point */

/** How many points a tool takes; polygons and walks end when the person says so. */
const ENOUGH = { point: 1, rectangle: 2, circle: 2, "survey-move": 2, "survey-scale": 2, "survey-turn": 2, split: 2 };

/** How many points make a shape; none where the person says so. @param {string} tool */
const enough = (tool) => THINGS[tool]?.points ?? ENOUGH[/** @type {"circle"} */ (tool)];

/**
 * @typedef {{tool: string, points: Point[], cursor: Point | null, why: string, rings: Point[][], isClosed: boolean, shape?: any,
 *   arcs: Record<number, {turn: string, middle: number}>, via: Point | null, isArc: boolean}} Draft
 */

/** @param {string} tool @returns {Draft} */
export const begun = (tool) => ({ tool, points: [], cursor: null, why: "", rings: [], isClosed: false, arcs: {}, via: null, isArc: false });

/** The draft with the pointer at a place. @param {Draft} draft @param {Point} at @param {string} why @returns {Draft} */
export function pointed(draft, at, why) {
  const all = [...draft.points, at];
  return { ...draft, cursor: at, why, ...outlined(draft.tool, all, arcsWith(draft, at)) };
}

/** The draft with a point placed. @param {Draft} draft @param {Point} at @returns {Draft} */
export function placed(draft, at) {
  if (draft.isArc && !draft.via && draft.points.length) return { ...draft, via: at, cursor: at };
  const points = [...draft.points, at];
  const arcs = arcsWith(draft, at);
  return { ...draft, points, cursor: at, arcs, via: null, isArc: false, ...outlined(draft.tool, points, arcs) };
}

/** The draft without its last point, or without the place on an arc that was tapped last. @param {Draft} draft @returns {Draft} */
export function unplaced(draft) {
  if (draft.via) return { ...draft, via: null };
  const points = draft.points.slice(0, -1);
  const arcs = Object.fromEntries(Object.entries(draft.arcs).filter(([at]) => Number(at) < points.length - 1));
  return { ...draft, points, arcs, cursor: points.at(-1) ?? null, isArc: false, ...outlined(draft.tool, points, arcs) };
}

/** The arcs with the one under way, which runs over the place tapped before. @param {Draft} draft @param {Point} at */
function arcsWith(draft, at) {
  const last = draft.points.length - 1;
  const arc = draft.via && arcOf(draft.points[last], draft.via, at);
  return arc ? { ...draft.arcs, [last]: arc } : draft.arcs;
}

/** The next edge is an arc: first a place on it is tapped, then its end. @param {Draft} draft @returns {Draft} */
export const bent = (draft) => ({ ...draft, isArc: !draft.isArc, via: null });

/** Whether the points make the shape. @param {Draft} draft */
export const isWhole = (draft) => draft.points.length === enough(draft.tool);

/** Whether it can be ended here. @param {Draft} draft */
export const canEnd = (draft) =>
  (["polygon", "lot"].includes(draft.tool) && draft.points.length >= 3) || (["strip", "line"].includes(draft.tool) && draft.points.length >= 2);

/** @param {string} tool @param {Point[]} points @param {Record<number, any>} arcs @returns {{rings: Point[][], isClosed: boolean}} */
function outlined(tool, points, arcs) {
  if (points.length < 2) return { rings: [], isClosed: false };
  if (tool === "rectangle") return { rings: [corners(boxBetween(points[0], points[1]))], isClosed: true };
  if (tool === "circle") {
    const [a, b] = points;
    const radius = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const ring = Array.from({ length: 48 }, (_, i) => {
      const turn = (i * Math.PI) / 24;
      return /** @type {Point} */ ([a[0] + radius * Math.cos(turn), a[1] + radius * Math.sin(turn)]);
    });
    return { rings: [ring], isClosed: true };
  }
  const curved = points.flatMap((point, i) => (arcs[i] && points[i + 1] ? alongArc(point, arcs[i], points[i + 1]) : [point]));
  return { rings: [curved], isClosed: (tool === "polygon" || tool === "lot") && points.length > 2 };
}

/** The declared shape of a draft; null while it has no area. @param {Draft} draft @param {string} unit */
export function shapeOf(draft, unit) {
  const [a, b] = draft.points;
  switch (draft.tool) {
    case "point": return a ? { at: [tidy(a[0]), tidy(a[1])] } : null;
    case "line": return b ? { line: polygonOf(draft.points, draft.arcs, unit).points } : null;
    case "rectangle": return a && b && a[0] !== b[0] && a[1] !== b[1] ? boxBetween(a, b) : null;
    case "circle": return a && b ? circleOf(a, Math.hypot(b[0] - a[0], b[1] - a[1]), unit) : null;
    case "lot":
    case "polygon": return draft.points.length >= 3 ? polygonOf(draft.points, draft.arcs, unit) : null;
    case "strip": return draft.points.length >= 2 ? stripOf(draft.points, unit === "m" ? "1.2 m" : "4 ft") : null;
    default: return null;
  }
}

/**
 * Where a typed length leads: a length in the direction of the pointer, or a width and a depth.
 * @param {Draft} draft @param {string} text @returns {Point | null}
 */
export function typedPlace(draft, text) {
  const from = draft.points.at(-1);
  const numbers = text.trim().split(/[\s,x]+/).map(Number);
  if (!from) return numbers.length === 2 && numbers.every(Number.isFinite) ? [numbers[0], numbers[1]] : null;
  if (numbers.some((n) => !Number.isFinite(n)) || !numbers.length) return null;
  if (numbers.length === 2) return [from[0] + numbers[0], from[1] + numbers[1]];
  const cursor = draft.cursor ?? [from[0] + 1, from[1]];
  const far = Math.hypot(cursor[0] - from[0], cursor[1] - from[1]) || 1;
  const step = numbers[0] / far;
  return [from[0] + (cursor[0] - from[0]) * step, from[1] + (cursor[1] - from[1]) * step];
}

/** A free id like an old one. @param {string} stem @param {any[]} surfaces */
export function freeId(stem, surfaces) {
  const known = new Set(surfaces.map((s) => s.id));
  if (!known.has(stem)) return stem;
  let number = 2;
  while (known.has(`${stem}-${number}`)) number += 1;
  return `${stem}-${number}`;
}

/** An id made of words. @param {string} text @param {string} [stem] What it begins with where the text begins with no letter. */
export function idOf(text, stem = "surface") {
  const words = text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "").match(/[a-z0-9]+/g) ?? [];
  const id = words.join("-");
  return /^[a-z]/.test(id) ? id : `${stem}-${id}`.replace(/-$/, "");
}
