// @ts-check
/** The plan as a drawing: lot, surfaces, what is being drawn, handles of what is selected. */

import { corners } from "../geometry/shapes.js";
import { pointsOf, thingsOf } from "../moving_things.js";
import { apart } from "./labels.js";
import { byId, patched, remembering, svg } from "./elements.js";

/** @typedef {[number, number]} Point */

const MARGIN = 0.06;
const memory = remembering();

/** @param {any} plan */
function frame(plan) {
  const sheet = plan.traced?.ratio ? sheetCorners(plan.traced) : [];
  const drawn = plan.lot.is_chosen || plan.surfaces.length || !sheet.length ? plan.lot.rings.flat() : [];
  const points = [...sheet, ...drawn].concat(plan.surfaces.flatMap((/** @type {any} */ s) => s.rings.flat()));
  const xs = points.map((/** @type {Point} */ p) => p[0]);
  const ys = points.map((/** @type {Point} */ p) => -p[1]);
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const pad = MARGIN * Math.max(right - left, bottom - top, 1);
  return { x: left - pad, y: top - pad, width: right - left + 2 * pad, height: bottom - top + 2 * pad };
}

/** @param {any} traced @returns {Point[]} */
function sheetCorners({ corner, width, ratio, turned }) {
  const [c, s] = [Math.cos((turned * Math.PI) / 180), Math.sin((turned * Math.PI) / 180)];
  return [[0, 0], [width, 0], [width, width * ratio], [0, width * ratio]]
    .map(([u, v]) => [corner[0] + u * c - v * s, corner[1] + u * s + v * c]);
}

/** The scanned survey, below everything. @param {any} state */
function sheetImage({ survey, plan }) {
  if (!survey || !plan.traced?.ratio) return [];
  const { corner: [x, y], width, ratio, turned } = plan.traced;
  return [svg("image", {
    href: survey, x, y: -y - width * ratio, width, height: width * ratio, opacity: 0.75, preserveAspectRatio: "none",
    transform: `rotate(${-turned} ${x} ${-y})`, "aria-hidden": "true",
  })];
}

/** @param {Point[][]} rings @param {boolean} isClosed */
function path(rings, isClosed = true) {
  return rings
    .map((ring) => `M${ring.map(([x, y]) => `${x} ${-y}`).join("L")}${isClosed ? "Z" : ""}`)
    .join("");
}

/** The scale of the drawing now: file units for one CSS pixel. */
export function unitsPerPixel() {
  const matrix = byId("plan").getScreenCTM();
  return matrix ? 1 / matrix.a : 1;
}

/** Where on the lot a pointer is. @param {PointerEvent | MouseEvent} event @returns {Point} */
export function placeOf(event) {
  const matrix = byId("plan").getScreenCTM();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  return [at.x, -at.y];
}

/** @param {any} view A view of the lot: {x, y, width, height} or null for all of it. @param {any} plan */
export const frameOf = (plan, view) => view ?? frame(plan);

/**
 * @param {any} state The page's state.
 * @param {{select: (id: string | null) => void}} acts
 */
