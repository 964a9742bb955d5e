// @ts-check
/** Declared shapes, moved and pulled without losing what they are: a rectangle stays a rectangle. */

/** @typedef {[number, number]} Point */
/** @typedef {Record<string, any>} Shape */

/** @param {number} value */
const tidy = (value) => Math.round(value * 1e4) / 1e4;

/** @param {number[]} point @param {number} dx @param {number} dy */
const shifted = ([x, y, ...rest], dx, dy) => [tidy(x + dx), tidy(y + dy), ...rest];

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

/** The corners that can be pulled. @param {Shape} shape @returns {Point[]} */
export function corners(shape) {
  switch (kindOf(shape)) {
    case "points": return shape.points.map((/** @type {number[]} */ p) => [p[0], p[1]]);
    case "line": return shape.line.map((/** @type {number[]} */ p) => [p[0], p[1]]);
    case "strip": return shape.strip.along.map((/** @type {number[]} */ p) => [p[0], p[1]]);
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
  const [x, y] = [tidy(to[0]), tidy(to[1])];
  const put = (/** @type {number[]} */ point) => [x, y, ...point.slice(2)];
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

/** @param {Shape} shape @param {number} index @param {Point} to @returns {Shape | null} */
function pulledBox(shape, index, to) {
  const box = shape.rectangle;
  const all = corners(shape);
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

/** @param {Point[]} points @returns {Shape} */
export const polygonOf = (points) => ({ points: points.map(([x, y]) => [tidy(x), tidy(y)]) });

/** @param {Point} centre @param {number} radius @param {string} unit @returns {Shape} */
export const circleOf = (centre, radius, unit) =>
  ({ circle: { centre: [tidy(centre[0]), tidy(centre[1])], radius: `${tidy(radius)} ${unit}` } });

/** @param {Point[]} along @param {string} width @returns {Shape} */
export const stripOf = (along, width) =>
  ({ strip: { along: along.map(([x, y]) => [tidy(x), tidy(y)]), width } });

/** @param {string} around @param {string} width @returns {Shape} */
export const ringOf = (around, width) => ({ ring: { around, width } });
