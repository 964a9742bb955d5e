// @ts-check
/** Things on the plan that are no surfaces, drains as well as wells and easements: chosen, moved, bent and taken away there. */

import { freeId, idOf } from "./drafts.js";
import { canHaveHoles, corners, moved, pulled, tidy, whyStill } from "./geometry/shapes.js";
import { putAs, words } from "./kinds.js";

/** @typedef {[number, number]} Point */
/** @typedef {{list: string, key: string, entry: any, shape: any, title: string, kind: string, rings: Point[][], size: string}} Thing */

const WATER = ["ways_out.inlets", "ways_out.pipes", "ways_out.stores", "ways_out.outlets", "ways_out.overflow_edges", "panels"];

/** @type {Record<string, string>} */
const NAMES = { "ways_out.inlets": "drain", "ways_out.pipes": "pipe", "ways_out.stores": "store", "ways_out.outlets": "outlet", "ways_out.overflow_edges": "overflow edge", panels: "fall" };

/** Wells, trees, easements and the like. @param {any} plan @returns {Thing[]} */
export const landOf = (plan) => ["regions", "features"].flatMap((list) => plan[list].map((/** @type {any} */ view) =>
  ({ list, key: view.id, entry: view.declared, shape: view.declared.shape, title: view.title, kind: words(view.kind), rings: view.rings, size: view.size })));

/** Drains, pipes, stores, outlets, edges and falls that lie somewhere on the plan. @param {any} plan @returns {Thing[]} */
export function waterOf({ parts }) {
  return WATER.flatMap((list) => {
    const entries = list === "panels" ? parts.panels : parts.ways_out?.[list.slice(9)];
    return (entries ?? []).filter((/** @type {any} */ e) => e.at || e.along).map((/** @type {any} */ entry) => {
      const key = entry.id ?? entry.on;
      const shape = entry.along ? { line: entry.along } : { at: entry.at };
      return { list, key, entry, shape, title: key, kind: words(entry.kind ?? NAMES[list]), rings: [entry.along ?? [entry.at]], size: "" };
    });
  });
}

/** Spot levels; the file numbers them. @param {any} plan @returns {Thing[]} */
export const levelsOf = ({ parts }) => (parts.levels ?? []).map((/** @type {any} */ entry, /** @type {number} */ i) =>
  ({ list: "levels", key: `level-${i + 1}`, entry, shape: { at: entry.at }, title: `Level ${entry.level}`, kind: [entry.what ?? "ground", entry.stage ?? "existing"].join(", "), rings: [[entry.at]], size: "" }));

/** @param {any} plan */
export const thingsOf = (plan) => [...landOf(plan), ...waterOf(plan), ...levelsOf(plan)];

/** Whether it is a part of the land or something on it, and no drain. @param {Thing} thing */
export const isOfLand = ({ list }) => list === "features" || list === "regions";

/** The one that is chosen. @param {any} state @returns {Thing | undefined} */
export const chosenThing = ({ plan, thing }) => thing && thingsOf(plan).find(({ list, key }) => list === thing.list && key === thing.key);

/** The change that gives it another shape. @param {Thing} thing @param {any} shape */
export function reshaped({ list, key, entry, shape: was }, shape) {
  if (list === "features" || list === "regions") return { kind: "reshape", list, id: key, shape, was };
  const field = entry.along ? "along" : "at";
  return { kind: "set", list, id: key, field: [field], value: shape.line ?? shape.at, was: entry[field] };
}

