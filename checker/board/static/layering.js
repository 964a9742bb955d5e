// @ts-check
/** The layers of the drawing as a form: each is a material, the lot, a feature, or nothing. */

import { call } from "./server.js";
import { byId, chooser, el, filled, table } from "./view/elements.js";

/** @param {any} state @param {{posted: any, refuse: any}} base */
export function layersOf(state, { posted, refuse }) {
  async function layers() {
    byId("layers-room").hidden = false;
    await redrawLayers();
    byId("layers-title").scrollIntoView({ block: "start" });
  }

  async function redrawLayers() {
    const room = byId("layers-room");
    room.hidden ||= !state.plan.drawing;
    if (room.hidden) return;
    try {
      const found = await call("/layers");
      const kinds = found.kinds.map((/** @type {string} */ kind) => [kind, kind.replaceAll("-", " ")]);
      const materials = state.choices.materials.map((/** @type {any} */ m) => [m.id, m.title]);
      const rows = found.rows.map((/** @type {any} */ r, /** @type {number} */ i) => [r.layer, r.holds,
        el("span", {}, el("label", { for: `layer-${i}`, class: "unseen" }, `What ${r.layer} is`), chooser(`layer-${i}`, [["", "nothing said"], ...kinds, ...materials], r.meaning,
          (v) => posted("/layers/mean", () => ({ layer: r.layer, meaning: v }), `Layer ${r.layer}: ${v.replaceAll("-", " ") || "nothing"}`))),
        r.doubt]);
      filled(byId("layers"), el("p", {}, `${found.file}: correct what was guessed from the names.`), table(["Layer", "Holds", "Is", "In doubt"], rows));
    } catch (wrong) { await refuse(wrong); }
  }

  return { layers, redrawLayers };
}
