// @ts-check
/** What a person says of the lot, its lines and surfaces, and what answers the open questions. */

import { byId, el } from "./view/elements.js";
import { answered } from "./view/form.js";

/** @param {any} state @param {{change: any, set: any, useOther: any}} base */
export function answersOf(state, { change, set, useOther }) {
  /** @param {string[]} field @param {any} value @param {any} was */
  const setOfFile = (field, value, was) => change({ kind: "set", list: "", id: "", field, value, was: was ?? null });

  return {
    setOfFile,
    /** Give a lot line a name, or take it away. @param {number} number @param {string} side */
    nameLine(number, side) {
      /** @type {Record<string, number[]>} */
      const sides = {};
      for (const line of state.plan.lot.lines) {
        const name = line.number === number ? side : line.side;
        if (name) (sides[name] ??= []).push(line.number);
      }
      return setOfFile(["lot", "sides"], Object.keys(sides).length ? sides : null, state.plan.lot.sides);
    },
    /** @param {string} name */
    askFor(name) {
      const word = state.choices.attributes.find((/** @type {any} */ a) => a.name === name);
      const first = word.kind === "yes or no" ? false : word.choices[0];
      if (first !== undefined) { set(["attributes", name], first); return; }
      const field = el("input", { id: "field-new", autocomplete: "off", change: (/** @type {any} */ e) => set(["attributes", name], answered(e.target.value.trim())) });
      byId("form").append(el("p", { class: "field" }, el("label", { for: "field-new" }, word.title), field));
      field.focus();
    },
    /** @param {any} ask @param {string} value */
    answer(ask, value) {
      const told = answered(value.trim());
      if (told === null) return undefined;
      if (ask.of) return set(["attributes", ask.name], told, ask.of);
      return setOfFile(["facts", ask.name], told, state.plan.facts[ask.name]);
    },
    /** Draw what was asked for. @param {any} ask */
    drawAsked: (ask) => useOther(ask.draws),
    /** Say that it was looked for and is not there. @param {any} ask */
    noneOf(ask) {
      const was = state.plan.none_found;
      return setOfFile(["none_found"], [...was, ask.name], was.length ? was : null);
    },
  };
}
