// @ts-check
/** The form of what is about to be drawn: what it is, and its measures for who knows them. */

import { keyOf, kindsOf, nameOf, waysOf } from "../kinds.js";
import { button, byId, chooser, el, filled, groupedChooser, materialChooser, row, typed } from "./elements.js";

/** The measures that a tool asks for. @type {Record<string, [string, string][]>} */
const MEASURES = {
  point: [["x", "From the left"], ["y", "From the bottom"]],
  rectangle: [["x", "From the left"], ["y", "From the bottom"], ["width", "Width"], ["depth", "Depth"]],
  circle: [["x", "Middle, from the left"], ["y", "Middle, from the bottom"], ["radius", "Radius"]],
};

const TITLES = { rectangle: "A new rectangle", polygon: "A new polygon", strip: "A new walk", circle: "A new circle" };

/** @param {any} state @param {any} acts */
export function drawNew(state, acts) {
  const { next, tool } = state;
  const measures = MEASURES[tool] ?? [];
  byId("selected-title").textContent = next.other ? `Not drawn yet: ${nameOf(next.other)}` : TITLES[/** @type {"circle"} */ (tool)] ?? "";
  filled(byId("form"), el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); acts.drawTyped(measures.map(([key]) => byId(`new-${key}`).value)); } },
    ...(next.other ? otherRows(state, acts) : surfaceRows(state, acts)),
    tool === "strip" ? row("new-width", "Width", typed("new-width", next.width, (v) => { next.width = v; })) : null,
    ...measures.map(([key, name]) => row(`new-${key}`, name, typed(`new-${key}`, next.given[key] ?? "", (v) => { next.given[key] = v; }, { inputmode: "decimal" }))),
    measures.length ? el("div", { class: "buttons" }, el("button", {}, "Draw it"), button("Done", () => acts.use("select"))) : null,
    el("p", { class: "why" }, measures.length ? "Or draw it on the plan." : "Draw it on the plan; lengths can be typed below it.")));
}

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
function otherRows({ next, choices, plan, tool }, acts) {
  const groups = kindsOf(choices, plan);
  const all = new Map(groups.flatMap(([, kinds]) => kinds).map((kind) => [keyOf(kind), kind]));
  return [
    row("new-kind", "What it is", groupedChooser("new-kind", groups.map(([heading, kinds]) => [heading, kinds.map((kind) => [keyOf(kind), nameOf(kind)])]), keyOf(next.other), (v) => acts.useOther(all.get(v)))),
    row("new-way", "Drawn as", chooser("new-way", waysOf(next.other), tool, (v) => acts.useOther(next.other, v))),
    row("new-title", "Name", typed("new-title", next.title, (v) => { next.title = v; }, { placeholder: nameOf(next.other) })),
  ];
}
