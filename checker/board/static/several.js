// @ts-check
/** Several surfaces at once: chosen together, and moved, copied, laid anew or taken away as one step. */

import { freeId } from "./drafts.js";
import { kindOf, moved } from "./geometry/shapes.js";

/** @param {any} state @param {{change: any, say: any, draw: any}} base */
export function severalOf(state, { change, say, draw }) {
  /** All that are chosen, in the order of the file. @returns {any[]} */
  const all = () => state.plan.surfaces.filter((/** @type {any} */ s) => state.also.has(s.id) || s.id === state.selected);
  const count = () => `${all().length} surfaces`;
  const coreOf = (/** @type {any} */ s) => s.declared.shape.ring?.around;

  /** Those drawn round another one that is chosen too follow it. @param {any[]} surfaces @param {number} dx @param {number} dy */
  function shifts(surfaces, dx, dy) {
    const ids = new Set(surfaces.map((s) => s.id));
    const own = surfaces.filter((s) => !ids.has(coreOf(s)));
    const changes = own.map(({ declared }) => ({ kind: "reshape", list: "surfaces", id: declared.id, shape: moved(declared.shape, dx, dy), was: declared.shape }));
    return changes.every((one) => one.shape) ? changes : null;
  }

  return {
    all,
    /** @param {string} id */
    alsoChoose(id) {
      if (id === state.selected) {
        const [next] = state.also;
        state.also.delete(next);
        state.selected = next ?? null;
      } else if (state.also.has(id)) state.also.delete(id);
      else if (state.selected) state.also.add(id);
      else state.selected = id;
      state.thing = null;
      say(all().length ? `${count()} chosen.` : "Nothing is chosen.");
      draw();
    },
    several() {
      state.isSeveral = !state.isSeveral;
      if (!state.isSeveral) state.also.clear();
      say(state.isSeveral ? "Tap each surface that is to be chosen, on the plan or in the table." : "One surface at a time.");
      draw();
    },
    /** What moving them gives, for the picture while the hand moves. @param {number} dx @param {number} dy */
    shiftAll(dx, dy) {
      const changes = shifts(all(), dx, dy);
      return changes && { kind: "group", changes, says: `${count()} moved` };
    },
    /** @param {number} dx @param {number} dy */
    nudgeAll(dx, dy) {
      const group = this.shiftAll(dx, dy);
      if (group) return change(group);
      say("One of them follows something else; move that.", true);
      return undefined;
    },
    copyAll() {
      /** @type {Map<string, string>} */
      const names = new Map();
      const taken = [...state.plan.surfaces];
      for (const { id } of all()) {
        names.set(id, freeId(id, taken));
        taken.push({ id: names.get(id) });
      }
      const changes = all().map((s) => {
        const shape = names.has(coreOf(s)) ? { ...structuredClone(s.declared.shape), ring: { ...s.declared.shape.ring, around: names.get(coreOf(s)) } } : moved(s.declared.shape, 2, 2);
        return { kind: "put", list: "surfaces", entry: { ...structuredClone(s.declared), id: names.get(s.id), shape }, after: all().at(-1).id };
      });
      if (changes.some((one) => !one.entry.shape)) { say("One of them follows something else and cannot be copied.", true); return; }
      // Each stands behind the last chosen one, so that the last put comes first.
      change({ kind: "group", changes: changes.reverse(), says: `${count()} copied` }).then((/** @type {boolean} */ done) => {
        if (!done) return;
        const [first, ...rest] = names.values();
        state.selected = first;
        state.also = new Set(rest);
        draw();
      });
    },
    dropAll() {
      // What is drawn round another one goes first.
      const changes = all().sort((a, b) => Number(kindOf(b.declared.shape) === "ring") - Number(kindOf(a.declared.shape) === "ring"))
        .map(({ id }) => ({ kind: "drop", list: "surfaces", id }));
      change({ kind: "group", changes, says: `${count()} taken away` }).then((/** @type {boolean} */ done) => {
        if (!done) return;
        state.also.clear();
        state.selected = null;
        draw();
      });
    },
    /** @param {string} field @param {string} value */
    setAll(field, value) {
      const changes = all().filter((s) => (s.declared[field] ?? null) !== value)
        .map(({ declared }) => ({ kind: "set", list: "surfaces", id: declared.id, field: [field], value, was: declared[field] ?? null }));
      if (changes.length) change({ kind: "group", changes, says: `${field} of ${count()}: ${value.replaceAll("-", " ")}` });
    },
  };
}
