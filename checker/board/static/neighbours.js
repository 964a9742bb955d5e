// @ts-check
/** How what is chosen lies to its neighbours: how far off, over or under them, measured from them, joined with them. */

import { isOfLand } from "./moving_things.js";
import { call } from "./server.js";
import { inHand } from "./view/plan_svg.js";

/** @param {any} state @param {{posted: any, say: any, draw: any, nudge: any}} base */
export function neighboursOf(state, { posted, say, draw, nudge }) {
  return {
    /** What things can be measured from, as of the plan that is shown; it comes a moment later. @returns {any[]} */
    tapes() {
      const { revision } = state.plan;
      if (state.tapes.revision !== revision) {
        state.tapes.revision = revision;
        call("/tapes").then((/** @type {any} */ found) => { state.tapes = found; draw(); }).catch(() => undefined);
      }
      return state.tapes.tapes;
    },
    /** Let one surface lie over another. @param {string} upper @param {string} lower */
    putOver(upper, lower) {
      const title = (/** @type {string} */ id) => state.plan.surfaces.find((/** @type {any} */ s) => s.id === id)?.title ?? id;
      return posted("/over", () => ({ upper, lower }), () => `${title(upper)} lies over ${title(lower)} now`);
    },
    /** @param {string} other */
    join: (other) => posted("/join", () => ({ surfaces: [state.selected, other] }), "They are one"),
    /** Put the selected surface so far from a line or a building. @param {any} row @param {number} to */
    distance(row, to) {
      if (!Number.isFinite(to)) { say("Write the distance as a number.", true); return; }
      const by = to - row.value;
      nudge(row.away[0] * by, row.away[1] * by);
    },
    /** Fetch how far the selected surface is from lines and buildings. */
    async measure() {
      const of = inHand(state);
      const { revision } = state.plan;
      if (!of || (state.thing && !isOfLand(state.thing)) || (state.distances?.of === of && state.distances.revision === revision)) return;
      const [list, key] = [of.slice(0, of.indexOf("/")), of.slice(of.indexOf("/") + 1)];
      const found = await call(`/distances/${list}/${encodeURIComponent(key)}`).catch(() => null);
      if (!found || of !== inHand(state) || found.revision !== state.plan.revision) return;
      state.distances = { of, ...found };
      draw();
    },
  };
}
