// @ts-check
/** The measures of a shape and of its holes, and how far it is from other things, as fields to type in. */

import { kindOf, withHoles, xyOf } from "../geometry/shapes.js";
import { lengthOf } from "../tracing.js";
import { button, el, row, typed } from "./elements.js";

/** @param {string} text @returns {[number, number] | null} */
function placeOf(text) {
  const [x, y, ...more] = text.trim().split(/[ ,]+/).map(Number);
  return Number.isFinite(x) && Number.isFinite(y) && !more.length ? [x, y] : null;
}

/** @typedef {{put: (shape: any) => void, say: (text: string, isRefusal?: boolean) => void, tapes?: () => any[], id?: string}} Ways */

/** What the two numbers of a place are called. @param {any} tape What they are measured from; nothing for the plan itself. @returns {[string, string]} */
export const axes = (tape) => (tape ? ["Along it", "Off it"] : ["From the left", "From the bottom"]);

const FROM = ["lot_line", "and_line", "wall_of", "wall", "end"];

/** What a shape is measured from. @param {any} shape @param {any[]} [tapes] */
const tapeOf = ({ measured_from: from }, tapes = []) =>
  tapes.find((tape) => FROM.every((key) => tape.measured_from[key] === from[key])) ?? { title: "a line or wall that the file names" };

/** The measures of a shape, and those of its holes. @param {any} shape @param {Ways} ways @returns {Node[]} */
export function measures(shape, { put, say, tapes, id = "field" }) {
  const tape = shape.measured_from ? tapeOf(shape, tapes?.()) : null;
  const holes = shape.holes ?? [];
  const without = (/** @type {number} */ i) => withHoles(shape, holes.toSpliced(i, 1));
  return [
    ...(tape ? [el("p", { class: "why" }, `Measured from: ${tape.title}`)] : []),
    ...own(shape, axes(tape), { put, say, id }),
    ...holes.map((/** @type {any} */ hole, /** @type {number} */ i) => el("fieldset", {}, el("legend", {}, `Hole ${i + 1}`),
      ...measures(hole, { put: (next) => put(withHoles(shape, holes.toSpliced(i, 1, next))), say, id: `${id}-hole-${i}` }),
      button(`Fill hole ${i + 1}`, () => put(without(i))))),
  ];
}

/** @param {any} shape @param {[string, string]} names @param {Ways} ways @returns {Node[]} */
function own(shape, [along, off], { put, say, id }) {
  const kind = kindOf(shape);
  /** @param {string} key @param {string} name @param {any} value @param {(next: any, v: string) => void} change */
  const field = (key, name, value, change) =>
    row(`${id}-${key}`, name, typed(`${id}-${key}`, String(value), (v) => { const next = structuredClone(shape); change(next, v); put(next); }));
  /** @param {string} key @param {string} name @param {any} point @param {(next: any, at: any) => void} change */
  const place = (key, name, point, change) => row(`${id}-${key}`, name, typed(`${id}-${key}`, xyOf(point).join(" "), (v) => {
    const at = placeOf(v);
    if (!at) { say(`Write two numbers: ${along.toLowerCase()} and ${off.toLowerCase()}.`, true); return; }
    const next = structuredClone(shape);
    change(next, Array.isArray(point) ? at : { ...point, at });
    put(next);
  }));
  const amount = (/** @type {string} */ v) => (/^-?[0-9.]+$/.test(v) ? Number(v) : v);
  switch (kind) {
    case "rectangle": return [
      field("width", "Width", shape.rectangle.size[0], (n, v) => { n.rectangle.size[0] = amount(v); }),
      field("depth", "Depth", shape.rectangle.size[1], (n, v) => { n.rectangle.size[1] = amount(v); }),
      field("x", along, shape.rectangle.corner[0], (n, v) => { n.rectangle.corner[0] = Number(v); }),
      field("y", off, shape.rectangle.corner[1], (n, v) => { n.rectangle.corner[1] = Number(v); }),
      field("turned", "Turned, degrees", shape.rectangle.turned ?? 0, (n, v) => { n.rectangle.turned = Number(v); }),
    ];
    case "circle": {
      const by = "radius" in shape.circle ? "radius" : "diameter";
      return [field("radius", by === "radius" ? "Radius" : "Diameter", shape.circle[by], (n, v) => { n.circle[by] = v; })];
    }
    case "strip": return [field("wide", "Width", shape.strip.width, (n, v) => { n.strip.width = v; })];
    case "ring": return [field("wide", "Width", shape.ring.width, (n, v) => { n.ring.width = v; })];
    case "points": return shape.points.map((/** @type {any} */ p, /** @type {number} */ i) =>
      place(`corner-${i}`, `Corner ${i + 1}`, p, (n, at) => { n.points[i] = at; }));
    case "at": return shape.measured_from ? [
      field("x", along, shape.at[0], (n, v) => { n.at[0] = Number(v); }),
      field("y", off, shape.at[1], (n, v) => { n.at[1] = Number(v); }),
    ] : [place("place-0", "Place", shape.at, (n, at) => { n.at = at; })];
    case "line": return shape.line.map((/** @type {any} */ p, /** @type {number} */ i) =>
      place(`place-${i}`, `Place ${i + 1}`, p, (n, at) => { n.line[i] = at; }));
    default: return [el("p", {}, kind === "layer" ? "It follows a layer of the drawing." : "Its shape stands in the file.")];
  }
}

/** How far it is from lot lines, the nearest building and paving; a typed distance moves it. @param {any} found @param {string} key @param {any} acts */
export function distances(found, key, acts) {
  if (found?.of !== key || !found.rows.length) return null;
  return el("details", { class: "distances", open: true }, el("summary", {}, "Distances"),
    ...found.rows.map((/** @type {any} */ r, /** @type {number} */ i) => row(`field-distance-${i}`, `${r.to}: ${r.text}`, typed(`field-distance-${i}`, String(r.value), (v) => acts.distance(r, lengthOf(v)), { inputmode: "decimal" }))));
}

/** What it overlaps, and which of the two lies on top. @param {any} found @param {string} key @param {any} acts */
export function overlaps(found, key, acts) {
  if (found?.of !== key || !found.overlaps?.length) return null;
  const [, own] = key.split("/");
  return el("details", { class: "overlaps", open: true }, el("summary", {}, "Overlaps"),
    ...found.overlaps.map((/** @type {any} */ o) => el("p", { class: "field" }, el("span", {}, `${o.is_over ? "Over" : "Under"} ${o.title}`),
      o.is_over ? button("Put it under", () => acts.putOver(o.id, own), { "aria-label": `Put it under ${o.title}` })
        : button("Put it over", () => acts.putOver(own, o.id), { "aria-label": `Put it over ${o.title}` }))));
}

/** By what the file names it. @param {string} id @param {any} acts */
export const named = (id, acts) => row("field-id", "Named in the file", typed("field-id", id, (v) => acts.rename(v)));
