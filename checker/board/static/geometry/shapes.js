// @ts-check
/** Declared shapes, moved and pulled without losing what they are: a rectangle stays a rectangle. */

/** @typedef {[number, number]} Point */
/** @typedef {Record<string, any>} Shape */

/** @param {number} value */
export const tidy = (value) => Math.round(value * 1e4) / 1e4;

/** Where a corner lies: x and y, or the start of an arc to the next one. @param {any} point @returns {Point} */
export const xyOf = (point) => (Array.isArray(point) ? [point[0], point[1]] : [point.at[0], point.at[1]]);

/** The corner at another place; one that begins an arc still does. @param {any} point @param {Point} at */
const placedAt = (point, [x, y]) => (Array.isArray(point) ? [tidy(x), tidy(y)] : { ...point, at: [tidy(x), tidy(y)] });

/** @param {any} point @param {number} dx @param {number} dy */
function shifted(point, dx, dy) {
  const [x, y] = xyOf(point);
  return placedAt(point, [x + dx, y + dy]);
}

/** What an entry's shape is: points, rectangle, circle, strip, ring ... @param {Shape} shape */
export function kindOf(shape) {
  return ["points", "rectangle", "circle", "strip", "ring", "courses", "layer", "at", "line", "parts"]
    .find((kind) => kind in shape) ?? "";
}

/**
 * The shape moved; null where it follows something else (a ring) or belongs to a drawing (a layer).
 * @param {Shape} shape @param {number} dx @param {number} dy @returns {Shape | null}
 */
export function moved(shape, dx, dy) {
  if (shape.measured_from) return null;
  const next = structuredClone(shape);
  if (next.holes) {
    const holes = next.holes.map((/** @type {Shape} */ hole) => moved(hole, dx, dy));
    if (holes.includes(null)) return null;
    next.holes = holes;
  }
  switch (kindOf(next)) {
    case "points": next.points = next.points.map((/** @type {number[]} */ p) => shifted(p, dx, dy)); return next;
    case "line": next.line = next.line.map((/** @type {number[]} */ p) => shifted(p, dx, dy)); return next;
    case "at": next.at = shifted(next.at, dx, dy); return next;
    case "rectangle": next.rectangle.corner = shifted(next.rectangle.corner, dx, dy); return next;
    case "circle": next.circle.centre = shifted(next.circle.centre, dx, dy); return next;
    case "strip":
      next.strip.along = next.strip.along.map((/** @type {number[]} */ p) => shifted(p, dx, dy));
      return next;
    case "courses": next.start = shifted(next.start ?? [0, 0], dx, dy); return next;
    case "parts": {
      const parts = next.parts.map((/** @type {Shape} */ part) => moved(part, dx, dy));
      if (parts.includes(null)) return null;
      next.parts = parts;
      return next;
    }
    default: return null;
  }
}

/** A place that goes where the shape goes; nothing for what follows something else. @param {Shape} shape @returns {Point | null} */
export function originOf(shape) {
  switch (kindOf(shape)) {
    case "points": return xyOf(shape.points[0]);
    case "line": return xyOf(shape.line[0]);
    case "strip": return xyOf(shape.strip.along[0]);
    case "at": return xyOf(shape.at);
    case "rectangle": return xyOf(shape.rectangle.corner);
    case "circle": return xyOf(shape.circle.centre);
    case "courses": return xyOf(shape.start ?? [0, 0]);
    case "parts": return originOf(shape.parts[0]);
    default: return null;
  }
}

/** What a shape is made of, and what is cut out of it. */
const WITHIN = ["parts", "holes"];

/** @param {Shape} shape @returns {Shape[]} */
const within = (shape) => WITHIN.flatMap((key) => shape[key] ?? []);

/** The corners that can be pulled: its own, then those of its parts and holes. @param {Shape} shape @returns {Point[]} */
export const corners = (shape) => (shape.measured_from ? [] : [...ownCorners(shape), ...within(shape).flatMap(corners)]);

/** The same, each outline by itself, a circle all round. @param {Shape} shape @returns {Point[][]} */
export const outlines = (shape) => [shape.circle ? allRound(shape.circle) : ownCorners(shape), ...within(shape).flatMap(outlines)].filter((ring) => ring.length);