export function drawPlan(state, acts) {
  const { plan, selected, draft } = state;
  const room = byId("plan");
  const held = room.contains(document.activeElement) ? document.activeElement : null;
  const [hadFocus, hadThing] = [held?.getAttribute("data-id"), held?.getAttribute("data-thing")];
  const box = frameOf(plan, state.view);
  room.setAttribute("viewBox", `${box.x} ${box.y} ${box.width} ${box.height}`);
  const letter = Math.max(box.width, box.height) / 45;
  room.classList.toggle("traced", Boolean(state.survey));
  const parts = [
    ...sheetImage(state),
    svg("path", { class: plan.lot.is_chosen ? "lot" : "lot unknown", d: path(plan.lot.rings), "aria-hidden": "true" }),
    ...plan.others.map((/** @type {any} */ item) =>
      svg("path", { class: `other ${item.list}`, d: path(item.rings, item.list === "regions"), "aria-hidden": "true" })),
    ...order(plan.surfaces).map((surface) => memory.kept(`surface ${surface.id}`, [surface, isChosen(state, surface)], () => drawSurface(surface, isChosen(state, surface), acts))),
    ...plan.surfaces.map((/** @type {any} */ surface) => memory.kept(`letter ${surface.id}`, [surface, letter], () => label(surface, letter))),
    ...plan.lot.lines.map((/** @type {any} */ line) => memory.kept(`line ${line.number}`, [line, letter], () => lotLine(line, letter))),
  ];
  parts.push(...drains(plan.parts, letter), ...thingsOf(plan.parts).map((item) => grip(item, state, acts, letter / 2)));
  if (state.ghost) parts.push(svg("path", { class: "ghost", d: path(state.ghost.rings), "aria-hidden": "true" }));
  if (draft?.rings?.length) {
    parts.push(svg("path", { class: "draft", d: path(draft.rings, draft.isClosed), "aria-hidden": "true" }));
  }
  if (draft?.cursor) {
    const [x, y] = draft.cursor;
    parts.push(svg("circle", { class: `cursor ${draft.why ?? ""}`, cx: x, cy: -y, r: letter / 4, "aria-hidden": "true" }));
  }
  if (state.tool === "select" && state.distances?.id === selected) parts.push(...state.distances.rows.flatMap((/** @type {any} */ row) => distance(row, letter)));
  parts.push(...handles(state, letter));
  patched(room, parts);
  memory.turn();
  if (hadFocus && document.activeElement?.getAttribute("data-id") !== hadFocus) room.querySelector(`[data-id="${CSS.escape(hadFocus)}"]`)?.focus();
  if (hadThing) room.querySelector(`[data-thing="${CSS.escape(hadThing)}"]`)?.focus({ preventScroll: true });
}

/** As seen from above, what lies on top last. @param {any[]} surfaces @returns {any[]} */
const order = (surfaces) => [...surfaces].sort((a, b) => a.turn - b.turn);

/** @param {any} state @param {any} surface */
const isChosen = ({ selected, also }, surface) => surface.id === selected || also.has(surface.id);

/** @param {any} surface @param {boolean} isOn @param {any} acts */
function drawSurface(surface, isOn, acts) {
  return svg("path", {
    class: `surface ${surface.stage} ${surface.nature} ${surface.level}${isOn ? " chosen" : ""}`,
    d: path(surface.rings),
    role: "button",
    tabindex: isOn ? 0 : -1,
    "data-id": surface.id,
    "aria-pressed": isOn,
    "aria-label": `${surface.letter}: ${surface.title}, ${surface.material_title}, ${surface.stage_title}, ${surface.area}`,
    focus: () => { if (!isOn && !acts.isSeveral()) acts.select(surface.id); },
  });
}

/** @param {any} surface @param {number} size */
function label(surface, size) {
  const [x, y] = surface.letter_at;
  return svg("text", { class: "letter", x, y: -y + size / 3, "font-size": size, "aria-hidden": "true" }, surface.letter);
}

