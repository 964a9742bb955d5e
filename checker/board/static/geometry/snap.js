// @ts-check
/** Where a pointer is drawn to: corners first, then edges, then square angles, then the grid. */

/** @typedef {[number, number]} Point */

/**
 * @param {Point} at Where the pointer is, in the file's unit.
 * @param {Point[][]} rings Outlines that attract.
 * @param {number} reach How near counts as near.
 * @param {number} grid The step of the grid.
 * @param {Point | null} from The last point placed.
 * @returns {{at: Point, why: string}}
 */
export function snapped(at, rings, reach, grid, from) {
  const corner = nearest(rings.flat(), at, reach);
  if (corner) return { at: corner, why: "corner" };
  const edge = nearestOnEdges(rings, at, reach);
  if (edge) return { at: edge, why: "edge" };
  /** @type {Point} */
  const onGrid = [Math.round(at[0] / grid) * grid, Math.round(at[1] / grid) * grid];
  if (from) {
    if (Math.abs(at[0] - from[0]) < reach) return { at: [from[0], onGrid[1]], why: "square" };
    if (Math.abs(at[1] - from[1]) < reach) return { at: [onGrid[0], from[1]], why: "square" };
  }
  return { at: onGrid, why: "grid" };
}

/** @param {Point[]} points @param {Point} at @param {number} reach @returns {Point | null} */
function nearest(points, at, reach) {
  /** @type {Point | null} */
  let found = null;
  let best = reach;
  for (const point of points) {
    const far = Math.hypot(point[0] - at[0], point[1] - at[1]);
    if (far < best) [found, best] = [point, far];
  }
  return found;
}

/** @param {Point[][]} rings @param {Point} at @param {number} reach @returns {Point | null} */
function nearestOnEdges(rings, at, reach) {
  /** @type {Point[]} */
  const feet = [];
  for (const ring of rings) {
    for (let i = 1; i < ring.length; i += 1) {
      const [a, b] = [ring[i - 1], ring[i]];
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
      const long = dx * dx + dy * dy;
      if (!long) continue;
      const share = Math.max(0, Math.min(1, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long));
      feet.push([a[0] + share * dx, a[1] + share * dy]);
    }
  }
  return nearest(feet, at, reach);
}
