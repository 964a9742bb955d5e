// @ts-check
/** What can be on or about a lot besides surfaces, and how each is drawn as a rule. */

import { freeId, idOf } from "./drafts.js";
import { withHoles } from "./geometry/shapes.js";

/** How something is drawn. @type {Record<string, string>} */
export const WAYS = { point: "a point", line: "a line", rectangle: "a rectangle", polygon: "corner by corner", circle: "a circle", strip: "a strip along a line" };

/** What is no area as a rule. @type {Record<string, string>} */
const USUAL = {
  well: "point", "septic-tank": "point", tree: "point", utility: "line", wall: "line", fence: "line", barrier: "line", shoreline: "line", stream: "line",
  "slope-toe": "line", "overhead-line": "line", "gas-line": "line", "water-line": "line", "sewer-line": "line", "erosion-control": "line",
};

/** What is drawn besides surfaces; a hole is of the thing that it is cut out of. @typedef {{list: string, kind: string, id?: string, title?: string, of?: any}} Kind */

/** The way in which a kind of thing is drawn first. @param {Kind} thing */
export function usualWay({ list, kind }) {
  if (list === "features") return USUAL[kind] ?? "polygon";
  if (list === "levels") return "point";
  return list === "holes" ? "rectangle" : kind === "easement" ? "strip" : "polygon";
}

/** All ways in which it can be drawn: a part of the land is an area, a level holds at a point. @param {Kind} thing @returns {[string, string][]} */
export function waysOf({ list }) {
  const isLeft = (/** @type {string} */ way) => list === "features" || (list === "levels" ? way === "point" : !["point", "line"].includes(way));
  return Object.entries(WAYS).filter(([way]) => isLeft(way));
}

/** @param {string} kind */
export const words = (kind) => kind.replaceAll("-", " ");

/** @param {Kind} thing */
export const nameOf = ({ kind, title }) => title ?? (kind === "other" ? "something else" : words(kind));

/** As one word of a list to choose from. @param {Kind} thing */
export const keyOf = ({ list, kind, id }) => [list, kind, id].filter(Boolean).join("/");

/** What can be chosen, under two headings; what the rules of the place ask for by name comes first. @param {any} choices @param {any} plan @returns {[string, Kind[]][]} */
export function kindsOf({ kinds }, { asked_regions: asked }) {
  return [
    ["Parts of the land", [...asked.map((/** @type {any} */ r) => ({ list: "regions", kind: "overlay", ...r })),
      ...kinds.regions.map((/** @type {string} */ kind) => ({ list: "regions", kind }))]],
    ["Things on or near the lot", kinds.features.map((/** @type {string} */ kind) => ({ list: "features", kind }))],
    ["Spot levels", kinds.levels.map((/** @type {string} */ kind) => ({ list: "levels", kind, title: `level of ${kind.startsWith("lot") ? "a" : "the"} ${kind}` }))],
  ];
}

/** The change that draws one, and where it stands then. @param {Kind} thing @param {any} next What the form of a new thing says. @param {any} shape @param {any} plan @returns {{list: string, id: string, made: any}} */
export function putAs(thing, next, shape, plan) {
  if (thing.list === "holes") {
    const { list, key, shape: was } = thing.of;
    return { list, id: key, made: { kind: "reshape", list, id: key, shape: withHoles(was, [...(was.holes ?? []), shape]), was } };
  }
  if (thing.list === "levels") {
    const { level, stage } = next;
    const entry = { at: shape.at, level: numeric(level), ...(thing.kind === "ground" ? {} : { what: thing.kind }), ...(stage === "proposed" ? { stage } : {}) };
    return { list: "levels", id: `level-${(plan.parts.levels ?? []).length + 1}`, made: { kind: "put", list: "levels", entry, after: null } };
  }
  return { list: thing.list, ...putNamed(thing, next.title, shape, plan) };
}

/** A number where it is one, else the text. @param {string} text */
export const numeric = (text) => (/^-?[0-9]+(\.[0-9]*)?$/.test(text) ? Number(text) : text);

/** More of what the rules know by name is one with it. @param {Kind} thing @param {string} title @param {any} shape @param {any} plan */
function putNamed({ list, kind, id: known, title: usual }, title, shape, plan) {
  const stem = title || usual || words(kind);
  const before = plan[list].find((/** @type {any} */ view) => view.id === known)?.declared;
  const id = known ?? freeId(idOf(stem, "thing"), plan[list]);
  const name = title || usual;
  const entry = { id, ...(name && words(id) !== name.toLowerCase() ? { title: name } : {}), kind, shape };
  const made = before
    ? { kind: "reshape", list, id, shape: { parts: [...(before.shape.parts ?? [before.shape]), shape] }, was: before.shape }
    : { kind: "put", list, entry, after: plan[list].at(-1)?.id ?? null };
  return { id, made };
}
