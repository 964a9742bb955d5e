// @ts-check
/** The table of surfaces, the toolbar and the line on the file. */

import { button, byId, el, filled, table } from "./elements.js";

/** @param {any} state @param {any} acts */
export function drawOutline(state, acts) {
  const counts = (state.trial ?? state.plan.verdict)?.counts ?? { title: "", rows: {} };
  const adds = (/** @type {any} */ s) => (counts.title ? [[counts.rows[s.letter] ?? ""]] : []);
  const rows = state.plan.surfaces.map((/** @type {any} */ s) => [s.letter,
    button(s.title, () => { acts.select(s.id); byId("plan-room").scrollIntoView({ block: "nearest" }); }, { "aria-pressed": s.id === state.selected }),
    s.material_title, s.stage_title, [s.area], ...adds(s)]);
  filled(byId("outline-body"),
    rows.length ? table(["", "Surface", "Material", "Stage", "Area", ...(counts.title ? [counts.title] : [])], rows, 1) : el("p", {}, "Nothing is drawn yet."),
    el("p", {}, state.plan.lot.is_chosen ? `Lot: ${state.plan.lot.area}` : "No lot line is drawn yet."),
    ...state.plan.notes.map((/** @type {string} */ note) => el("p", { class: "why" }, note)));
}

/** @param {any} state @param {any} acts @param {readonly any[]} commands */
export function drawToolbar(state, acts, commands) {
  const buttons = (/** @type {string} */ group) => commands.filter((command) => command.group === group).map((command) =>
      button(command.label, () => command.run(acts), {
        "aria-pressed": command.tool ? state.tool === command.tool : null,
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
