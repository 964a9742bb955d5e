// @ts-check
/** The least that must change: what may change is asked once, then the options are shown and drawn. */

import { call } from "./server.js";
import { blockNodes } from "./view/blocks.js";
import { button, byId, el, filled, row, typed } from "./view/elements.js";

const POROUS = "permeable-paving";

/** @param {any} state @param {{change: any, take: any, refuse: any, say: any, draw: () => void}} base */
export function leastOf(state, { change, take, refuse, say, draw }) {
  const open = () => state.plan.rest_material || "lawn";

  async function least() {
    byId("found").hidden = false;
    filled(byId("found-body"), el("p", {}, "Searching ..."));
    byId("found").scrollIntoView({ block: "start" });
    try {
      const { revision } = state.plan;
      const found = await call("/least-change");
      if (revision !== state.plan.revision) return;
      show(found, revision);
      byId("found").scrollIntoView({ block: "start" });
    } catch (wrong) {
      filled(byId("found-body"), el("p", { class: "problem" }, wrong instanceof Error ? wrong.message : ""));
    }
  }

  /** @param {any} found @param {number} revision */
  function show(found, revision) {
    const isAsked = found.page.length === 0;
    const form = mayForm(found.may, isAsked);
    const beside = (/** @type {any} */ section) => {
      const key = section.id.startsWith("option-") ? section.id.slice(7) : "";
      if (!(key in found.pieces)) return null;
      return el("div", { class: "buttons" },
        button("Show it on the plan", () => ghost(key, found.pieces[key], revision)),
        button("Take it", () => takeOption(key, revision)));
    };
    filled(byId("found-body"),
      ...(isAsked ? [form] : [el("details", {}, el("summary", {}, "What may change"), form), ...blockNodes(found.page, beside)]));
  }

  /** @param {any[]} may @param {boolean} isAsked */
  function mayForm(may, isAsked) {
    if (!may.length) return el("p", {}, "There is no paving that could change.");
    const rest = open();
    const tick = (/** @type {any} */ s, /** @type {string} */ material, /** @type {string} */ name) => {
      const isOn = isAsked ? s.stage === "proposed" : s.may_become.includes(material);
      return el("label", { class: "tick" }, el("input", { type: "checkbox", "data-may": s.id, "data-material": material, checked: isOn && s.material !== material, disabled: s.material === material }), name);
    };
    const built = state.plan.goal?.as_built?.[POROUS] ?? {};
    return el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); search(may); } },
      el("p", {}, "What may this paving become?"),
      ...may.map((s) => el("fieldset", {}, el("legend", {}, s.title), tick(s, POROUS, "permeable paving"), tick(s, rest, rest.replaceAll("-", " ")))),
      el("p", {}, "What new permeable paving will be built to, where it is known:"),
      row("may-rate", "Infiltration rate", typed("may-rate", built.infiltration_rate ?? "", undefined, { placeholder: state.plan.unit === "m" ? "2000 mm/h" : "80 in/h" })),
      row("may-run", "Area that drains onto it, as a share of its own", typed("may-run", String(built.run_on ?? ""), undefined, { placeholder: "0.8" })),
      el("div", { class: "buttons" }, el("button", {}, "Search")));
  }

  /** Write down what may change, as one step, then search. @param {any[]} may */
  async function search(may) {
    const changes = [];
    for (const s of may) {
      const ticked = [...document.querySelectorAll(`[data-may="${CSS.escape(s.id)}"]`)].filter((box) => /** @type {any} */ (box).checked).map((box) => box.getAttribute("data-material"));
      const others = s.may_become.filter((/** @type {string} */ m) => m !== POROUS && m !== open());
      const value = [...ticked, ...others];
      if (JSON.stringify(value) !== JSON.stringify(s.may_become)) {
        const was = state.plan.surfaces.find((/** @type {any} */ o) => o.id === s.id).declared.may_become ?? null;
        changes.push({ kind: "set", list: "surfaces", id: s.id, field: ["may_become"], value: value.length ? value : null, was });
      }
    }
    const was = state.plan.goal?.as_built?.[POROUS] ?? {};
    for (const [key, id] of [["infiltration_rate", "may-rate"], ["run_on", "may-run"]]) {
      const text = byId(id).value.trim();
      const value = text === "" ? null : /^[0-9.]+$/.test(text) ? Number(text) : text;
      if (value !== (was[key] ?? null)) {
        changes.push({ kind: "set", list: "", id: "", field: ["goal", "as_built", POROUS, key], value, was: was[key] ?? null });
      }
    }
    if (changes.length && !(await change({ kind: "group", changes, says: "what may change said" }))) return;
    await least();
  }

  /** Draw an option over the plan until something else is done. @param {string} key @param {any} rings @param {number} revision */
  function ghost(key, rings, revision) {
    state.ghost = { key, rings, revision };
    draw();
    say("What would change is drawn over the plan.");
    byId("plan-room").scrollIntoView({ block: "start" });
    byId("over-take").focus({ preventScroll: true });
  }

  /** @param {string} option @param {number} revision */
  async function takeOption(option, revision) {
    try {
      take(await call("/least-change/take", { revision, option }), "Least change taken");
      byId("found").hidden = true;
      byId("plan-room").scrollIntoView({ block: "start" });
    } catch (wrong) { await refuse(wrong); }
  }

  /** Take the option that is drawn over the plan. */
  const takeShown = () => takeOption(state.ghost.key, state.ghost.revision);

  /** Take the drawn option off the plan and go back to them all. */
  function hideShown() {
    state.ghost = null;
    draw();
    byId("found").scrollIntoView({ block: "start" });
    say("The option is off the plan.");
  }

  return { least, takeShown, hideShown };
}
