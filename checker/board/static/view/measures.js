// @ts-check
/** The measures of a shape, and how far it is from other things, as fields to type in. */

import { kindOf, xyOf } from "../geometry/shapes.js";
import { lengthOf } from "../tracing.js";
import { el, row, typed } from "./elements.js";

/** @param {string} text @returns {[number, number] | null} */
function placeOf(text) {
  const [x, y, ...more] = text.trim().split(/[ ,]+/).map(Number);
  return Number.isFinite(x) && Number.isFinite(y) && !more.length ? [x, y] : null;
}

/** @param {any} shape @param {(shape: any) => void} put @param {(text: string, isRefusal?: boolean) => void} say @returns {Node[]} */
export function measures(shape, put, say) {
  const kind = kindOf(shape);
  /** @param {string} id @param {string} name @param {any} value @param {(next: any, v: string) => void} change */
  const field = (id, name, value, change) =>
    row(id, name, typed(id, String(value), (v) => { const next = structuredClone(shape); change(next, v); put(next); }));
  /** @param {string} id @param {string} name @param {any} point @param {(next: any, at: any) => void} change */
  const place = (id, name, point, change) => row(id, name, typed(id, xyOf(point).join(" "), (v) => {
    const at = placeOf(v);
    if (!at) { say("Write two numbers: from the left and from the bottom.", true); return; }
    const next = structuredClone(shape);
    change(next, Array.isArray(point) ? at : { ...point, at });
    put(next);
  }));
  const amount = (/** @type {string} */ v) => (/^-?[0-9.]+$/.test(v) ? Number(v) : v);
  switch (kind) {
    case "rectangle": return [
      field("field-width", "Width", shape.rectangle.size[0], (n, v) => { n.rectangle.size[0] = amount(v); }),
      field("field-depth", "Depth", shape.rectangle.size[1], (n, v) => { n.rectangle.size[1] = amount(v); }),
      field("field-x", "From the left", shape.rectangle.corner[0], (n, v) => { n.rectangle.corner[0] = Number(v); }),
      field("field-y", "From the bottom", shape.rectangle.corner[1], (n, v) => { n.rectangle.corner[1] = Number(v); }),
      field("field-turned", "Turned, degrees", shape.rectangle.turned ?? 0, (n, v) => { n.rectangle.turned = Number(v); }),
    ];
    case "circle": {
      const by = "radius" in shape.circle ? "radius" : "diameter";
      return [field("field-radius", by === "radius" ? "Radius" : "Diameter", shape.circle[by], (n, v) => { n.circle[by] = v; })];
    }
    case "strip": return [field("field-wide", "Width", shape.strip.width, (n, v) => { n.strip.width = v; })];
    case "ring": return [field("field-wide", "Width", shape.ring.width, (n, v) => { n.ring.width = v; })];
    case "points": return shape.points.map((/** @type {any} */ p, /** @type {number} */ i) =>
      place(`field-corner-${i}`, `Corner ${i + 1}`, p, (n, at) => { n.points[i] = at; }));
    case "at": return [place("field-place-0", "Place", shape.at, (n, at) => { n.at = at; })];
    case "line": return shape.line.map((/** @type {any} */ p, /** @type {number} */ i) =>
      place(`field-place-${i}`, `Place ${i + 1}`, p, (n, at) => { n.line[i] = at; }));
    default: return [el("p", {}, kind === "layer" ? "It follows a layer of the drawing." : "Its shape stands in the file.")];
  }
}

/** How far it is from lot lines, the nearest building and paving; a typed distance moves it. @param {any} found @param {string} key @param {any} acts */
export function distances(found, key, acts) {
  if (found?.of !== key || !found.rows.length) return null;
  return el("details", { class: "distances", open: true }, el("summary", {}, "Distances"),
    ...found.rows.map((/** @type {any} */ r, /** @type {number} */ i) => row(`field-distance-${i}`, `${r.to}: ${r.text}`, typed(`field-distance-${i}`, String(r.value), (v) => acts.distance(r, lengthOf(v)), { inputmode: "decimal" }))));
}
