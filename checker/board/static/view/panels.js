// @ts-check
/** The table of surfaces, the toolbar and the line on the file. */

import { button, byId, el, filled, patched, remembering, table, tableRow } from "./elements.js";

const memory = remembering();

/** @param {any} state @param {any} acts */
export function drawOutline(state, acts) {
  const { surfaces, lot, notes } = state.plan;
  const counts = (state.trial ?? state.plan.verdict)?.counts ?? { title: "", rows: {} };
  const heads = ["", "Surface", "Material", "Stage", "Area", ...(counts.title ? [counts.title] : [])];
  const sheet = memory.kept("table", heads, () => table(heads, [], 1));
  patched(sheet.querySelector("tbody"), surfaces.map((/** @type {any} */ s) => {
    const adds = counts.title ? [[counts.rows[s.letter] ?? ""]] : [];
    const isChosen = s.id === state.selected || state.also.has(s.id);
    return memory.kept(`row ${s.id}`, [s.letter, s.title, s.material_title, s.stage_title, s.area, adds, isChosen], () => tableRow([s.letter,
      button(s.title, (/** @type {any} */ e) => { acts.choose(s.id, e); byId("plan-room").scrollIntoView({ block: "nearest" }); }, { "aria-pressed": isChosen }),
      s.material_title, s.stage_title, [s.area], ...adds], 1));
  }));
  patched(byId("outline-body"), [
    surfaces.length ? sheet : el("p", {}, "Nothing is drawn yet."),
    el("p", {}, lot.is_chosen ? `Lot: ${lot.area}` : "No lot line is drawn yet."),
    ...notes.map((/** @type {string} */ note) => el("p", { class: "why" }, note))]);
  memory.turn();
}

/** @param {any} state @param {any} acts @param {readonly any[]} commands */
export function drawToolbar(state, acts, commands) {
  const buttons = (/** @type {string} */ group) => commands.filter((command) => command.group === group).map((command) =>
      button(command.label, () => command.run(acts), {
        "aria-pressed": command.isOn ? command.isOn(state) : command.tool ? state.tool === command.tool : null,
        disabled: command.when ? !command.when(state) : false,
        title: command.keys ? `${command.label} (${command.keys})` : command.label,
      }));
  const groups = [...new Set(commands.map((command) => command.group))];
  filled(byId("toolbar"), ...groups.map((group) => el("div", { role: "group", "aria-label": group }, ...buttons(group))));
}

/** @param {any} state @param {any} acts */
export function drawFile(state, acts) {
  const { plan } = state;
  byId("title").textContent = plan.title;
  const standing = plan.verdict?.status;
  byId("standing").textContent = standing ? `${standing.sign} ${standing.word}` : "";
  byId("standing").className = standing?.kind ?? "";
  document.title = `${plan.title} - drawing board`;
  byId("file").textContent = `${plan.file}, ${plan.is_saved ? "saved" : "not saved yet (every change is kept)"}`;
  filled(byId("file-actions"),
    button("Save", acts.save, { disabled: plan.is_saved }),
    button("Report", acts.report), button("Client page", acts.client), button("Permit packet", acts.packet), button("Order list", acts.orders), button("Site file", acts.text));
  const banner = byId("banner");
  banner.hidden = !plan.is_changed_outside && !state.lost;
  filled(banner, ...(state.lost
    ? [el("p", {}, "The board does not answer. Nothing is lost: what was done is kept. Trying again.")]
    : plan.is_changed_outside
      ? [el("p", {}, "The site file was changed elsewhere. Both versions are kept."),
         button("Take the file", acts.takeFile), button("Keep this design", acts.keepDesign)]
      : []));
}