/** @param {any} state @param {{change: any, say: any, draw: any, select: any, useOther: any}} base */
export function movesOf(state, { change, say, draw, select, useOther }) {
  const chosen = () => /** @type {Thing} */ (chosenThing(state));

  /** What is chosen, be it a surface or not. */
  function held() {
    const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
    return surface ? { list: "surfaces", key: surface.id, title: surface.title, shape: surface.declared.shape } : chosenThing(state);
  }

  /** @param {string} list @param {string} key */
  const chooseIn = (list, key) => (list === "surfaces" ? select(key) : chooseThing(list, key));

  /** @param {any} shape */
  function placed(shape) {
    if (!shape) { say(whyStill(chosen().shape), true); return undefined; }
    if (JSON.stringify(shape) === JSON.stringify(chosen().shape)) return undefined;
    return change(reshaped(chosen(), shape));
  }

  /** @param {string[]} field @param {any} value */
  function setOfThing(field, value) {
    const { list, key, entry } = chosen();
    return change({ kind: "set", list, id: key, field, value, was: entry[field[0]] ?? null });
  }

  /** @param {string} list @param {string} key */
  function chooseThing(list, key) {
    if (state.tool !== "select") { state.tool = "select"; state.draft = null; }
    else if (state.thing?.list === list && state.thing?.key === key) return;
    state.thing = { list, key };
    state.selected = null;
    state.also.clear();
    draw();
    /** @type {any} */ (document.querySelector(`[data-thing="${CSS.escape(`${list}/${key}`)}"]`))?.focus({ preventScroll: true });
  }

  return {
    thing: () => chosenThing(state),
    chooseThing,
    /** Its shape with one corner pulled to a place, or all of it shifted. @param {number | null} index @param {Point} to */
    thingShape: (index, to) => (index === null ? moved(chosen().shape, ...to) : pulled(chosen().shape, index, to)),
    placeThing: placed,
    /** @param {number} dx @param {number} dy */
    nudgeThing: (dx, dy) => placed(moved(chosen().shape, dx, dy)),
    /** Put a bend into its longest leg. */
    bendThing() {
      const points = corners(chosen().shape);
      const legs = points.slice(1).map(([x, y], i) => Math.hypot(x - points[i][0], y - points[i][1]));
      const at = legs.indexOf(Math.max(...legs));
      const [a, b] = [points[at], points[at + 1]];
      return placed({ line: [...points.slice(0, at + 1), [tidy((a[0] + b[0]) / 2), tidy((a[1] + b[1]) / 2)], ...points.slice(at + 1)] });
    },
    straighten() { const points = corners(chosen().shape); return placed({ line: [points[0], points.at(-1)] }); },
    /** Name, kind or height of a thing on the land. @param {string} field @param {any} value */
    sayOfThing: (field, value) => setOfThing([field], value),
    copyThing() {
      const { list, key, entry, shape } = chosen();
      const next = moved(structuredClone(shape), 2, 2);
      if (!next) { say("It is measured from something else and cannot be copied.", true); return; }
      const id = freeId(key, state.plan[list]);
      change({ kind: "put", list, entry: { ...structuredClone(entry), id, shape: next }, after: key })
        .then((/** @type {boolean} */ done) => { if (done) chooseThing(list, id); });
    },
    dropThing() {
      const { list, key } = chosen();
      state.thing = null;
      return change({ kind: "drop", list, id: key });
    },
    /** Give what is chosen another id, which all that names it follows. @param {string} text */
    async rename(text) {
      const list = state.thing?.list ?? "surfaces";
      const id = state.thing?.key ?? state.selected;
      const to = idOf(text, id);
      if (to === id) { draw(); return; }
      if (await change({ kind: "rename", list, id, to })) chooseIn(list, to);
    },
    /** Begin a hole in what is chosen. */
    hole() {
      const of = held();
      if (!of || !canHaveHoles(of.shape)) { say("Choose an area that is drawn on the plan first.", true); return; }
      useOther({ list: "holes", kind: "hole", title: `a hole in ${of.title}`, of });
    },
    chooseIn,
    /** Draw something that is no surface. @param {import("./kinds.js").Kind} kind @param {any} shape @returns {Promise<{list: string, id: string} | null>} Where it stands; nothing when refused. */
    async putOther(kind, shape) {
      if (kind.list === "levels" && !state.next.level) { say("Write the level in the form first.", true); return null; }
      const { list, id, made } = putAs(kind, state.next, shape, state.plan);
      if (!(await change(made))) return null;
      state.next.title = "";
      return { list, id };
    },
  };
}