/** Points round a circle whose size is in the unit of the file; none else. @param {any} circle @returns {Point[]} */
function allRound({ centre: [x, y], radius, diameter }) {
  const size = /^([0-9.]+)( ft| m)?$/.exec(String(radius ?? diameter));
  const by = size ? Number(size[1]) / (radius === undefined ? 2 : 1) : 0;
  return by ? Array.from({ length: 48 }, (_, i) => [x + by * Math.cos((i * Math.PI) / 24), y + by * Math.sin((i * Math.PI) / 24)]) : [];
}

/** The corners of a shape without its parts and holes. @param {Shape} shape @returns {Point[]} */
function ownCorners(shape) {
  switch (kindOf(shape)) {
    case "points": return shape.points.map(xyOf);
    case "line": return shape.line.map(xyOf);
    case "strip": return shape.strip.along.map(xyOf);
    case "at": return [[shape.at[0], shape.at[1]]];
    case "circle": return [[shape.circle.centre[0], shape.circle.centre[1]]];
    case "rectangle": {
      if (!shape.rectangle.size.every((/** @type {any} */ s) => typeof s === "number")) return [];
      const [w, h] = shape.rectangle.size;
      return [[0, 0], [w, 0], [w, h], [0, h]].map(([u, v]) => outward(shape.rectangle, u, v));
    }
    default: return [];
  }
}

