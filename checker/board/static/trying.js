// @ts-check
/** What is tried without changing anything: surfaces in other materials, and variants by name. */

import { call } from "./server.js";
import { blockNodes } from "./view/blocks.js";
import { button, byId, el, filled, row, table, typed } from "./view/elements.js";

const PAVING = ["Walks patio and deck", "Driveway and parking"];
const FIRST = ["permeable-paving", "sand-set-pavers", "lawn"];

/** @param {any} state @param {{change: any, posted: any, refuse: any, say: any, draw: () => void}} base */
export function triesOf(state, { change, posted, refuse, say, draw }) {
  const material = (/** @type {string} */ id) => state.choices.materials.find((/** @type {any} */ m) => m.id === id);

  /** Surfaces on the ground that are built or to be built. */
  const open = () => state.plan.surfaces.filter((/** @type {any} */ s) =>
    s.stage !== "removed" && s.level === "ground" && [...PAVING, "Green"].includes(material(s.material)?.group));

  /** @param {string} name @param {string} value @param {string} title @param {boolean} isOn */
  const tick = (name, value, title, isOn) =>
    el("label", { class: "tick" }, el("input", { type: "checkbox", name, value, checked: isOn }), title);

  const ticked = (/** @type {string} */ name) =>
    [...document.querySelectorAll(`#tried-room input[name="${name}"]:checked`)].map((box) => /** @type {any} */ (box).value);

  function tryMaterials() {
    byId("tried-room").hidden = false;
    const candidates = state.choices.materials.filter((/** @type {any} */ m) => m.level === "ground" && [...PAVING, "Green"].includes(m.group));
    const surfaces = open();
    const isIn = surfaces.some((/** @type {any} */ s) => s.id === state.selected);
    filled(byId("tried-form"), el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); run(); } },
      el("fieldset", {}, el("legend", {}, "Which surfaces"), ...surfaces.map((/** @type {any} */ s) =>
        tick("surface", s.id, s.title, isIn ? s.id === state.selected : s.stage !== "existing"))),
      el("fieldset", {}, el("legend", {}, "In which materials"), ...candidates.map((/** @type {any} */ m) =>
        tick("material", m.id, m.title, FIRST.includes(m.id) || surfaces.some((/** @type {any} */ s) => s.id === state.selected && s.material === m.id)))),
      el("div", { class: "buttons" }, el("button", {}, "Try them"))));
    byId("tried-title").scrollIntoView({ block: "start" });
    if (isIn) run();
    else filled(byId("tried"));
  }

  /** @type {any} */
  let waiting = null;

  /** What the chosen surface would add as other materials, once the hand rests. */
  function others() {
    const { selected, plan } = state;
    if (!selected || state.others?.id === selected && state.others.revision === plan.revision) return;
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      const own = open().find((/** @type {any} */ s) => s.id === state.selected);
      if (!own || own.id !== selected || state.plan.revision !== plan.revision) return;
      const tried = { surfaces: [own.id], materials: FIRST.filter((id) => id !== own.material) };
      const found = await call("/tries", tried).catch(() => null);
      if (found?.revision !== state.plan.revision || state.selected !== own.id) return;
      state.others = { id: own.id, revision: found.revision, rows: found.rows };
      draw();
    }, 1200);
  }

  async function run() {
    filled(byId("tried"), el("p", {}, "Trying ..."));
    try {
      const found = await call("/tries", { surfaces: ticked("surface"), materials: ticked("material") });
      const rows = found.rows.map((/** @type {any} */ r) => [r.says, `${r.status.sign} ${r.status.word}`, [r.measured], [r.margin], [r.cost],
        r.is_now ? "as drawn" : button("Take it", () => takeMix(r))]);
      filled(byId("tried"), table(["Design", "Verdict", found.rows[0]?.rule ?? "", "Room left", "Cost of the work", ""], rows));
      say(`${rows.length} designs tried, the best first.`);
    } catch (wrong) {
      filled(byId("tried"), el("p", { class: "problem" }, wrong instanceof Error ? wrong.message : ""));
    }
  }

  /** @param {any} row */
  function takeMix({ mix, says }) {
    const changes = Object.entries(mix).flatMap(([id, value]) => {
      const was = state.plan.surfaces.find((/** @type {any} */ s) => s.id === id)?.declared.material ?? null;
      return value === was ? [] : [{ kind: "set", list: "surfaces", id, field: ["material"], value, was }];
    });
    change({ kind: "group", changes, says });
  }

  async function variants() {
    byId("variants-room").hidden = false;
    try { show((await call("/variants")).names); } catch (wrong) { await refuse(wrong); }
    byId("variants-title").scrollIntoView({ block: "start" });
    byId("variant-name").focus({ preventScroll: true });
  }

  /** @param {string[]} names */
  function show(names) {
    filled(byId("variants"),
      el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); keep(); } },
        row("variant-name", "Keep this design as a variant called", typed("variant-name", "")),
        el("div", { class: "buttons" }, el("button", {}, "Keep it"), names.length ? button("Compare side by side", compare) : null)),
      names.length ? el("ul", { class: "plain" }, ...names.map((name) => el("li", {}, `${name} `, button(`Take ${name}`, () => takeVariant(name))))) : el("p", {}, "No variant is kept yet."),
      el("div", { id: "compared", "aria-live": "polite" }));
  }

  async function keep() {
    try {
      const found = await call("/variants/keep", { revision: state.plan.revision, name: byId("variant-name").value });
      show(found.names);
      say(`Kept as the variant ${found.kept}.`);
    } catch (wrong) { await refuse(wrong); }
  }

  /** @param {string} name */
  const takeVariant = (name) => posted("/variants/take", () => ({ name }), `Variant ${name} taken`);

  async function compare() {
    filled(byId("compared"), el("p", {}, "Comparing ..."));
    try {
      const found = await call("/variants/compare", { revision: state.plan.revision });
      filled(byId("compared"), ...found.wrong.map((/** @type {string} */ text) => el("p", { class: "problem" }, text)), ...blockNodes(found.page));
    } catch (wrong) {
      filled(byId("compared"), el("p", { class: "problem" }, wrong instanceof Error ? wrong.message : ""));
    }
  }

  return { tryMaterials, variants, others, takeMix };
}
