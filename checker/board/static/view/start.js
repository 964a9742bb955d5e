// @ts-check
/** The first page of a design that has nothing yet: the job, and the ways to put the lot down. */

import { button, byId, chooser, el, filled, row, typed } from "./elements.js";

const STREETS = [["1", "along the bottom"], ["2", "along the right"], ["3", "along the top"], ["4", "along the left"], ["", "not said"]];

/** @param {string} id @param {string} title @param {...any} inside */
const way = (id, title, ...inside) => el("section", { class: "way", "aria-labelledby": id }, el("h3", { id }, title), ...inside);

/** Whether the design has nothing yet, and no tool has been taken up. @param {any} state */
export const isStarting = (state) =>
  !state.isBegun && !state.plan.lot.is_chosen && state.plan.surfaces.length === 0 && !state.plan.traced;

/** @param {any} state @param {any} acts */
export function drawStart(state, acts) {
  const room = byId("start");
  const isOn = isStarting(state);
  for (const id of ["plan-room", "toolbar", "beside", "below"]) byId(id).hidden = isOn;
  if (room.hidden === !isOn && room.childElementCount) return;
  room.hidden = !isOn;
  byId("form").replaceChildren();
  if (!isOn) { room.replaceChildren(); return; }
  const { plan, choices } = state;
  const places = choices.places.map((/** @type {any} */ p) => el("option", { value: p.title }));
  const now = choices.places.find((/** @type {any} */ p) => p.id === plan.place);
  const begin = (/** @type {() => any} */ lot) => () => acts.begin(head(state), lot());
  const value = (/** @type {string} */ id) => byId(id).value.trim();
  filled(room,
    el("h2", {}, "A new design"),
    el("div", { class: "columns" },
      way("start-job", "The job",
        row("start-title", "Title", typed("start-title", plan.titled)),
        row("start-place", "Rules of", el("input", { id: "start-place", list: "places", value: now?.title ?? plan.place, autocomplete: "off" })),
        el("datalist", { id: "places" }, ...places),
        row("start-units", "Lengths in", chooser("start-units", [["ft", "feet"], ["m", "metres"]], plan.unit)),
        row("start-rest", "Land without paving", chooser("start-rest", state.choices.materials.filter((/** @type {any} */ m) => m.nature === "open").map((/** @type {any} */ m) => [m.id, m.title]), "lawn"))),
      way("start-box", "The lot is a rectangle",
        row("start-width", "Width", typed("start-width", "", undefined, { inputmode: "decimal" })),
        row("start-depth", "Depth", typed("start-depth", "", undefined, { inputmode: "decimal" })),
        row("start-street", "The street runs", chooser("start-street", /** @type {any} */ (STREETS), "1")),
        el("div", { class: "buttons" }, button("Draw the lot", begin(() => ({ width: value("start-width"), depth: value("start-depth"), street: value("start-street") }))))),
      way("start-deed", "Its deed gives courses",
        row("start-courses", "One course a line", el("textarea", { id: "start-courses", rows: "4", placeholder: "N 26°10'00\" E 285.10'" }), "stacked"),
        el("div", { class: "buttons" }, button("Draw the deed", begin(() => ({ courses: value("start-courses") }))))),
      way("start-corners", "Its corners are known",
        el("p", {}, "Tap each corner, or type each step to the right and up."),
        el("div", { class: "buttons" }, button("Draw corner by corner", begin(() => ({ corners: true }))))),
      way("start-drawing", "There is a drawing of the survey",
        row("start-file", `A file: ${choices.drawings.join(", ")}`, upload("start-file", choices.drawings, (file) => acts.begin(head(state), { drawing: file })), "stacked")),
      way("start-scan", "There is a scanned survey to trace",
        row("start-picture", "A PDF, PNG or JPEG", upload("start-picture", [".pdf", ".png", ".jpg", ".jpeg"], (file) => acts.begin(head(state), { picture: file })), "stacked")),
      way("start-sample", "Try an invented lot first",
        row("start-name", "Sample", chooser("start-name", choices.samples.map((/** @type {any} */ s) => [s.name, s.title]), "fernhollow-before")),
        el("div", { class: "buttons" }, button("Take the sample", () => acts.takeSample(value("start-name")))))));
}

/** @param {string} id @param {string[]} endings @param {(file: File) => void} then */
export const upload = (id, endings, then) =>
  el("input", { id, type: "file", accept: endings.join(","), change: (/** @type {any} */ e) => { if (e.target.files[0]) then(e.target.files[0]); } });

/** What was answered of the job. @param {any} state */
function head(state) {
  const asked = byId("start-place").value.trim();
  const place = state.choices.places.find((/** @type {any} */ p) => p.title === asked)?.id ?? asked;
  return { title: byId("start-title").value.trim(), place, units: byId("start-units").value, rest: byId("start-rest").value };
}
