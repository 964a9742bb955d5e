// @ts-check
/** The form beside the plan: of the selected surface, of one about to be drawn, or of the lot. */

import { button, byId, chooser, el, filled, materialChooser, remembering, row, typed } from "./elements.js";
import { distances, measures, named, overlaps } from "./measures.js";
import { drawNew } from "./new_form.js";
import { upload } from "./start.js";
import { drawThing } from "./thing_form.js";

const DRAWING = ["point", "line", "rectangle", "polygon", "strip", "circle"];

/** @param {any} state @param {any} acts */
export function drawForm(state, acts) {
  const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
  if (DRAWING.includes(state.tool)) { drawNew(state, acts); return; }
  if (acts.thing()) { drawThing(state, acts); return; }
  if (state.also.size) { drawSeveral(state, acts); return; }
  byId("selected-title").textContent = surface ? `${surface.letter}: ${surface.title}` : "The lot";
  if (!surface) {
    drawLotForm(state, acts);
    return;
  }
  const entry = surface.declared;
  const stages = Object.entries(state.choices.stages);
  const given = entry.attributes ?? {};
  const free = state.choices.attributes.filter((/** @type {any} */ a) => !(a.name in given));
  filled(byId("form"),
    row("field-title", "Name", typed("field-title", entry.title ?? "", (v) => acts.set(["title"], v || null), { placeholder: surface.title })),
    materialRow(state, surface.material, acts),
    row("field-stage", "Stage", chooser("field-stage", /** @type {any} */ (stages), surface.stage, (v) => acts.set(["stage"], v))),
    sectionRow(state, entry, acts),
    ...measures(entry.shape, { put: acts.reshape, say: acts.say, tapes: acts.tapes }),
    ...Object.entries(given).map(([name, value]) => attribute(state, acts, name, value)),
    row("field-more", "Say more of it", chooser("field-more", [["", "choose"], ...free.map((/** @type {any} */ a) => [a.name, a.title])], "", (v) => { if (v) acts.askFor(v); })),
    distances(state.distances, `surfaces/${surface.id}`, acts),
    overlaps(state.distances, `surfaces/${surface.id}`, acts),
    joiner(state, acts),
    named(surface.id, acts),
    el("div", { class: "buttons", role: "group", "aria-label": "This surface" },
      button("Move to a place", acts.moveByTap), button("Copy", acts.copy), button("Take away", acts.drop)),
    // Last, so that what comes late moves nothing that a hand is about to press.
    ...counted(state, surface, acts));
}

/** What the surface adds now, and what it would add as each other material. @param {any} state @param {any} surface @param {any} acts */
function counted({ plan, others }, surface, acts) {
  const { title, rows } = plan.verdict?.counts ?? { title: "", rows: {} };
  const now = title ? [el("p", { class: "why" }, `${title}: ${rows[surface.letter] ?? "nothing"}`)] : [];
  if (others?.id !== surface.id || others.revision !== plan.revision) return now;
  return [...now, el("ul", { class: "plain others" }, ...others.rows.map((/** @type {any} */ r) => {
    const says = `${r.says.slice(r.says.indexOf(": ") + 2)}: ${[["passes", "fails"].includes(r.status.kind) ? r.by : r.measured, r.status.word].filter(Boolean).join(", ")}`;
    return el("li", {}, `As ${says} `, button("Take it", () => acts.takeMix(r), { "aria-label": `Take it as ${says}` }));
  }))];
}

const memory = remembering();

/** The material of the selected surface; its long list is made once. @param {any} state @param {string} material @param {any} acts */
function materialRow({ choices }, material, acts) {
  const made = memory.kept("material", [choices], () => row("field-material", "Material", materialChooser("field-material", choices.materials, material, (v) => acts.set(["material"], v))));
  memory.turn();
  made.querySelector("select").value = material;
  return made;
}

/** Several surfaces at once. @param {any} state @param {any} acts */
function drawSeveral(state, acts) {
  const all = acts.all();
  byId("selected-title").textContent = `${all.length} surfaces`;
  const [{ material, stage }] = all;
  const same = (/** @type {string} */ key, /** @type {string} */ value) => (all.every((/** @type {any} */ s) => s[key] === value) ? value : "");
  filled(byId("form"),
    el("p", {}, all.map((/** @type {any} */ s) => s.title).join(", ")),
    row("field-material-all", "Material of all", materialChooser("field-material-all", state.choices.materials, same("material", material), (v) => acts.setAll("material", v), "as they are")),
    row("field-stage-all", "Stage of all", chooser("field-stage-all", [["", "as they are"], .../** @type {any} */ (Object.entries(state.choices.stages))], same("stage", stage), (v) => { if (v) acts.setAll("stage", v); })),
    el("div", { class: "buttons", role: "group", "aria-label": "These surfaces" }, button("Copy all", acts.copyAll), button("Take all away", acts.dropAll)));
}

