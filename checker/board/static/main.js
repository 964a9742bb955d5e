// @ts-check
/** Wires the page: the state, what is drawn from it, pointer and keys. */

import { actsOf } from "./acts.js";
import { commandOf, commands } from "./commands.js";
import { canEnd, isWhole, placed, pointed, typedPlace } from "./drafts.js";
import { moved, originOf, outlines, pulled } from "./geometry/shapes.js";
import { snapped } from "./geometry/snap.js";
import { isOfLand, landOf, reshaped } from "./moving_things.js";
import { call, enter, preview } from "./server.js";
import { byId } from "./view/elements.js";
import { drawForm } from "./view/form.js";
import { drawFile, drawOutline, drawStanding, drawToolbar } from "./view/panels.js";
import { drawPen } from "./view/pen.js";
import { drawPlan, frameOf, placeOf, unitsPerPixel } from "./view/plan_svg.js";
import { drawStart, isStarting } from "./view/start.js";
import { drawVerdict, sizeBars } from "./view/verdict.js";

/** @typedef {[number, number]} Point */

const SLOP = { mouse: 4, pen: 6, touch: 10 };
const NEAR_PX = 10;

/** @type {any} */
const state = {
  plan: null, choices: null, selected: null, tool: "select", draft: null, trial: null, ghost: null, view: null, survey: null, fitting: null, distances: null,
  room: null, open: new Set(), also: new Set(), isSeveral: false, thing: null, tapes: { revision: -1, tapes: [] },
  isMoving: false, isBegun: false, lost: false,
  next: { other: null, title: "", material: "concrete-slab", stage: "existing", width: "", given: {}, level: "", from: "" },
  box: () => frameOf(state.plan, state.view),
};
/** @type {any} */
let drag = null;
/** Whether the next click belongs to what was dragged; a finger that dragged makes none. */
let swallow = false;
/** What was taken hold of: the click that follows goes to the plan, which has the pointer then. @type {Element | null} */
let grasped = null;

function draw() {
  acts.follow();
  acts.measure();
  acts.others();
  drawFile(state, acts);
  drawStart(state, acts);
  if (isStarting(state)) return;
  drawVerdict(state, acts);
  sizeBars();
  drawPlan(state, acts);
  drawToolbar(state, acts, commands);
  drawForm(state, acts);
  drawOutline(state, acts);
  drawPen(state, acts);
}

const acts = actsOf(state, draw);

/** @param {Point} at @param {Point | null} from @param {string | null} [without] */
function snap(at, from, without = null) {
  if (state.tool.startsWith("survey-")) return { at, why: "grid" };
  const rings = [...(state.plan.lot.is_chosen ? state.plan.lot.rings : []),
    ...state.plan.surfaces.filter((/** @type {any} */ s) => s.id !== without).flatMap((/** @type {any} */ s) => s.rings),
    ...landOf(state.plan).filter(({ key }) => key !== without).flatMap(({ rings }) => rings)];
  const grid = state.plan.unit === "m" ? 0.1 : 0.5;
  return snapped(at, rings, NEAR_PX * unitsPerPixel(), grid, from);
}

/** What is in hand: the chosen surface, drain, easement ... with the change that gives it another shape. */
function inHand() {
  const thing = acts.thing();
  if (thing) return { ...thing, isJudged: isOfLand(thing), change: (/** @type {any} */ shape) => reshaped(thing, shape) };
  const surface = state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);
  const { shape } = surface.declared;
  return { list: "surfaces", key: surface.id, shape, rings: surface.rings, isJudged: true,
    change: (/** @type {any} */ next) => ({ kind: "reshape", list: "surfaces", id: surface.id, shape: next, was: shape }) };
}

/** @param {string} thing A list and a key. */
const split = (thing) => [thing.slice(0, thing.indexOf("/")), thing.slice(thing.indexOf("/") + 1)];

/** @param {PointerEvent} event */
function down(event) {
  if (!event.isPrimary || event.button !== 0) return;
  swallow = false;
  grasped = null;
  const target = /** @type {Element} */ (event.target);
  const corner = target.getAttribute("data-corner");
  const id = target.getAttribute("data-id");
  if (state.tool !== "select" || state.isMoving) return;
  const thing = target.getAttribute("data-thing");
  if (thing && `${state.thing?.list}/${state.thing?.key}` !== thing) { const [list, key] = split(thing); acts.chooseThing(list, key); }
  if (corner === null && !thing && (!id || (id !== state.selected && !state.also.has(id)))) return;
  byId("plan").setPointerCapture(event.pointerId);
  grasped = target;
  drag = { id: event.pointerId, from: placeOf(event), corner: corner === null ? null : Number(corner),
    x: event.clientX, y: event.clientY, isOn: false, kind: event.pointerType };
  event.preventDefault();
}

