// @ts-check
/** The form of a surface about to be drawn: what it is, and its measures for who knows them. */

import { button, byId, chooser, el, filled, materialChooser, row, typed } from "./elements.js";

/** The measures that a tool asks for. @type {Record<string, [string, string][]>} */
const MEASURES = {
  rectangle: [["x", "From the left"], ["y", "From the bottom"], ["width", "Width"], ["depth", "Depth"]],
  circle: [["x", "Middle, from the left"], ["y", "Middle, from the bottom"], ["radius", "Radius"]],
};

const TITLES = { rectangle: "A new rectangle", polygon: "A new polygon", strip: "A new walk", circle: "A new circle" };

/** @param {any} state @param {any} acts */
export function drawNew(state, acts) {
  const { next } = state;
  const stages = Object.entries(state.choices.stages).filter(([key]) => key !== "replaced");
  const measures = MEASURES[state.tool] ?? [];
  byId("selected-title").textContent = TITLES[/** @type {"circle"} */ (state.tool)] ?? "";
  filled(byId("form"), el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); acts.drawTyped(measures.map(([key]) => byId(`new-${key}`).value)); } },
    row("new-title", "Name", typed("new-title", next.title, (v) => { next.title = v; acts.guess(v); })),
    row("new-material", "Material", materialChooser("new-material", state.choices.materials, next.material, (v) => { next.material = v; })),
    row("new-stage", "Stage", chooser("new-stage", /** @type {any} */ (stages), next.stage, (v) => { next.stage = v; })),
    state.tool === "strip" ? row("new-width", "Width", typed("new-width", next.width, (v) => { next.width = v; })) : null,
    ...measures.map(([key, name]) => row(`new-${key}`, name, typed(`new-${key}`, next.given[key] ?? "", (v) => { next.given[key] = v; }, { inputmode: "decimal" }))),
    measures.length ? el("div", { class: "buttons" }, el("button", {}, "Draw it"), button("Done", () => acts.use("select"))) : null,
    el("p", { class: "why" }, measures.length ? "Or draw it on the plan." : "Draw it on the plan; lengths can be typed below it.")));
}
