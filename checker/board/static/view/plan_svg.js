// @ts-check
/** The plan as a drawing: lot, surfaces, what is being drawn, handles of what is selected. */

import { corners } from "../geometry/shapes.js";
import { chosenThing, landOf, levelsOf, waterOf } from "../moving_things.js";
import { apart } from "./labels.js";
import { byId, patched, remembering, renewed, svg } from "./elements.js";

/** @typedef {[number, number]} Point */

const MARGIN = 0.06;
/** How far beyond the lot a thing is still in sight, as a share of the lot. */
const REACH = 0.75;
const memory = remembering();

/** @param {any} plan */
function frame(plan) {
  const sheet = plan.traced?.ratio ? sheetCorners(plan.traced) : [];
  const drawn = plan.lot.is_chosen || plan.surfaces.length || !sheet.length ? plan.lot.rings.flat() : [];
  const points = [...sheet, ...drawn].concat(plan.surfaces.flatMap((/** @type {any} */ s) => s.rings.flat()));
  let { left, right, top, bottom } = boundsOf(points);
  // A well next door is in sight; a shore far off does not make the lot small.
  const reach = REACH * Math.max(right - left, bottom - top);
  const near = boundsOf([...landOf(plan), ...levelsOf(plan)].flatMap(({ rings }) => rings.flat()));
  left = Math.max(Math.min(left, near.left), left - reach);
  right = Math.min(Math.max(right, near.right), right + reach);
  top = Math.max(Math.min(top, near.top), top - reach);
  bottom = Math.min(Math.max(bottom, near.bottom), bottom + reach);
  const pad = MARGIN * Math.max(right - left, bottom - top, 1);
  return { x: left - pad, y: top - pad, width: right - left + 2 * pad, height: bottom - top + 2 * pad };
}

/** @param {Point[]} points */
function boundsOf(points) {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => -y);
  return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) };
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
  const { plan, draft } = state;
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
    ...order(plan.surfaces).map((surface) => memory.kept(`surface ${surface.id}`, [surface, isChosen(state, surface)], () => drawSurface(surface, isChosen(state, surface), acts))),
    ...plan.surfaces.map((/** @type {any} */ surface) => memory.kept(`letter ${surface.id}`, [surface, letter], () => label(surface, letter))),
    ...plan.lot.lines.map((/** @type {any} */ line) => memory.kept(`line ${line.number}`, [line, letter], () => lotLine(line, letter))),
  ];
  const land = landOf(plan);
  parts.push(...land.map((thing) => mark(thing, letter)), ...drains(plan.parts, letter), ...names(plan, land, letter));
  const levels = levelsOf(plan);
  parts.push(...levels.map((thing) => spot(thing, letter)));
  parts.push(...[...land, ...waterOf(plan), ...levels].map((thing) => grip(thing, state, acts, letter / 2)));
  if (state.ghost) parts.push(svg("path", { class: "ghost", d: path(state.ghost.rings), "aria-hidden": "true" }));
  if (draft?.rings?.length) {
    parts.push(svg("path", { class: "draft", d: path(draft.rings, draft.isClosed), "aria-hidden": "true" }));
  }
  if (draft?.cursor) {
    const [x, y] = draft.cursor;
    parts.push(svg("circle", { class: `cursor ${draft.why ?? ""}`, cx: x, cy: -y, r: letter / 4, "aria-hidden": "true" }));
  }
  if (state.tool === "select" && state.distances?.of === inHand(state)) parts.push(...state.distances.rows.flatMap((/** @type {any} */ row, /** @type {number} */ i) => distance(row, letter, i % 2 ? 0.65 : 0.35)));
  parts.push(...handles(state, letter));
  patched(room, parts);
  memory.turn();
  // What a tap for a place fell on has the focus, too, and is not chosen by that.
  const isOwn = hadFocus === state.selected || state.also.has(hadFocus) || state.isSeveral;
  if (hadFocus && document.activeElement?.getAttribute("data-id") !== hadFocus) (isOwn ? room.querySelector(`[data-id="${CSS.escape(hadFocus)}"]`) : room)?.focus({ preventScroll: true });
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
    focus: () => { if (!isOn && acts.isChoosing()) acts.select(surface.id); },
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
  const mark = (/** @type {any} */ thing, /** @type {string} */ list) => {
    const [x, y] = thing.at ?? thing.along?.[0] ?? [];
    if (x === undefined) return [];
    const line = thing.along ? svg("path", { class: `drain ${list}`, d: path([thing.along], false), "aria-hidden": "true" }) : null;
    const dot = thing.at ? svg("circle", { class: `drain ${list}`, cx: x, cy: -y, r: size / (list === "stores" ? 1.4 : 2.5), "aria-hidden": "true" }) : null;
    return [line, dot].filter((item) => item !== null);
  };
  const falls = (panels ?? []).filter((/** @type {any} */ p) => p.at && Number.isFinite(p.toward)).map((/** @type {any} */ p) => {
    const turn = (p.toward * Math.PI) / 180;
    const [x, y] = p.at;
    const [dx, dy] = [Math.sin(turn) * size * 2, Math.cos(turn) * size * 2];
    const head = (/** @type {number} */ off) => `${x + dx - Math.sin(turn + off) * size * 0.6} ${-(y + dy - Math.cos(turn + off) * size * 0.6)}`;
    return svg("path", { class: "drain fall", d: `M${x} ${-y}L${x + dx} ${-(y + dy)}M${head(0.5)}L${x + dx} ${-(y + dy)}L${head(-0.5)}`, "aria-hidden": "true" });
  });
  const marks = ["overflow_edges", "pipes", "inlets", "stores", "outlets"].flatMap((list) => (ways?.[list] ?? []).flatMap((/** @type {any} */ thing) => mark(thing, list)));
  return [...marks, ...falls];
}

