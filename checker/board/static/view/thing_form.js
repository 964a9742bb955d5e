// @ts-check
/** The form of a thing on the plan that is no surface: a well, an easement, a drain. */

import { isOfLand } from "../moving_things.js";
import { nameOf, numeric, words } from "../kinds.js";
import { button, byId, chooser, filled, el, row, typed } from "./elements.js";
import { distances, measures, named } from "./measures.js";

/** @param {any} state @param {any} acts */
export function drawThing(state, acts) {
  const thing = acts.thing();
  byId("selected-title").textContent = thing.title.toLowerCase() === thing.kind ? thing.title : `${thing.title}: ${thing.kind}`;
  filled(byId("form"), ...(isOfLand(thing) ? ofLand(thing, state, acts) : thing.list === "levels" ? ofLevel(thing, state, acts) : ofWater(thing, acts)));
}

/** @param {any} thing @param {any} state @param {any} acts */
function ofLand({ list, key, entry, shape, title, size }, state, acts) {
  const kinds = state.choices.kinds[list].map((/** @type {string} */ kind) => [kind, words(kind)]);
  const say = (/** @type {string} */ field) => (/** @type {string} */ v) => acts.sayOfThing(field, v || null);
  const isHigh = entry.kind === "barrier" || entry.height !== undefined;
  return [
    row("field-title", "Name", typed("field-title", entry.title ?? "", say("title"), { placeholder: title })),
    row("field-kind", "What it is", chooser("field-kind", kinds, entry.kind, say("kind"))),
    ...measures(shape, { put: acts.placeThing, say: acts.say, tapes: acts.tapes }),
    ...(isHigh ? [row("field-height", "Height", typed("field-height", entry.height ?? "", say("height"))), row("field-ground", "Level of the ground it is measured from", typed("field-ground", entry.ground ?? "", say("ground")))] : []),
    size ? el("p", { class: "why" }, `Drawn: ${size}`) : null,
    distances(state.distances, `${list}/${key}`, acts),
    named(key, acts),
    el("div", { class: "buttons", role: "group", "aria-label": "This thing" },
      button("Move to a place", acts.moveByTap), button("Copy", acts.copyThing), button("Take away", acts.dropThing)),
  ];
}

/** @param {any} thing @param {any} state @param {any} acts */
function ofLevel({ entry, shape }, state, acts) {
  const kinds = state.choices.kinds.levels.map((/** @type {string} */ kind) => [kind, nameOf({ list: "levels", kind })]);
  const say = (/** @type {string} */ field, /** @type {string} */ usual) => (/** @type {string} */ v) => acts.sayOfThing(field, v === usual ? null : v);
  return [
    row("field-level", "Level", typed("field-level", String(entry.level), (v) => { if (v) acts.sayOfThing("level", numeric(v)); })),
    row("field-kind", "Level of", chooser("field-kind", kinds, entry.what ?? "ground", say("what", "ground"))),
    row("field-stage", "Stage", chooser("field-stage", [["existing", "existing"], ["proposed", "proposed"]], entry.stage ?? "existing", say("stage", "existing"))),
    ...measures(shape, { put: acts.placeThing, say: acts.say }),
    el("div", { class: "buttons", role: "group", "aria-label": "This level" }, button("Move to a place", acts.moveByTap), button("Take away", acts.dropThing)),
  ];
}

/** @param {any} thing @param {any} acts */
function ofWater({ list, key, shape }, acts) {
  const points = shape.line?.length ?? 1;
  return [
    ...measures(shape, { put: acts.placeThing, say: acts.say }),
    ...(list === "panels" ? [] : [named(key, acts)]),
    el("p", {}, "Arrow keys move it; drag it or its ends. Its sizes and levels stand under Drainage."),
    el("div", { class: "buttons", role: "group", "aria-label": "This thing" },
      ...(points > 1 ? [button("Put a bend in", acts.bendThing)] : []), ...(points > 2 ? [button("Make it straight", acts.straighten)] : []),
      button("Sizes and levels", acts.drainage), button(`Take ${key} off the plan`, acts.dropThing)),
  ];
}
