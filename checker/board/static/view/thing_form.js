// @ts-check
/** The form of a thing on the plan that is no surface: a well, an easement, a drain. */

import { isOfLand } from "../moving_things.js";
import { words } from "../kinds.js";
import { button, byId, chooser, filled, el, row, typed } from "./elements.js";
import { distances, measures } from "./measures.js";

/** @param {any} state @param {any} acts */
export function drawThing(state, acts) {
  const thing = acts.thing();
  byId("selected-title").textContent = thing.title.toLowerCase() === thing.kind ? thing.title : `${thing.title}: ${thing.kind}`;
  filled(byId("form"), ...(isOfLand(thing) ? ofLand(thing, state, acts) : ofWater(thing, acts)));
}

/** @param {any} thing @param {any} state @param {any} acts */
function ofLand({ list, key, entry, shape, title, size }, state, acts) {
  const kinds = state.choices.kinds[list].map((/** @type {string} */ kind) => [kind, words(kind)]);
  const say = (/** @type {string} */ field) => (/** @type {string} */ v) => acts.sayOfThing(field, v || null);
  const isHigh = entry.kind === "barrier" || entry.height !== undefined;
  return [
    row("field-title", "Name", typed("field-title", entry.title ?? "", say("title"), { placeholder: title })),
    row("field-kind", "What it is", chooser("field-kind", kinds, entry.kind, say("kind"))),
    ...measures(shape, acts.placeThing, acts.say),
    ...(isHigh ? [row("field-height", "Height", typed("field-height", entry.height ?? "", say("height"))), row("field-ground", "Level of the ground it is measured from", typed("field-ground", entry.ground ?? "", say("ground")))] : []),
    size ? el("p", { class: "why" }, `Drawn: ${size}`) : null,
    distances(state.distances, `${list}/${key}`, acts),
    el("div", { class: "buttons", role: "group", "aria-label": "This thing" },
      button("Move to a place", acts.moveByTap), button("Copy", acts.copyThing), button("Take away", acts.dropThing)),
  ];
}

/** @param {any} thing @param {any} acts */
function ofWater({ key, shape }, acts) {
  const points = shape.line?.length ?? 1;
  return [
    ...measures(shape, acts.placeThing, acts.say),
    el("p", {}, "Arrow keys move it; drag it or its ends. Its sizes and levels stand under Drainage."),
    el("div", { class: "buttons", role: "group", "aria-label": "This thing" },
      ...(points > 1 ? [button("Put a bend in", acts.bendThing)] : []), ...(points > 2 ? [button("Make it straight", acts.straighten)] : []),
      button("Sizes and levels", acts.drainage), button(`Take ${key} off the plan`, acts.dropThing)),
  ];
}
