// @ts-check
/** The form of what is about to be drawn: what it is, and its measures for who knows them. */

import { keyOf, kindsOf, nameOf, waysOf } from "../kinds.js";
import { axes } from "./measures.js";
import { button, byId, chooser, el, filled, groupedChooser, materialChooser, row, typed } from "./elements.js";

/** The measures that a tool asks for. @type {Record<string, [string, string][]>} */
const MEASURES = {
  point: [["x", ""], ["y", ""]],
  rectangle: [["x", ""], ["y", ""], ["width", "Width"], ["depth", "Depth"]],
  circle: [["x", "Middle, "], ["y", "Middle, "], ["radius", "Radius"]],
};

const TITLES = { rectangle: "A new rectangle", polygon: "A new polygon", strip: "A new walk", circle: "A new circle" };

/** @param {any} state @param {any} acts */
export function drawNew(state, acts) {
  const { next, tool } = state;
  const from = canBeTaped(state) ? acts.tapes().find((/** @type {any} */ tape) => tape.title === next.from) : null;
  const [along, off] = axes(from);
  const measures = (MEASURES[tool] ?? []).map(([key, name]) => [key, key === "x" || key === "y" ? heading(`${name}${(key === "x" ? along : off).toLowerCase()}`) : name]);
  const texts = () => measures.map(([key]) => byId(`new-${key}`).value || (key === "x" && from && tool !== "rectangle" ? String(from.middle) : ""));
  byId("selected-title").textContent = next.other ? `Not drawn yet: ${nameOf(next.other)}` : TITLES[/** @type {"circle"} */ (tool)] ?? "";
  filled(byId("form"), el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); acts.drawTyped({ texts: texts(), from }); } },
    ...(next.other ? otherRows(state, acts) : surfaceRows(state, acts)),
    tool === "strip" ? row("new-width", "Width", typed("new-width", next.width, (v) => { next.width = v; })) : null,
    measures.length && canBeTaped(state) ? row("new-from", "Measured from", chooser("new-from", [["", "the corner of the plan"], ...acts.tapes().map((/** @type {any} */ t) => [t.title, t.title])], next.from ?? "", (v) => { next.from = v; drawNew(state, acts); })) : null,
    ...measures.map(([key, name]) => row(`new-${key}`, name, typed(`new-${key}`, next.given[key] ?? "", (v) => { next.given[key] = v; }, { inputmode: "decimal", ...(key === "x" && from && tool !== "rectangle" ? { placeholder: `${from.middle}, its middle` } : {}) }))),
    from ? el("p", { class: "why" }, "Along it from its first corner, off it square to it. It goes with the line or wall when that is moved.") : null,
    measures.length ? el("div", { class: "buttons" }, el("button", {}, "Draw it"), button("Done", () => acts.use("select"))) : null,
    el("p", { class: "why" }, measures.length ? "Or draw it on the plan." : "Draw it on the plan; lengths can be typed below it.")));
}

/** Whether it can be measured from a line or wall: levels and holes lie where the plan says. @param {any} state */
const canBeTaped = ({ next: { other } }) => !["levels", "holes"].includes(other?.list);

/** @param {string} text */
const heading = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {any} state @param {any} acts */
function surfaceRows({ next, choices }, acts) {
  const stages = Object.entries(choices.stages).filter(([key]) => key !== "replaced");
  return [
    row("new-title", "Name", typed("new-title", next.title, (v) => { next.title = v; acts.guess(v); })),
    row("new-material", "Material", materialChooser("new-material", choices.materials, next.material, (v) => { next.material = v; })),
    row("new-stage", "Stage", chooser("new-stage", /** @type {any} */ (stages), next.stage, (v) => { next.stage = v; })),
  ];
}

/** @param {any} state @param {any} acts */
function otherRows(state, acts) {
  const { next, choices, plan, tool } = state;
  const groups = kindsOf(choices, plan);
  const all = new Map(groups.flatMap(([, kinds]) => kinds).map((kind) => [keyOf(kind), kind]));
  const way = row("new-way", "Drawn as", chooser("new-way", waysOf(next.other), tool, (v) => acts.useOther(next.other, v)));
  if (next.other.list === "holes") return [way];
  return [
    row("new-kind", "What it is", groupedChooser("new-kind", groups.map(([heading, kinds]) => [heading, kinds.map((kind) => [keyOf(kind), nameOf(kind)])]), keyOf(next.other), (v) => acts.useOther(all.get(v)))),
    ...(next.other.list === "levels" ? levelRows(state) : [way,
      row("new-title", "Name", typed("new-title", next.title, (v) => { next.title = v; }, { placeholder: nameOf(next.other) }))]),
  ];
}

/** @param {any} state */
const levelRows = ({ next }) => [
  row("new-level", "Level", typed("new-level", next.level, (v) => { next.level = v; }, { inputmode: "decimal", placeholder: "e.g. 99.6" })),
  row("new-stage", "Stage", chooser("new-stage", [["existing", "existing"], ["proposed", "proposed"]], next.stage, (v) => { next.stage = v; })),
];
