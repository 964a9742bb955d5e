// @ts-check
/** The table of surfaces, the form of the selected one, the toolbar and the line on the file. */

import { kindOf } from "../geometry/shapes.js";
import { byId, el } from "./elements.js";

/** @param {any} state @param {any} acts */
export function drawOutline(state, acts) {
  const rows = state.plan.surfaces.map((/** @type {any} */ s) =>
    el("tr", { class: s.id === state.selected ? "chosen" : "" },
      el("td", {}, s.letter),
      el("th", { scope: "row" }, el("button", { type: "button", "aria-pressed": s.id === state.selected, click: () => acts.select(s.id) }, s.title)),
      el("td", {}, s.material_title), el("td", {}, s.stage_title), el("td", { class: "number" }, s.area)));
  byId("outline-body").replaceChildren(
    el("table", {}, el("thead", {}, el("tr", {}, ...["", "Surface", "Material", "Stage", "Area"].map((t) => el("th", { scope: "col" }, t)))), el("tbody", {}, ...rows)),
    el("p", {}, `Lot: ${state.plan.lot.area}`),
    ...state.plan.notes.map((/** @type {string} */ note) => el("p", { class: "why" }, note)));
}

/** @param {string} id @param {string} name @param {any} field */
const row = (id, name, field) => el("p", { class: "field" }, el("label", { for: id }, name), field);

/** @param {string} id @param {[string, string][]} options @param {string} value @param {(v: string) => void} then */
function chooser(id, options, value, then) {
  return el("select", { id, change: (/** @type {any} */ e) => then(e.target.value) },
    ...options.map(([key, text]) => el("option", { value: key, selected: key === value }, text)));
}

/** @param {string} id @param {string} value @param {(v: string) => void} then */
const typed = (id, value, then) =>
  el("input", { id, value, autocomplete: "off", change: (/** @type {any} */ e) => then(e.target.value.trim()) });

/** @param {any} state @param {any} acts */
export function drawForm(state, acts) {
  const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
  const focused = document.activeElement?.id ?? "";
  byId("selected-title").textContent = surface ? `${surface.letter}: ${surface.title}` : "Nothing selected";
  if (!surface) {
    drawLotForm(state, acts);
    return;
  }
  const entry = surface.declared;
  const materials = state.choices.materials.map((/** @type {any} */ m) => [m.id, m.title]);
  const stages = Object.entries(state.choices.stages);
  const given = entry.attributes ?? {};
  const free = state.choices.attributes.filter((/** @type {any} */ a) => !(a.name in given));
  byId("form").replaceChildren(
    row("field-title", "Name", typed("field-title", entry.title ?? "", (v) => acts.set(["title"], v || null))),
    row("field-material", "Material", chooser("field-material", materials, surface.material, (v) => acts.set(["material"], v))),
    row("field-stage", "Stage", chooser("field-stage", /** @type {any} */ (stages), surface.stage, (v) => acts.set(["stage"], v))),
    ...measures(entry.shape, acts),
    ...Object.entries(given).map(([name, value]) =>
      row(`field-${name}`, name.replaceAll("_", " "), typed(`field-${name}`, shown(value), (v) => acts.set(["attributes", name], answered(v))))),
    row("field-more", "Say more of it", chooser("field-more", [["", "choose"], ...free.map((/** @type {any} */ a) => [a.name, a.title])], "", (v) => { if (v) acts.askFor(v); })),
    el("div", { class: "buttons", role: "group", "aria-label": "This surface" },
      el("button", { type: "button", click: acts.moveByTap }, "Move to a place"),
      el("button", { type: "button", click: acts.copy }, "Copy"),
      el("button", { type: "button", click: acts.tryMaterials }, "Try materials"),
      el("button", { type: "button", click: acts.drop }, "Take away")));
  if (focused.startsWith("field-")) byId(focused)?.focus();
}

const SIDES = ["", "front", "rear", "side", "left", "right", "street"];

/** What is asked of the lot itself while nothing is selected. @param {any} state @param {any} acts */
function drawLotForm(state, acts) {
  const { plan } = state;
  const places = state.choices.places.map((/** @type {string} */ p) => [p, p.replaceAll("-", " ")]);
  if (!state.choices.places.includes(plan.place)) places.unshift([plan.place, plan.place]);
  const open = state.choices.materials.map((/** @type {any} */ m) => [m.id, m.title]);
  byId("form").replaceChildren(
    el("p", {}, "Choose a surface on the plan or in the table, or a tool to draw one."),
    row("field-lot-title", "Title", typed("field-lot-title", plan.titled, (v) => { if (v) acts.setOfFile(["title"], v, plan.titled); })),
    row("field-place", "Rules of", chooser("field-place", places, plan.place, (v) => acts.setOfFile(["place"], v, plan.place))),
    row("field-rest", "All other land", chooser("field-rest", [["", "not said"], ...open], plan.rest_material, (v) => acts.setOfFile(["rest_of_lot"], v || null, plan.rest))),
    ...plan.lot.lines.map((/** @type {any} */ line) =>
      row(`field-line-${line.number}`, `Line ${line.number}: ${line.label}`, chooser(`field-line-${line.number}`,
        SIDES.map((side) => [side, side || "not named"]), line.side, (v) => acts.nameLine(line.number, v)))));
}