/** A well, tree or easement. @param {any} thing @param {number} size */
function mark({ list, entry, shape, rings }, size) {
  const name = `other ${list} ${entry.kind}`;
  if (!shape.at) return svg("path", { class: name, d: path(rings, !shape.line), "aria-hidden": "true" });
  const [x, y] = rings[0][0];
  const r = size / 2.2;
  return svg("path", { class: `${name} point`, d: `M${x - r} ${-y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0M${x - r * 1.6} ${-y}h${r * 3.2}M${x} ${-y - r * 1.6}v${r * 3.2}`, "aria-hidden": "true" });
}

/** A spot level: a cross where it holds. @param {any} thing @param {number} size */
function spot({ entry: { at: [x, y], stage } }, size) {
  const r = size / 4;
  return svg("path", { class: `spot-level ${stage ?? "existing"}`, d: `M${x - r} ${-y - r}l${2 * r} ${2 * r}M${x - r} ${-y + r}l${2 * r} ${-2 * r}`, "aria-hidden": "true" });
}

/** What things are called, beside them; no name lies over another. @param {any} plan @param {any[]} land @param {number} size */
function names(plan, land, size) {
  const water = ["overflow_edges", "pipes", "inlets", "stores", "outlets"].flatMap((list) => (plan.parts.ways_out?.[list] ?? []))
    .filter((/** @type {any} */ e) => e.at || e.along).map((/** @type {any} */ e) => ({ text: e.id, at: e.at ?? e.along[0], kind: "drain-label" }));
  const own = land.filter(({ rings }) => rings.length).map(({ title, rings }) => ({ text: shortened(title), at: rings[0].reduce(upperLeft), kind: "other-label" }));
  const spots = levelsOf(plan).map(({ entry }) => ({ text: shortened(String(entry.level)), at: entry.at, kind: "level-label" }));
  const all = [...own, ...water, ...spots];
  return apart(all.map(({ text, at: [x, y] }) => ({ text, x, y: -y })), size * 0.65)
    .map(({ text, x, y }, i) => svg("text", { class: all[i].kind, x, y, "font-size": size * 0.65, "aria-hidden": "true" }, text));
}

/** @param {Point} a @param {Point} b */
const upperLeft = (a, b) => (b[1] - b[0] > a[1] - a[0] ? b : a);

const MOST_LETTERS = 40;

/** A name that leaves room for the plan. @param {string} text */
export const shortened = (text) => (text.length > MOST_LETTERS ? `${[...text].slice(0, MOST_LETTERS).join("")}…` : text);

/** What a person takes hold of: as wide as a finger, whatever the scale; it stays the same while a hand is on it. @param {any} item @param {any} state @param {any} acts @param {number} radius */
function grip({ list, key, shape, rings, title, kind, size }, state, acts, radius) {
  const isHeld = () => state.thing?.list === list && state.thing?.key === key;
  const [[first]] = rings;
  const place = shape.at || shape.line ? `at ${rings[0].map((/** @type {Point} */ p) => p.join(" ")).join("; ")}` : size;
  const name = shape.at ? "circle" : "path";
  const made = memory.kept(`grip ${name} ${list}/${key}`, [], () => svg(name, {
    role: "button", "data-thing": `${list}/${key}`,
    focus: () => { if (!isHeld() && acts.isChoosing()) acts.chooseThing(list, key); },
  }));
  return renewed(made, {
    class: `grip${isHeld() ? " chosen" : ""}${state.tool === "select" ? "" : " idle"}`, tabindex: isHeld() ? 0 : -1, "aria-pressed": isHeld(),
    "aria-label": [title, kind, place].filter(Boolean).join(", "), ...(shape.at ? { cx: first[0], cy: -first[1], r: radius } : { d: path(rings, !shape.line) }),
  });
}

/** What is chosen, as distances name it. @param {any} state */
export const inHand = ({ selected, thing }) => (selected ? `surfaces/${selected}` : thing ? `${thing.list}/${thing.key}` : "");

/** The shortest way to a line or a building, with its length. @param {any} row @param {number} size @param {number} along Where on it its length stands, so that none lies over another. */
function distance({ ends, text, value }, size, along) {
  if (!value) return [];
  const [[ax, ay], [bx, by]] = [ends[0], ends.at(-1)];
  return [
    svg("path", { class: "distance", d: `M${ax} ${-ay}L${bx} ${-by}`, "aria-hidden": "true" }),
    svg("text", { class: "distance-label", x: ax + (bx - ax) * along, y: -(ay + (by - ay) * along) - size / 5, "font-size": size * 0.75, "aria-hidden": "true" }, text),
  ];
}

/** @param {any} state @param {number} size */
function handles(state, size) {
  const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
  if (state.tool !== "select" || state.also.size) return [];
  const thing = chosenThing(state);
  if (!surface && !thing) return [];
  // A finger whose handle goes away under it is let go by the browser.
  return corners(state.draft?.shape ?? thing?.shape ?? surface.declared.shape).map((/** @type {Point} */ [x, y], /** @type {number} */ index) => renewed(
    memory.kept(`handle ${index}`, [], () => svg("circle", { class: "handle", "data-corner": index, "aria-hidden": "true" })), { cx: x, cy: -y, r: size / 3.5 }));
}