/** @param {PointerEvent} event */
function over(event) {
  if (!drag) {
    if (state.draft && state.tool !== "select") {
      const found = snap(placeOf(event), state.draft.points.at(-1) ?? null);
      state.draft = pointed(state.draft, found.at, found.why);
      drawPlan(state, acts);
    }
    return;
  }
  if (event.pointerId !== drag.id) return;
  const far = Math.hypot(event.clientX - drag.x, event.clientY - drag.y);
  if (!drag.isOn && far < SLOP[/** @type {"mouse"} */ (drag.kind)]) return;
  drag.isOn = true;
  if (state.also.size) { overSeveral(placeOf(event)); return; }
  const held = inHand();
  const shape = pulledTo(held, placeOf(event));
  if (!shape) return;
  drag.shape = shape;
  const isPoint = Boolean(shape.at);
  state.draft = { tool: "select", points: [], cursor: isPoint ? shape.at : null, why: "", rings: isPoint ? [] : ghost(held, shape), isClosed: !shape.line, shape };
  drawPlan(state, acts);
  // What is led to and from a drain is the file's affair, and its flows come late.
  if (!held.isJudged) return;
  preview(state.plan.revision, held.change(shape), { of: held.key, list: held.list }, (found) => {
    if (!drag || !found.verdict) return;
    state.trial = found.verdict;
    state.distances = { of: `${held.list}/${held.key}`, revision: -1, rows: found.distances };
    drawPlan(state, acts);
    drawVerdict(state, acts);
    drawStanding(state);
    sizeBars();
  });
}

/** How far the hand has gone, in steps of the grid. @param {Point} at @returns {Point} */
function gone(at) {
  const grid = state.plan.unit === "m" ? 0.1 : 0.5;
  const step = (/** @type {number} */ d) => Math.round(d / grid) * grid;
  return [step(at[0] - drag.from[0]), step(at[1] - drag.from[1])];
}

/** @param {any} held @param {Point} at */
function pulledTo({ shape, key }, at) {
  const corner = drag.corner ?? (shape.at ? 0 : null);
  return corner === null ? moved(shape, ...gone(at)) : pulled(shape, corner, snap(at, null, key).at);
}

/** @param {Point} at */
function overSeveral(at) {
  const by = gone(at);
  const group = acts.shiftAll(...by);
  if (!group) return;
  drag.by = by;
  const rings = acts.all().flatMap((/** @type {any} */ s) => s.rings.map((/** @type {Point[]} */ ring) => ring.map(([x, y]) => [x + by[0], y + by[1]])));
  state.draft = { tool: "select", points: [], cursor: null, why: "", rings, isClosed: true };
  drawPlan(state, acts);
  preview(state.plan.revision, group, { of: "", list: "" }, (found) => {
    if (!drag || !found.verdict) return;
    state.trial = found.verdict;
    drawVerdict(state, acts);
    drawStanding(state);
    sizeBars();
  });
}

/** The outline shown while dragging: the old one shifted, or the corners pulled. @param {any} held @param {any} shape @returns {Point[][]} */
function ghost({ rings, shape: was }, shape) {
  const [now, then] = [originOf(shape), originOf(was)];
  const isShifted = now && then && (now[0] !== then[0] || now[1] !== then[1]);
  if (drag.corner !== null && !(shape.circle && isShifted)) return outlines(shape);
  if (!isShifted) return rings;
  return rings.map((/** @type {Point[]} */ ring) => ring.map(([x, y]) => [x + now[0] - then[0], y + now[1] - then[1]]));
}

/** @param {PointerEvent} event */
function up(event) {
  if (!drag || event.pointerId !== drag.id) return;
  const done = drag;
  drag = null;
  state.draft = null;
  if (done.isOn) {
    swallow = true;
    const made = done.by ? acts.nudgeAll(...done.by) : done.shape && (state.thing ? acts.placeThing(done.shape) : acts.reshape(done.shape));
    if (!made) { state.trial = null; draw(); }
  }
}

function cancel() {
  if (!drag) return;
  drag = null;
  state.draft = null;
  state.trial = null;
  draw();
}

/** @param {MouseEvent} event */
function tap(event) {
  if (swallow) { swallow = false; return; }
  const at = placeOf(event);
  if (state.isMoving) { moveTo(at); return; }
  if (state.tool === "select") {
    const target = grasped ?? /** @type {Element} */ (event.target);
    grasped = null;
    if (!target.getAttribute("data-thing") && target.getAttribute("data-corner") === null) acts.choose(target.getAttribute("data-id"), event);
    return;
  }
  put(snap(at, state.draft.points.at(-1) ?? null).at);
}