/** @param {any} value */
const shown = (value) => (value === true ? "yes" : value === false ? "no" : String(value));

/** @param {string} text */
export const answered = (text) => (text === "" ? null : text === "yes" ? true : text === "no" ? false : text);

/** The measures of a shape as fields. @param {any} shape @param {any} acts */
function measures(shape, acts) {
  const kind = kindOf(shape);
  /** @param {string} id @param {string} name @param {any} value @param {(next: any, v: string) => void} put */
  const field = (id, name, value, put) =>
    row(id, name, typed(id, String(value), (v) => { const next = structuredClone(shape); put(next, v); acts.reshape(next); }));
  const amount = (/** @type {string} */ v) => (/^-?[0-9.]+$/.test(v) ? Number(v) : v);
  if (kind === "rectangle") {
    return [
      field("field-width", "Width", shape.rectangle.size[0], (n, v) => { n.rectangle.size[0] = amount(v); }),
      field("field-depth", "Depth", shape.rectangle.size[1], (n, v) => { n.rectangle.size[1] = amount(v); }),
      field("field-x", "From the left", shape.rectangle.corner[0], (n, v) => { n.rectangle.corner[0] = Number(v); }),
      field("field-y", "From the bottom", shape.rectangle.corner[1], (n, v) => { n.rectangle.corner[1] = Number(v); }),
      field("field-turned", "Turned, degrees", shape.rectangle.turned ?? 0, (n, v) => { n.rectangle.turned = Number(v); }),
    ];
  }
  if (kind === "circle") {
    const by = "radius" in shape.circle ? "radius" : "diameter";
    return [field("field-radius", by === "radius" ? "Radius" : "Diameter", shape.circle[by], (n, v) => { n.circle[by] = v; })];
  }
  if (kind === "strip") return [field("field-wide", "Width", shape.strip.width, (n, v) => { n.strip.width = v; })];
  if (kind === "ring") return [field("field-wide", "Width", shape.ring.width, (n, v) => { n.ring.width = v; })];
  if (kind === "points") {
    return shape.points.map((/** @type {number[]} */ p, /** @type {number} */ i) =>
      field(`field-corner-${i}`, `Corner ${i + 1}`, `${p[0]} ${p[1]}`, (n, v) => {
        const [x, y] = v.split(/[ ,]+/).map(Number);
        n.points[i] = [x, y, ...p.slice(2)];
      }));
  }
  return [el("p", {}, kind === "layer" ? "It follows a layer of the drawing." : "Its shape stands in the file.")];
}

/** @param {any} state @param {any} acts @param {readonly any[]} commands */
export function drawToolbar(state, acts, commands) {
  byId("toolbar").replaceChildren(...commands.map((command) =>
    el("button", {
      type: "button",
      "aria-pressed": command.tool ? state.tool === command.tool : null,
      disabled: command.when ? !command.when(state) : false,
      title: command.keys ? `${command.label} (${command.keys})` : command.label,
      click: () => command.run(acts),
    }, command.label)));
}

/** @param {any} state @param {any} acts */
export function drawFile(state, acts) {
  const { plan } = state;
  byId("title").textContent = plan.title;
  document.title = `${plan.title} - drawing board`;
  byId("file").textContent = `${plan.file}, ${plan.is_saved ? "saved" : "not saved yet (every change is kept)"}`;
  byId("file-actions").replaceChildren(
    el("button", { type: "button", click: acts.save, disabled: plan.is_saved }, "Save"),
    el("button", { type: "button", click: acts.report }, "Report"),
    el("button", { type: "button", click: acts.packet }, "Permit packet"),
    el("button", { type: "button", click: acts.text }, "Site file"));
  const banner = byId("banner");
  banner.hidden = !plan.is_changed_outside && !state.lost;
  banner.replaceChildren(...(state.lost
    ? [el("p", {}, "The board does not answer. Nothing is lost: what was done is kept. Trying again.")]
    : plan.is_changed_outside
      ? [el("p", {}, "The site file was changed elsewhere. Both versions are kept."),
         el("button", { type: "button", click: acts.takeFile }, "Take the file"),
         el("button", { type: "button", click: acts.keepDesign }, "Keep this design")]
      : []));
}
