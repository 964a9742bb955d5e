// @ts-check
/** The table of surfaces, the toolbar and the line on the file. */

import { button, byId, el, filled, patched, remembering, table, tableRow } from "./elements.js";
import { landOf, levelsOf } from "../moving_things.js";
import { isStarting } from "./start.js";

const memory = remembering();

/** @param {any} state @param {any} acts */
export function drawOutline(state, acts) {
  const { surfaces, lot, notes } = state.plan;
  const counts = (state.trial ?? state.plan.verdict)?.counts ?? { title: "", rows: {} };
  const heads = ["", "Surface", "Material", "Stage", "Area", ...(counts.title ? [counts.title] : [])];
  const sheet = memory.kept("table", heads, () => table(heads, [], 1));
  patched(sheet.querySelector("tbody"), surfaces.map((/** @type {any} */ s) => {
    const adds = counts.title ? counts.rows[s.letter] ?? "" : null;
    const isChosen = s.id === state.selected || state.also.has(s.id);
    return memory.kept(`row ${s.id}`, [s.letter, s.title, s.material_title, s.stage_title, s.area, adds, isChosen, s.id], () => tableRow([s.letter,
      button(s.title, (/** @type {any} */ e) => { acts.choose(s.id, e); byId("plan-room").scrollIntoView({ block: "nearest" }); }, { "aria-pressed": isChosen }),
      s.material_title, s.stage_title, [s.area], ...(adds === null ? [] : [[adds]])], 1));
  }));
  patched(byId("outline-body"), [
    surfaces.length ? sheet : el("p", {}, "Nothing is drawn yet."),
    ...others(state, acts),
    el("p", {}, lot.is_chosen ? `Lot: ${lot.area}` : "No lot line is drawn yet."),
    ...notes.map((/** @type {string} */ note) => el("p", { class: "why" }, note))]);
  memory.turn();
}

/** Wells, trees, easements and the like, as a table. @param {any} state @param {any} acts */
function others({ plan, thing }, acts) {
  const land = [...landOf(plan), ...levelsOf(plan)];
  if (!land.length) return [];
  const sheet = memory.kept("others", [], () => table(["Besides surfaces", "What it is", "Size"], []));
  patched(sheet.querySelector("tbody"), land.map(({ list, key, title, kind, size }) => {
    const isChosen = thing?.list === list && thing?.key === key;
    return memory.kept(`other ${list} ${key}`, [title, kind, size, isChosen], () => tableRow([
      button(title, () => { acts.chooseThing(list, key); byId("plan-room").scrollIntoView({ block: "nearest" }); }, { "aria-pressed": isChosen }), kind, [size]], 0));
  }));
  return [sheet];
}

/** @param {any} state @param {any} acts @param {readonly any[]} commands */
export function drawToolbar(state, acts, commands) {
  const room = byId("toolbar");
  if (!room.childElementCount) {
    const buttons = (/** @type {string} */ group) => commands.filter((command) => command.group === group).map((command) =>
      button(command.label, () => command.run(acts), { title: command.keys ? `${command.label} (${command.keys})` : command.label }));
    const groups = [...new Set(commands.map((command) => command.group))];
    room.append(...groups.map((group) => el("div", { role: "group", "aria-label": group }, ...buttons(group))));
  }
  [...room.querySelectorAll("button")].forEach((made, i) => {
    const { isOn, tool, when } = commands[i];
    if (isOn || tool) made.setAttribute("aria-pressed", String(isOn ? isOn(state) : state.tool === tool));
    made.disabled = when ? !when(state) : false;
  });
}

/** The verdict in a few words, in sight wherever the page stands. @param {any} state */
export function drawStanding(state) {
  const verdict = isStarting(state) ? null : state.trial ?? state.plan.verdict;
  const worst = verdict?.findings.find((/** @type {any} */ row) => row.order && row.status.kind !== "cannot-tell");
  const numbers = worst ? `: ${worst.measured}${worst.margin ? ` (${worst.margin})` : ""}` : "";
  byId("standing").textContent = verdict ? `${verdict.status.sign} ${verdict.status.word}${numbers}` : "";
  byId("standing").className = verdict?.status.kind ?? "";
}

/** @param {any} state @param {any} acts */
export function drawFile(state, acts) {
  const { plan } = state;
  byId("title").textContent = plan.title;
  drawStanding(state);
  document.title = `${plan.title} - drawing board`;
  byId("file").textContent = `${plan.file}, ${plan.is_saved ? "saved" : "kept, not saved yet"}`;
  const room = byId("file-actions");
  if (!room.childElementCount) {
    room.append(button("Save", acts.save), button("Report", acts.report), button("Client page", acts.client),
      button("Permit packet", acts.packet), button("Order list", acts.orders), button("Site file", acts.text));
  }
  room.hidden = isStarting(state);
  room.firstElementChild.disabled = plan.is_saved;
  const banner = byId("banner");
  const told = state.lost ? "lost" : plan.is_changed_outside ? "changed" : "";
  banner.hidden = !told;
  // What is said already is not said again, and a button that a person is on stays.
  if (banner.dataset.told === told) return;
  banner.dataset.told = told;
  filled(banner, ...(state.lost
    ? [el("p", {}, "The board does not answer. Nothing is lost: what was done is kept. Trying again.")]
    : plan.is_changed_outside
      ? [el("p", {}, "The site file was changed elsewhere. Both versions are kept."),
         button("Take the file", acts.takeFile), button("Keep this design", acts.keepDesign)]
      : []));
}
