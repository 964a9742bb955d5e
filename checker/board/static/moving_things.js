// @ts-check
/** Drains, pipes, dry wells, outlets, edges and falls on the plan: chosen, moved, bent and taken away there. */

/** @typedef {[number, number]} Point */

const LISTS = ["ways_out.inlets", "ways_out.pipes", "ways_out.stores", "ways_out.outlets", "ways_out.overflow_edges", "panels"];

/** @param {number} value */
const tidy = (value) => Math.round(value * 1e4) / 1e4;

/** The entries that lie somewhere on the plan, each with its list and key. @param {any} parts @returns {{list: string, key: string, entry: any}[]} */
export function thingsOf(parts) {
  return LISTS.flatMap((list) => {
    const entries = list === "panels" ? parts.panels : parts.ways_out?.[list.slice(9)];
    return (entries ?? []).filter((/** @type {any} */ e) => e.at || e.along).map((/** @type {any} */ entry) => ({ list, key: entry.id ?? entry.on, entry }));
  });
}

/** @param {any} entry @returns {Point[]} */
export const pointsOf = (entry) => entry.along ?? [entry.at];

/** @param {any} state @param {{change: any, say: any, draw: any}} base */
export function movesOf(state, { change, say, draw }) {
  const chosen = () => thingsOf(state.plan.parts).find(({ list, key }) => list === state.thing?.list && key === state.thing?.key);

  /** @param {Point[]} points */
  function placed(points) {
    const { list, key, entry } = /** @type {any} */ (chosen());
    const field = entry.along ? "along" : "at";
    const value = entry.along ? points : points[0];
    if (JSON.stringify(value) === JSON.stringify(entry[field])) return undefined;
    return change({ kind: "set", list, id: key, field: [field], value, was: entry[field] });
  }

  return {
    thing: chosen,
    /** @param {string | null} list @param {string} key */
    chooseThing(list, key) {
      if (state.thing?.list === list && state.thing?.key === key) return;
      state.thing = { list, key };
      state.selected = null;
      state.also.clear();
      draw();
      /** @type {any} */ (document.querySelector(`[data-thing="${CSS.escape(`${list}/${key}`)}"]`))?.focus({ preventScroll: true });
    },
    /** Its places with one pulled to another place, or all of them shifted. @param {number | null} index @param {Point} to @returns {Point[]} */
    thingPlaces(index, to) {
      const points = pointsOf(/** @type {any} */ (chosen()).entry);
      return points.map(([x, y], i) => (index === null ? [tidy(x + to[0]), tidy(y + to[1])] : i === index ? [tidy(to[0]), tidy(to[1])] : [x, y]));
    },
    placeThing: placed,
    /** @param {number} dx @param {number} dy */
    nudgeThing(dx, dy) { return placed(this.thingPlaces(null, [dx, dy])); },
    /** Put a bend into its longest leg. */
    bendThing() {
      const points = pointsOf(/** @type {any} */ (chosen()).entry);
      const legs = points.slice(1).map(([x, y], i) => Math.hypot(x - points[i][0], y - points[i][1]));
      const at = legs.indexOf(Math.max(...legs));
      const [a, b] = [points[at], points[at + 1]];
      return placed([...points.slice(0, at + 1), [tidy((a[0] + b[0]) / 2), tidy((a[1] + b[1]) / 2)], ...points.slice(at + 1)]);
    },
    straighten() { const points = pointsOf(/** @type {any} */ (chosen()).entry); return placed([points[0], /** @type {Point} */ (points.at(-1))]); },
    /** @param {number} index @param {string} text */
    typeThing(index, text) {
      const [x, y] = text.trim().split(/[ ,]+/).map(Number);
      if (!Number.isFinite(x) || !Number.isFinite(y)) { say("Write two numbers: from the left and from the bottom.", true); return undefined; }
      return placed(this.thingPlaces(index, [x, y]));
    },
    dropThing() {
      const { list, key } = /** @type {any} */ (chosen());
      state.thing = null;
      return change({ kind: "drop", list, id: key });
    },
  };
}
