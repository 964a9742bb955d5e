// @ts-check
/** What can be on or about a lot besides surfaces, and how each is drawn as a rule. */

import { freeId, idOf } from "./drafts.js";

/** How something is drawn. @type {Record<string, string>} */
export const WAYS = { point: "a point", line: "a line", rectangle: "a rectangle", polygon: "corner by corner", circle: "a circle", strip: "a strip along a line" };

/** What is no area as a rule. @type {Record<string, string>} */
const USUAL = {
  well: "point", "septic-tank": "point", tree: "point", utility: "line", wall: "line", fence: "line", barrier: "line", shoreline: "line", stream: "line",
  "slope-toe": "line", "overhead-line": "line", "gas-line": "line", "water-line": "line", "sewer-line": "line", "erosion-control": "line",
};

/** @typedef {{list: string, kind: string, id?: string, title?: string}} Kind */

/** The way in which a kind of thing is drawn first. @param {Kind} thing */
export const usualWay = ({ list, kind }) => (list === "features" ? USUAL[kind] ?? "polygon" : kind === "easement" ? "strip" : "polygon");

/** All ways in which it can be drawn: a part of the land is an area. @param {Kind} thing @returns {[string, string][]} */
export const waysOf = ({ list }) => Object.entries(WAYS).filter(([way]) => list === "features" || !["point", "line"].includes(way));

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
  ];
}

/** The change that draws one; more of what the rules know by name is one with it. @param {Kind} thing @param {string} title @param {any} shape @param {any} plan */
export function putAs({ list, kind, id: known, title: usual }, title, shape, plan) {
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