/** Another surface of the same kind that it can be one with. @param {any} state @param {any} acts */
function joiner({ plan, selected }, acts) {
  const own = plan.surfaces.find((/** @type {any} */ s) => s.id === selected);
  const alike = plan.surfaces.filter((/** @type {any} */ s) => s.id !== selected && s.material === own.material && s.stage === own.stage);
  if (!alike.length) return null;
  return row("field-join", "Join with", chooser("field-join", [["", "choose"], ...alike.map((/** @type {any} */ s) => [s.id, s.title])], "", (v) => { if (v) acts.join(v); }));
}

/** Its pavement section, where the file has any. @param {any} state @param {any} entry @param {any} acts */
function sectionRow({ plan }, entry, acts) {
  const all = Object.entries(plan.parts.sections ?? {});
  if (!all.length) return null;
  return row("field-section", "Pavement section", chooser("field-section", [["", "none"], ...all.map(([id, section]) => /** @type {[string, string]} */ ([id, section.title ?? id]))], entry.section ?? "", (v) => acts.set(["section"], v || null)));
}

/** One attribute of a surface as a field. @param {any} state @param {any} acts @param {string} name @param {any} value */
function attribute(state, acts, name, value) {
  const word = state.choices.attributes.find((/** @type {any} */ a) => a.name === name);
  const put = (/** @type {string} */ v) => acts.set(["attributes", name], answered(v));
  const options = word?.kind === "yes or no" ? ["yes", "no"] : (word?.choices ?? []);
  const field = options.includes(shown(value))
    ? chooser(`field-${name}`, [["", "not said"], ...options.map((/** @type {string} */ o) => [o, o.replaceAll("-", " ")])], shown(value), put)
    : typed(`field-${name}`, shown(value), put);
  const title = word ? word.title.charAt(0).toUpperCase() + word.title.slice(1) : name.replaceAll("_", " ");
  return row(`field-${name}`, title, field);
}

const SIDES = ["", "front", "rear", "side", "left", "right", "street"];

/** What is asked of the lot itself while nothing is selected. @param {any} state @param {any} acts */
function drawLotForm(state, acts) {
  const { plan } = state;
  const open = state.choices.materials.map((/** @type {any} */ m) => [m.id, m.title]);
  filled(byId("form"),
    el("p", {}, "Choose a surface on the plan or in the table, or a tool to draw one."),
    row("field-lot-title", "Title", typed("field-lot-title", plan.titled, (v) => { if (v) acts.setOfFile(["title"], v, plan.titled); })),
placeRow(state, acts),
    el("div", { class: "buttons" }, button("Another place", acts.newPlace), plan.drawing ? button("Layers of the drawing", acts.layers) : null),
    row("field-rest", "All other land", chooser("field-rest", [["", "not said"], ...open], plan.rest_material, (v) => acts.setOfFile(["rest_of_lot"], v || null, plan.rest))),
    ...plan.lot.lines.map((/** @type {any} */ line) =>
      row(`field-line-${line.number}`, `Line ${line.number}: ${line.label}`, chooser(`field-line-${line.number}`,
        SIDES.map((side) => [side, side || "not named"]), line.side, (v) => acts.nameLine(line.number, v)))),
    surveyForm(state, acts));
}

/** The place, by its name, from a list that is searched while typing. @param {any} state @param {any} acts */
function placeRow({ plan, choices }, acts) {
  const now = choices.places.find((/** @type {any} */ p) => p.id === plan.place)?.title ?? plan.place;
  const put = (/** @type {string} */ v) => {
    const place = choices.places.find((/** @type {any} */ p) => p.title === v)?.id ?? v;
    if (place && place !== plan.place) acts.setOfFile(["place"], place, plan.place);
  };
  return el("div", {}, row("field-place", "Rules of", typed("field-place", now, put, { list: "places" })),
    el("datalist", { id: "places" }, ...choices.places.map((/** @type {any} */ p) => el("option", { value: p.title }))));
}

/** The scanned survey below the drawing, and how it is fitted. @param {any} state @param {any} acts */
function surveyForm({ plan, fitting }, acts) {
  const { traced } = plan;
  if (!traced) return row("field-survey", "A scanned survey to trace", upload("field-survey", [".pdf", ".png", ".jpg", ".jpeg"], (file) => acts.handIn("survey", file)), "stacked");
  const ask = fitting?.tool === "survey-turn"
    ? "That line runs (a bearing, or degrees from the right)" : "Their distance";
  return el("fieldset", {}, el("legend", {}, `Survey: ${traced.file}`),
    traced.problem ? el("p", { class: "problem" }, traced.problem) : null,
    traced.pages > 1 ? row("field-page", `Page, of ${traced.pages}`, typed("field-page", String(traced.page), (v) => acts.page(Number(v)), { type: "number", min: "1", max: String(traced.pages) })) : null,
    fitting ? row("field-fit", ask, typed("field-fit", "", (v) => acts.fitTyped(v)), "stacked") : null,
    el("div", { class: "buttons" },
      button("Scale by two points", () => acts.use("survey-scale")), button("Turn by a line", () => acts.use("survey-turn")),
      button("Move", () => acts.use("survey-move")), button("Take the survey away", acts.dropSurvey)));
}

/** @param {any} value */
const shown = (value) => (value === true ? "yes" : value === false ? "no" : String(value));

/** @param {string} text */
export const answered = (text) => (text === "" ? null : text === "yes" ? true : text === "no" ? false : text);
