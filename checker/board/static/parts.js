// @ts-check
/** Drainage and pavement sections: put on the plan by taps, edited in forms, worked out on demand. */

import { freeId } from "./drafts.js";
import { SECTION_KINDS } from "./section_kinds.js";
import { call, callAnew } from "./server.js";
import { THINGS } from "./things.js";
import { blockNodes } from "./view/blocks.js";
import { button, byId, chooser, el, filled, row, typed } from "./view/elements.js";
import { partFields } from "./view/part_form.js";

const LISTS = ["inlets", "pipes", "stores", "outlets", "overflow_edges"];

/** A copy of a part with what lies at a path put in; #3 is the fourth of a list. @param {any} whole @param {string[]} path @param {any} value */
export function havingPut(whole, path, value) {
  const copy = structuredClone(whole ?? {});
  let holder = copy;
  for (const key of path.slice(0, -1)) holder = key.startsWith("#") ? holder[Number(key.slice(1))] : (holder[key] ??= {});
  const last = path.at(-1) ?? "";
  if (value === null) delete holder[last];
  else holder[last] = value;
  return copy;
}

/** @param {any} state @param {{change: any, refuse: any, say: any, use: any, draw: () => void}} base */
export function partsOf(state, { change, refuse, say, use, draw }) {
  /** @type {Record<string, any>} */
  const shapes = {};
  const schema = async (/** @type {string} */ part) => (shapes[part] ??= await call(`/shapes/${part}`));
  const things = (/** @type {string} */ list) => state.plan.parts.ways_out?.[list.split(".")[1]] ?? [];

  /** Change a top-level part of the file at a path. @param {string} part */
  const putIn = (part) => (/** @type {string[]} */ path, /** @type {any} */ value) => {
    const whole = state.plan.parts[part] ?? {};
    const next = havingPut(whole, path, value);
    const at = path[0];
    if (at.startsWith("#")) return undefined;
    return change({ kind: "set", list: "", id: "", field: [part, at], value: next[at] ?? null, was: whole[at] ?? null });
  };

  /** Change an entry of a list at a path. @param {string} list @param {any} entry */
  const putOn = (list, entry) => (/** @type {string[]} */ path, /** @type {any} */ value) => {
    const key = path[0];
    const next = havingPut(entry, path, value);
    return change({ kind: "set", list, id: entry.id ?? entry.on, field: [key], value: next[key] ?? null, was: entry[key] ?? null });
  };

  const drainage = () => enter("drainage");
  const sections = () => enter("sections");

  /** Open a room; where there is space it stands beside the plan, so that both are in sight. @param {string} room */
  async function enter(room) {
    state.room = room;
    byId("parts-room").hidden = false;
    document.querySelector("main")?.classList.add("in-room");
    await redraw();
    const isBeside = matchMedia("(min-width: 901px)").matches;
    byId(isBeside ? "plan-room" : "parts-room").scrollIntoView({ block: "start" });
  }

  /** Close a room below the plan; the plan is in sight again. @param {string} id */
  function close(id) {
    byId(id).hidden = true;
    if (id === "parts-room") {
      state.room = null;
      document.querySelector("main")?.classList.remove("in-room");
    }
    if (id === "found") { state.ghost = null; draw(); }
    byId("plan").focus({ preventScroll: true });
    byId("plan-room").scrollIntoView({ block: "start" });
  }

  /** The room again, when the plan has changed. */
  async function redraw() {
    if (!state.room || byId("parts-room").hidden) return;
    try {
      byId("parts-title").textContent = state.room === "drainage" ? "Drainage" : "Pavement sections";
      filled(byId("parts"), ...(state.room === "drainage" ? await drainageForm() : await sectionsForm()));
      // A section costs little to work out, so that it is always seen as it is now.
      if (state.room === "sections" && Object.keys(state.plan.parts.sections ?? {}).length) await work("sections", false);
    } catch (wrong) { await refuse(wrong); }
  }

  async function drainageForm() {
    const [ways, panels, ground, storms] = await Promise.all(["ways_out", "panels", "ground", "storms"].map(schema));
    const { parts } = state.plan;
    const falls = state.plan.surfaces.filter((/** @type {any} */ s) => s.stage !== "removed" && s.nature !== "water" && s.level === "ground" && !parts.panels?.some((/** @type {any} */ p) => p.on === s.id));
    return [
      el("div", { class: "buttons", role: "group", "aria-label": "Put on the plan" },
        ...Object.entries(THINGS).map(([tool, thing]) => button(thing.label, () => { use(tool); byId("plan-room").scrollIntoView({ block: "nearest" }); }))),
      ...LISTS.flatMap((name) => things(`ways_out.${name}`).map((/** @type {any} */ entry) =>
        foldOf(`${name}-${entry.id}`, `${entry.id}${entry.kind ? `, ${entry.kind.replaceAll("-", " ")}` : `, ${name.replace(/s$/, "").replaceAll("_", " ")}`}`,
          () => [...partFields(ways, ways.properties[name].items, entry, `part-${name}-${entry.id}`, putOn(`ways_out.${name}`, entry), [], ["id"]),
            button(`Take ${entry.id} away`, () => change({ kind: "drop", list: `ways_out.${name}`, id: entry.id }))]))),
      ...(parts.panels ?? []).map((/** @type {any} */ panel) =>
        foldOf(`panel-${panel.id ?? panel.on}`, `Fall of ${panel.id ?? panel.on}`, () => [
          ...partFields(panels, panels.items, panel, `part-panel-${panel.id ?? panel.on}`, putOn("panels", panel), [], ["id", "on"]),
          button(`Take the fall of ${panel.id ?? panel.on} away`, () => change({ kind: "drop", list: "panels", id: panel.id ?? panel.on }))])),
      falls.length ? el("div", { class: "buttons" }, ...falls.map((/** @type {any} */ s) => button(`Say how ${s.title} falls`, () => fall(s)))) : el("span"),
      foldOf("ways", "Levels and clogging", () => partFields(ways, ways, parts.ways_out ?? {}, "part-ways", putIn("ways_out"), [], LISTS)),
      foldOf("ground", "Soil and groundwater", () => partFields(ground, ground, parts.ground ?? {}, "part-ground", putIn("ground"))),
      foldOf("storms", "Rain to design with", () => partFields(storms, storms, parts.storms ?? {}, "part-storms", putIn("storms"))),
      el("div", { class: "buttons" }, button("Work out flows, levels and each blocked case", () => work("drainage"))),
      el("div", { id: "worked", "aria-live": "polite" }),
    ];
  }

  async function sectionsForm() {
    const root = await schema("sections");
    const shape = Object.values(root.patternProperties ?? {})[0];
    const all = state.plan.parts.sections ?? {};
    return [
      ...Object.entries(all).map(([name, section]) => foldOf(`section-${name}`, section.title ?? name, () =>
        partFields(root, shape, section, `part-section-${name}`, (path, value) => putIn("sections")([name, ...path], value)))),
      el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); begin(); } },
        row("part-new-section", "A new section, called", typed("part-new-section", "")),
        row("part-section-kind", "As usual for", chooser("part-section-kind", SECTION_KINDS.map(([key, title]) => /** @type {[string, string]} */ ([key, title])), state.sectionKind ?? "permeable", (v) => { state.sectionKind = v; })),
        el("div", { class: "buttons" }, el("button", {}, "Begin it"))),
      el("div", { class: "buttons" }, button("Work out the sections", () => work("sections"))),
      el("div", { id: "worked", "aria-live": "polite" }),
    ];
  }

  /** A line that opens; what was open stays so. @param {string} key @param {string} title @param {() => Node[]} inside */
  function foldOf(key, title, inside) {
    const fold = el("details", { open: state.open.has(key) }, el("summary", {}, title), el("div", { class: "part" }, ...inside()));
    fold.addEventListener("toggle", () => { if (fold.open) state.open.add(key); else state.open.delete(key); });
    return fold;
  }

  function begin() {
    const name = freeId(byId("part-new-section").value.trim().toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^[^a-z]+|-$/g, "") || "paving",
      Object.keys(state.plan.parts.sections ?? {}).map((id) => ({ id })));
    const [, usual, kind] = SECTION_KINDS.find(([key]) => key === byId("part-section-kind").value) ?? SECTION_KINDS[0];
    const title = byId("part-new-section").value.trim() || usual;
    state.open.add(`section-${name}`);
    change({ kind: "set", list: "", id: "", field: ["sections", name], value: { title, ...kind }, was: null });
  }

  /** @param {any} surface */
  function fall(surface) {
    const ring = surface.rings[0];
    const at = ring[0];
    state.open.add(`panel-${surface.id}`);
    change({ kind: "put", list: "panels", entry: { on: surface.id, level: 100, at, pitch: "2 %", toward: 180 }, after: null });
  }

  /** @param {string} paper @param {boolean} [isAsked] */
  async function work(paper, isAsked = true) {
    filled(byId("worked"), el("p", {}, "Working it out ..."));
    try {
      const found = await callAnew("paper", `/papers/${paper}`);
      if (!found) return;
      filled(byId("worked"), ...blockNodes(found.page));
      if (isAsked) say("It is worked out.");
    } catch (wrong) {
      filled(byId("worked"), el("p", { class: "problem" }, wrong instanceof Error ? wrong.message : ""));
    }
  }

  /** Put what a tool stands for at the places tapped. @param {string} tool @param {any[]} points */
  async function putThing(tool, points) {
    const { list, id, entry, points: count } = THINGS[tool];
    const name = freeId(id, LISTS.flatMap((other) => things(`ways_out.${other}`)));
    const place = count === 1 ? { at: points[0] } : { along: points };
    state.open.add(`${list.split(".")[1]}-${name}`);
    await change({ kind: "put", list, entry: { id: name, ...entry, ...place }, after: null });
    if (byId("parts-room").hidden) await drainage();
  }

  return { drainage, sections, redrawParts: redraw, putThing, close };
}
