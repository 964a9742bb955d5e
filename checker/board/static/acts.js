// @ts-check
/** What a person can do: each act sends one change, and what comes back is what is shown. */

import { answersOf } from "./answering.js";
import { handingOf } from "./handing.js";
import { layersOf } from "./layering.js";
import { leastOf } from "./least.js";
import { movesOf } from "./moving_things.js";
import { neighboursOf } from "./neighbours.js";
import { partsOf } from "./parts.js";
import { placingOf } from "./placing.js";
import { severalOf } from "./several.js";
import { startsOf } from "./starting.js";
import { tracingOf } from "./tracing.js";
import { triesOf } from "./trying.js";
import { byId } from "./view/elements.js";
import { call, callAnew, forgetPreviews, Refused } from "./server.js";
import { usualWay } from "./kinds.js";
import { begun, bent, freeId, idOf, shapeOf, unplaced } from "./drafts.js";
import { circleOf, moved, ringOf, whyStill } from "./geometry/shapes.js";

/** @param {any} state @param {() => void} draw */
export function actsOf(state, draw) {
  const chosen = () => state.plan.surfaces.find((/** @type {any} */ s) => s.id === state.selected);

  /** @param {string} text @param {boolean} [isRefusal] */
  function say(text, isRefusal = false) {
    byId("said").textContent = text;
    byId("said").className = isRefusal ? "refused" : "";
  }

  /** @param {any} plan @param {string} said */
  function take(plan, said) {
    const before = state.plan.verdict?.status.word;
    state.plan = plan;
    state.trial = null;
    state.ghost = null;
    state.lost = false;
    for (const id of state.also) if (!plan.surfaces.some((/** @type {any} */ s) => s.id === id)) state.also.delete(id);
    if (state.selected && !chosen()) state.selected = null;
    if (state.thing && !acts.thing()) state.thing = null;
    const after = plan.verdict?.status.word;
    say(before && after && before !== after ? `${said}. Now: ${plan.verdict.headline}` : `${said}.`);
    draw();
    acts.redrawParts();
    acts.redrawLayers();
    late();
  }

  /** @param {unknown} wrong */
  async function refuse(wrong) {
    state.trial = null;
    if (wrong instanceof Refused) {
      say(wrong.message, true);
      if (wrong.status === 409) state.plan = await call("/plan");
    } else {
      state.lost = true;
      setTimeout(acts.reload, 1000);
    }
    draw();
  }

  async function late() {
    if (!state.plan.verdict?.findings.some((/** @type {any} */ f) => f.is_late)) return;
    const { revision } = state.plan;
    try {
      const found = await callAnew("late", `/late?revision=${revision}`);
      if (found?.revision !== state.plan.revision || !found.verdict) return;
      state.plan = { ...state.plan, verdict: found.verdict };
      draw();
    } catch (wrong) {
      if (!(wrong instanceof Refused) || wrong.status === 409 || revision !== state.plan.revision) return;
      state.plan = { ...state.plan, problem: wrong.message };
      draw();
    }
  }

  /** Changes go one after the other: each speaks of the plan that the one before it left. */
  /** @type {Promise<any>} */
  let last = Promise.resolve();

  /** @param {object} asked @param {string} [by] @returns {Promise<boolean>} */
  function change(asked, by = "") {
    return inTurn(() => sent(asked, by));
  }

  /** @param {() => Promise<any>} act */
  function inTurn(act) {
    last = last.then(act);
    return last;
  }

  /** @param {object} change @param {string} by */
  async function sent(change, by) {
    forgetPreviews();
    try {
      const plan = await call("/changes", { revision: state.plan.revision, change, key: crypto.randomUUID() });
      take(plan, by || plan.undo);
      return true;
    } catch (wrong) {
      await refuse(wrong);
      return false;
    }
  }

  const step = (/** @type {string} */ path, /** @type {string | (() => string)} */ said) => posted(path, () => ({}), said);

  /** Ask for a step of the plan as it is then; what is said may hang on it. @param {string} path @param {() => object} body @param {string | (() => string)} said */
  function posted(path, body, said) {
    forgetPreviews();
    return inTurn(async () => {
      const text = typeof said === "string" ? said : said();
      try {
        take(await call(path, { revision: state.plan.revision, ...body() }), text);
      } catch (wrong) { await refuse(wrong); }
    });
  }

  /** @param {string[]} field @param {any} value @param {string} [id] */
  function set(field, value, id) {
    const entry = id ? state.plan.surfaces.find((/** @type {any} */ s) => s.id === id)?.declared : chosen()?.declared;
    if (!entry) return undefined;
    let was = entry;
    for (const key of field) was = was?.[key];
    return change({ kind: "set", list: "surfaces", id: entry.id, field, value, was: was ?? null });
  }

  /** Put a new surface on the plan as the form of a new one says; its id, or nothing when refused. @param {any} shape */
  async function put(shape) {
    const { title, material, stage } = state.next;
    const id = freeId(idOf(title || material), state.plan.surfaces);
    const named = title && idOf(title) !== title.toLowerCase().replaceAll(" ", "-") ? { title } : {};
    const entry = { id, ...named, material, ...(stage === "existing" ? {} : { stage }), shape };
    if (!(await change({ kind: "put", list: "surfaces", entry, after: state.plan.surfaces.at(-1)?.id ?? null }))) return null;
    state.next.title = "";
    return id;
  }

  /** Put what the form says on the plan, surface or not; where it stands, or nothing when refused. @param {any} shape */
  async function putAny(shape) {
    if (state.next.other) return acts.putOther(state.next.other, shape);
    const id = await put(shape);
    return id && { list: "surfaces", id };
  }

  /** @type {any} */
  const acts = {
    say, change, set,
    async reload() {
      try { take(await call("/plan"), "The board answers again"); } catch (wrong) { await refuse(wrong); }
    },
    /** Whether what is touched is chosen: a place on the plan may be meant, for a corner or a middle. */
    isChoosing: () => !state.isSeveral && !state.isMoving && state.tool === "select",
    /** A tap on a surface, or beside all; with Shift or while several are chosen it adds to them. @param {string | null} id @param {any} event */
    choose(id, event) {
      if (id && state.tool === "select" && (state.isSeveral || event.shiftKey || event.ctrlKey || event.metaKey)) acts.alsoChoose(id);
      else acts.select(id);
    },
    dropChosen() { if (state.thing) acts.dropThing(); else if (state.also.size) acts.dropAll(); else acts.drop(); },
    nudgeChosen: (/** @type {number} */ dx, /** @type {number} */ dy) => (state.thing ? acts.nudgeThing(dx, dy) : state.also.size ? acts.nudgeAll(dx, dy) : state.selected ? acts.nudge(dx, dy) : undefined),
    /** @param {string | null} id */
    select(id) {
      if (id && state.tool !== "select") { state.tool = "select"; state.draft = null; }
      else if (state.selected === id && !state.also.size && !state.thing) return;
      state.selected = id;
      state.also.clear();
      state.thing = null;
      state.isMoving = false;
      draw();
      if (id) /** @type {any} */ (document.querySelector(`[data-id="${CSS.escape(id)}"]`))?.focus({ preventScroll: true });
    },
    /** Draw something that is no surface; in its usual way when none is said. @param {import("./kinds.js").Kind} other @param {string} [way] */
    useOther(other, way = usualWay(other)) {
      state.next.other = other;
      acts.use(way, true);
    },
    /** @param {string} tool @param {boolean} [isOther] */
    use(tool, isOther = false) {
      if (!isOther) state.next.other = null;
      state.next.width ||= state.plan.unit === "m" ? "1.2 m" : "4 ft";
      state.tool = tool;
      state.draft = tool === "select" ? null : begun(tool);
      state.isMoving = false;
      if (tool !== "select") state.fitting = null;
      draw();
      byId("plan").focus({ preventScroll: true });
    },
    async end() {
      if (state.tool.startsWith("survey-")) {
        const isDone = acts.fitted(state.tool, state.draft.points);
        acts.use("select");
        if (!isDone) byId("field-fit")?.focus();
        return;
      }
      if (state.tool.startsWith("put-")) {
        const { tool, draft: { points } } = state;
        acts.use("select");
        await acts.putThing(tool, points);
        return;
      }
      if (state.tool === "split") {
        const line = state.draft.points;
        acts.use("select");
        await posted("/split", () => ({ surface: state.selected, line }), "It is split");
        return;
      }
      const shape = shapeOf(state.draft, state.plan.unit);
      const tool = state.tool;
      state.draft = begun(tool);
      if (!shape) return draw();
      if (tool === "lot") {
        if (await change({ kind: "reshape", list: "", id: "", shape, was: state.plan.lot.declared })) acts.use("select");
        return;
      }
      if (tool === "strip") shape.strip.width = state.next.width;
      const made = await putAny(shape);
      if (!made) { draw(); return; }
      state.tool = "select";
      state.draft = null;
      state.next.other = null;
      acts.chooseIn(made.list, made.id);
    },
    /** Take the material and the stage that a name suggests. @param {string} name */
    async guess(name) {
      const found = await call(`/guess?${new URLSearchParams({ name })}`).catch(() => ({}));
      if (state.next.title !== name) return;
      if (found.material) state.next.material = byId("new-material").value = found.material;
      if (found.stage) state.next.stage = byId("new-stage").value = found.stage;
    },
    /** Draw what the form of a new thing says, and be ready for the next one. @param {{texts: string[], from: any}} given The measures, and from what they are. */
    async drawTyped(given) {
      const n = given.texts.map((text) => (text.trim() === "" ? Number.NaN : Number(text)));
      const { tool, next: { other } } = state;
      if (n.some((x) => !Number.isFinite(x))) { say("Write each measure as a number.", true); return; }
      const shape = tool === "circle" ? circleOf([n[0], n[1]], n[2], state.plan.unit)
        : tool === "point" ? { at: [n[0], n[1]] } : { rectangle: { corner: [n[0], n[1]], size: [n[2], n[3]] } };
      if (given.from) shape.measured_from = given.from.measured_from;
      const made = await putAny(shape);
      if (!made) return;
      if (other?.list === "holes") { acts.use("select"); acts.chooseIn(made.list, made.id); return; }
      // Who has gone on meanwhile is not called back.
      if (state.tool !== tool) return;
      // A band is drawn round what was drawn last, without choosing it first.
      if (!other) state.selected = made.id;
      state.draft = begun(state.tool);
      state.next.given = {};
      draw();
      (byId("new-title") ?? byId("new-level")).focus();
    },
    /** @param {any} shape */
    reshape(shape) {
      const entry = chosen()?.declared;
      if (!entry || JSON.stringify(shape) === JSON.stringify(entry.shape)) return undefined;
      return change({ kind: "reshape", list: "surfaces", id: entry.id, shape, was: entry.shape });
    },
    /** @param {number} dx @param {number} dy */
    nudge(dx, dy) {
      const next = chosen() && moved(chosen().declared.shape, dx, dy);
      if (next) return acts.reshape(next);
      if (chosen()) say(whyStill(chosen().declared.shape), true);
      return undefined;
    },
    bend() {
      if (!state.draft?.points.length) { say("Place the corner that the arc begins at first.", true); return; }
      state.draft = bent(state.draft);
      say(state.draft.isArc ? "Tap a place on the arc, then its end." : "The next edge is straight.");
      draw();
    },
    unplace() { state.draft = unplaced(state.draft); say("The last point is taken back."); draw(); },
    moveByTap() {
      state.isMoving = true;
      say("Tap the place where its middle goes.");
      draw();
    },
    copy() {
      const entry = structuredClone(chosen()?.declared);
      const shape = entry && moved(entry.shape, 2, 2);
      if (!shape) { say("It is measured from something else and cannot be copied.", true); return; }
      entry.id = freeId(entry.id, state.plan.surfaces);
      change({ kind: "put", list: "surfaces", entry: { ...entry, shape }, after: chosen().id })
        .then((done) => { if (done) acts.select(entry.id); });
    },
    drop() {
      const at = state.plan.surfaces.findIndex((/** @type {any} */ s) => s.id === state.selected);
      const next = state.plan.surfaces[at + 1]?.id ?? state.plan.surfaces[at - 1]?.id ?? null;
      change({ kind: "drop", list: "surfaces", id: state.selected }).then((done) => { if (done) acts.select(next); });
    },
    ring() {
      const around = state.selected;
      const { stage, nature } = chosen();
      const isCoping = nature === "water";
      const id = freeId(isCoping ? "coping" : `${around}-border`, state.plan.surfaces);
      const kept = stage === "existing" ? {} : { stage };
      const entry = { id, material: isCoping ? "pool-coping" : chosen().material, ...kept, shape: ringOf(around, state.plan.unit === "m" ? "0.3 m" : "12 in") };
      change({ kind: "put", list: "surfaces", entry, after: around }).then((done) => { if (done) acts.select(id); });
    },
    undo: () => step("/undo", () => `Undone: ${state.plan.undo}`),
    redo: () => step("/redo", () => `Made again: ${state.plan.redo}`),
    save: () => step("/save", "Saved"),
    takeFile: () => step("/take-file", "The file is taken; undo brings your design back"),
    keepDesign: () => step("/keep-design", "Your design is kept; save it to the file when you like"),
    /** @param {number} by */
    zoom(by) {
      const box = state.box();
      const [width, height] = [box.width * by, box.height * by];
      state.view = { x: box.x + (box.width - width) / 2, y: box.y + (box.height - height) / 2, width, height };
      draw();
    },
    whole() { state.view = null; draw(); },
    late,
  };
  const base = { layers: () => acts.layers(), change, set, useOther: acts.useOther, select: acts.select, nudge: acts.nudgeChosen, posted, take, refuse, say, draw, use: acts.use };
  return Object.assign(acts, answersOf(state, base), neighboursOf(state, base), startsOf(state, base), leastOf(state, base), handingOf(state, base), tracingOf(state, base), triesOf(state, base), partsOf(state, base), placingOf(base), layersOf(state, base), severalOf(state, base), movesOf(state, base));
}