/** @param {any} line @param {number} size */
function lotLine(line, size) {
  const [a, b] = [line.points[0], line.points[line.points.length - 1]];
  let turn = (-Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  if (turn > 90 || turn < -90) turn += 180;
  const [x, y] = [(a[0] + b[0]) / 2, -(a[1] + b[1]) / 2];
  const text = [line.label, line.side].filter(Boolean).join(", ");
  return svg("text", {
    class: "line-label", x, y: y - size / 3, "font-size": size * 0.7,
    transform: `rotate(${turn} ${x} ${y})`, "aria-hidden": "true",
  }, text);
}

/** Drains, pipes, stores, outlets, edges and the fall of panels, as the file places them. @param {any} told @param {number} size */
function drains({ ways_out: ways, panels }, size) {
  /** @type {{text: string, x: number, y: number}[]} */
  const names = [];
  const mark = (/** @type {any} */ thing, /** @type {string} */ list) => {
    const [x, y] = thing.at ?? thing.along?.[0] ?? [];
    if (x === undefined) return [];
    const line = thing.along ? svg("path", { class: `drain ${list}`, d: path([thing.along], false), "aria-hidden": "true" }) : null;
    const dot = thing.at ? svg("circle", { class: `drain ${list}`, cx: x, cy: -y, r: size / (list === "stores" ? 1.4 : 2.5), "aria-hidden": "true" }) : null;
    names.push({ text: thing.id, x, y: -y });
    return [line, dot].filter((item) => item !== null);
  };
  const falls = (panels ?? []).filter((/** @type {any} */ p) => p.at && p.toward !== undefined).map((/** @type {any} */ p) => {
    const turn = (p.toward * Math.PI) / 180;
    const [x, y] = p.at;
    const [dx, dy] = [Math.sin(turn) * size * 2, Math.cos(turn) * size * 2];
    const head = (/** @type {number} */ off) => `${x + dx - Math.sin(turn + off) * size * 0.6} ${-(y + dy - Math.cos(turn + off) * size * 0.6)}`;
    return svg("path", { class: "drain fall", d: `M${x} ${-y}L${x + dx} ${-(y + dy)}M${head(0.5)}L${x + dx} ${-(y + dy)}L${head(-0.5)}`, "aria-hidden": "true" });
  });
  const marks = ["overflow_edges", "pipes", "inlets", "stores", "outlets"].flatMap((list) => (ways?.[list] ?? []).flatMap((/** @type {any} */ thing) => mark(thing, list)));
  const labels = apart(names, size * 0.65).map(({ text, x, y }) => svg("text", { class: "drain-label", x, y, "font-size": size * 0.65, "aria-hidden": "true" }, text));
  return [...marks, ...falls, ...labels];
}

/** What a person takes hold of: as wide as a finger, whatever the scale. @param {any} item @param {any} state @param {any} acts @param {number} radius */
function grip({ list, key, entry }, { thing, tool }, acts, radius) {
  const isChosen = thing?.list === list && thing?.key === key;
  const points = pointsOf(entry);
  const name = `${key}, ${(entry.kind ?? THING_NAMES[list]).replaceAll("-", " ")}, at ${points.map((p) => p.join(" ")).join("; ")}`;
  /** @type {Record<string, string | number>} */
  const where = points.length > 1 ? { d: path([points], false) } : { cx: points[0][0], cy: -points[0][1], r: radius };
  return svg(points.length > 1 ? "path" : "circle", {
    class: `grip${isChosen ? " chosen" : ""}${tool === "select" ? "" : " idle"}`, ...where,
    role: "button", tabindex: isChosen ? 0 : -1, "data-thing": `${list}/${key}`, "aria-pressed": isChosen, "aria-label": name,
    focus: () => { if (!isChosen && tool === "select") acts.chooseThing(list, key); },
  });
}

/** @type {Record<string, string>} */
const THING_NAMES = {
  "ways_out.inlets": "drain", "ways_out.pipes": "pipe", "ways_out.stores": "store", "ways_out.outlets": "outlet",
  "ways_out.overflow_edges": "overflow edge", panels: "fall",
};

/** The shortest way to a line or a building, with its length. @param {any} row @param {number} size */
function distance({ ends, text, value }, size) {
  if (!value) return [];
  const [[ax, ay], [bx, by]] = [ends[0], ends.at(-1)];
  return [
    svg("path", { class: "distance", d: `M${ax} ${-ay}L${bx} ${-by}`, "aria-hidden": "true" }),
    svg("text", { class: "distance-label", x: (ax + bx) / 2, y: -(ay + by) / 2 - size / 5, "font-size": size * 0.75, "aria-hidden": "true" }, text),
  ];
}

/** @param {any} state @param {number} size */
function handles(state, size) {
  const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
  if (state.tool !== "select" || state.also.size) return [];
  const thing = thingsOf(state.plan.parts).find(({ list, key }) => list === state.thing?.list && key === state.thing?.key);
  if (!surface && !thing) return [];
  const places = thing ? state.draft?.places ?? pointsOf(thing.entry) : corners(state.draft?.shape ?? surface.declared.shape);
  return places.map((/** @type {Point} */ [x, y], /** @type {number} */ index) => svg("circle", {
    class: "handle", cx: x, cy: -y, r: size / 3.5, "data-corner": index, "aria-hidden": "true",
  }));
}