/** @param {any} box @param {number} u @param {number} v @returns {Point} */
function outward(box, u, v) {
  const angle = ((box.turned ?? 0) * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [box.corner[0] + u * c - v * s, box.corner[1] + u * s + v * c];
}

/**
 * The shape with one corner pulled to a place; the opposite corner of a rectangle stays.
 * @param {Shape} shape @param {number} index @param {Point} to @returns {Shape | null}
 */
export function pulled(shape, index, to) {
  const next = structuredClone(shape);
  const count = ownCorners(next).length;
  if (index >= count) return pulledWithin(next, index - count, to);
  const [x, y] = [tidy(to[0]), tidy(to[1])];
  const put = (/** @type {any} */ point) => placedAt(point, [x, y]);
  switch (kindOf(next)) {
    case "points": next.points[index] = put(next.points[index]); return next;
    case "line": next.line[index] = put(next.line[index]); return next;
    case "strip": next.strip.along[index] = put(next.strip.along[index]); return next;
    case "at": next.at = [x, y]; return next;
    case "circle": next.circle.centre = [x, y]; return next;
    case "rectangle": return pulledBox(next, index, [x, y]);
    default: return null;
  }
}

/** The shape with a corner of one of its parts or holes pulled. @param {Shape} shape @param {number} index @param {Point} to @returns {Shape | null} */
function pulledWithin(shape, index, to) {
  let left = index;
  for (const key of WITHIN) {
    for (const [i, piece] of (shape[key] ?? []).entries()) {
      const count = corners(piece).length;
      if (left < count) {
        shape[key][i] = pulled(piece, left, to);
        return shape[key][i] && shape;
      }
      left -= count;
    }
  }
  return null;
}

/** @param {Shape} shape @param {number} index @param {Point} to @returns {Shape | null} */
function pulledBox(shape, index, to) {
  const box = shape.rectangle;
  const all = ownCorners(shape);
  if (!all.length) return null;
  const fixed = all[(index + 2) % 4];
  const angle = ((box.turned ?? 0) * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const along = (to[0] - fixed[0]) * c + (to[1] - fixed[1]) * s;
  const across = (to[1] - fixed[1]) * c - (to[0] - fixed[0]) * s;
  const size = [tidy(Math.abs(along)), tidy(Math.abs(across))];
  if (size[0] === 0 || size[1] === 0) return null;
  const u = Math.min(0, along);
  const v = Math.min(0, across);
  box.corner = [tidy(fixed[0] + u * c - v * s), tidy(fixed[1] + u * s + v * c)];
  box.size = size;
  return shape;
}

/** A rectangle between two opposite corners. @param {Point} a @param {Point} b @returns {Shape} */
export function boxBetween(a, b) {
  return {
    rectangle: {
      corner: [tidy(Math.min(a[0], b[0])), tidy(Math.min(a[1], b[1]))],
      size: [tidy(Math.abs(a[0] - b[0])), tidy(Math.abs(a[1] - b[1]))],
    },
  };
}

/**
 * An arc through three places, as a site file declares it: to which side it bends, and how far its
 * middle lies from the middle of its chord; null where they lie on one line.
 * @param {Point} a @param {Point} via @param {Point} b
 */
export function arcOf(a, via, b) {
  const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const side = (b[0] - a[0]) * (via[1] - a[1]) - (b[1] - a[1]) * (via[0] - a[0]);
  const one = Math.hypot(via[0] - a[0], via[1] - a[1]);
  const other = Math.hypot(via[0] - b[0], via[1] - b[1]);
  if (!chord || Math.abs(side) < 1e-9 * chord) return null;
  const radius = (one * other * chord) / (2 * Math.abs(side));
  const off = Math.sqrt(Math.max(0, radius * radius - (chord * chord) / 4));
  // Where the angle at the place between is acute, the arc is more than half a circle.
  const isLong = one * one + other * other > chord * chord;
  return { turn: side > 0 ? "right" : "left", middle: isLong ? radius + off : radius - off };
}

/** Points along an arc for the screen. @param {Point} a @param {{turn: string, middle: number}} arc @param {Point} b @returns {Point[]} */
export function alongArc(a, { turn, middle }, b) {
  const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const radius = (chord * chord) / (8 * middle) + middle / 2;
  const sign = turn === "left" ? 1 : -1;
  const [ux, uy] = [(b[0] - a[0]) / chord, (b[1] - a[1]) / chord];
  // The centre lies to the side of the bend, unless the arc is more than half.
  const off = (radius - middle) * sign;
  const [cx, cy] = [(a[0] + b[0]) / 2 - uy * off, (a[1] + b[1]) / 2 + ux * off];
  const from = Math.atan2(a[1] - cy, a[0] - cx);
  let sweep = Math.atan2(b[1] - cy, b[0] - cx) - from;
  while (sweep * sign <= 0) sweep += 2 * Math.PI * sign;
  return Array.from({ length: 25 }, (_, i) => {
    const turnAt = from + (sweep * i) / 24;
    return [cx + radius * Math.cos(turnAt), cy + radius * Math.sin(turnAt)];
  });
}

/** @param {Point[]} points @param {Record<number, {turn: string, middle: number}>} [arcs] By the corner they begin at. @param {string} [unit] @returns {Shape} */
export const polygonOf = (points, arcs = {}, unit = "ft") => ({
  points: points.map(([x, y], i) => (arcs[i]
    ? { at: [tidy(x), tidy(y)], turn: arcs[i].turn, middle_ordinate: `${tidy(arcs[i].middle)} ${unit}` }
    : [tidy(x), tidy(y)])),
});

/** @param {Point} centre @param {number} radius @param {string} unit @returns {Shape} */
export const circleOf = (centre, radius, unit) =>
  ({ circle: { centre: [tidy(centre[0]), tidy(centre[1])], radius: `${tidy(radius)} ${unit}` } });

/** @param {Point[]} along @param {string} width @returns {Shape} */
export const stripOf = (along, width) =>
  ({ strip: { along: along.map(([x, y]) => [tidy(x), tidy(y)]), width } });

/** @param {string} around @param {string} width @returns {Shape} */
export const ringOf = (around, width) => ({ ring: { around, width } });

/** Whether holes can be cut into a shape here: an area that is drawn on the plan itself. @param {Shape} shape */
export const canHaveHoles = (shape) => !shape.measured_from && !["at", "line", ""].includes(kindOf(shape));

/** @param {Shape} shape @param {Shape[]} holes @returns {Shape} */
export function withHoles(shape, holes) {
  const { holes: _, ...rest } = shape;
  return holes.length ? { ...rest, holes } : rest;
}

/** Why a shape does not move by itself. @param {Shape} shape */
export const whyStill = (shape) => (shape.measured_from ? "It is measured from a line or wall; change its measures in the form." : "It follows something else; move that.");