/** @param {Point} at */
function put(at) {
  const first = state.draft.points[0];
  if (first && canEnd(state.draft) && first[0] === at[0] && first[1] === at[1]) { acts.end(); return; }
  state.draft = placed(state.draft, at);
  if (isWhole(state.draft)) acts.end();
  else draw();
}

/** @param {Point} at */
function moveTo(at) {
  state.isMoving = false;
  const ring = inHand().rings.flat();
  const xs = ring.map((/** @type {Point} */ p) => p[0]);
  const ys = ring.map((/** @type {Point} */ p) => p[1]);
  const grid = state.plan.unit === "m" ? 0.1 : 0.5;
  const to = (/** @type {number} */ d) => Math.round(d / grid) * grid;
  acts.nudgeChosen(to(at[0] - (Math.min(...xs) + Math.max(...xs)) / 2), to(at[1] - (Math.min(...ys) + Math.max(...ys)) / 2));
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** @param {KeyboardEvent} event */
function key(event) {
  const command = commandOf(event);
  const arrow = ARROWS[/** @type {"ArrowUp"} */ (event.key)];
  if (command) commands.find((c) => c.id === command)?.run(acts);
  else if (event.key === "Escape") { state.isMoving = false; acts.use(state.draft?.points.length ? state.tool : "select", Boolean(state.draft?.points.length) && state.next.other !== null); }
  else if (event.key === "Enter" && state.tool !== "select") { if (canEnd(state.draft)) acts.end(); else put(state.draft.cursor ?? middle()); }
  else if (event.key === " " && state.tool !== "select") put(state.draft.cursor ?? middle());
  else if ((event.key === "Delete" || event.key === "Backspace") && (state.selected || state.thing)) acts.dropChosen();
  else if (arrow) step(arrow, event.shiftKey ? 10 : 1);
  else return;
  event.preventDefault();
}

/** @returns {Point} */
function middle() {
  const box = state.box();
  return [Math.round(box.x + box.width / 2), Math.round(-box.y - box.height / 2)];
}

/** @param {number[]} arrow @param {number} by */
function step(arrow, by) {
  const unit = state.plan.unit === "m" ? 0.25 : 1;
  if (state.tool !== "select") {
    const at = state.draft.cursor ?? middle();
    const next = /** @type {Point} */ ([at[0] + arrow[0] * by * unit, at[1] + arrow[1] * by * unit]);
    state.draft = pointed(state.draft, next, "keys");
    acts.say(`${next[0]}, ${next[1]} ${state.plan.unit}`);
    drawPlan(state, acts);
  } else acts.nudgeChosen(arrow[0] * by * unit, arrow[1] * by * unit);
}

/** @param {KeyboardEvent} event */
function typed(event) {
  if (event.key !== "Enter" || state.tool === "select") return;
  const field = byId("typed");
  const at = typedPlace(state.draft, field.value);
  if (!at) { acts.say("Write a length like 12.5, or a width and depth like 12 8.", true); return; }
  field.value = "";
  put(at);
}

async function main() {
  if (!(await enter())) {
    byId("hint").textContent = "This page opens once, from the file that the command names. Start it again.";
    return;
  }
  const plan = byId("plan");
  plan.addEventListener("pointerdown", down);
  plan.addEventListener("pointermove", over);
  plan.addEventListener("pointerup", up);
  plan.addEventListener("pointercancel", cancel);
  // What a finger moves does not scroll the page as well.
  plan.addEventListener("touchmove", (/** @type {TouchEvent} */ e) => { if (drag && e.cancelable) e.preventDefault(); }, { passive: false });
  plan.addEventListener("click", tap);
  plan.addEventListener("keydown", key);
  byId("typed").addEventListener("keydown", typed);
  byId("below").addEventListener("click", (/** @type {any} */ e) => { if (e.target.classList.contains("close")) acts.close(e.target.closest("section").id); });
  const [now, choices] = await Promise.all([call("/plan"), call("/choices")]);
  state.plan = now;
  state.choices = { samples: [], places: [], drawings: [], ...choices };
  // The plan and its verdict wait for no list of samples and places.
  if (!isStarting(state)) draw();
  state.choices = { ...choices, ...await call("/starts") };
  draw();
  acts.late();
  setInterval(follow, 2000);
}

/** See whether the plan moved on elsewhere: in another tab, or in the file. */
async function follow() {
  if (document.hidden || drag) return;
  try {
    const { plan } = state;
    const now = await call("/standing");
    if (plan !== state.plan) return;
    if (!state.lost && now.revision === plan.revision && now.is_changed_outside === plan.is_changed_outside && now.is_saved === plan.is_saved) return;
    state.plan = await call("/plan");
    state.lost = false;
    draw();
    acts.redrawParts();
    acts.redrawLayers();
    acts.late();
  } catch { state.lost = true; draw(); }
}

main();
