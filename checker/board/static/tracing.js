// @ts-check
/** The scanned survey below the drawing: its picture, and how it is scaled, turned and moved. */

import { file } from "./server.js";

/** @typedef {[number, number]} Point */

/** Digits of the file's unit that a place of the survey is worth. */
const tidy = (/** @type {number} */ value) => Math.round(value * 1e4) / 1e4;

/** @param {Point} at @param {Point} about @param {number} by @param {number} degrees @returns {Point} */
function turned(at, about, by, degrees) {
  const angle = (degrees * Math.PI) / 180;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const [dx, dy] = [(at[0] - about[0]) * by, (at[1] - about[1]) * by];
  return [tidy(about[0] + dx * c - dy * s), tidy(about[1] + dx * s + dy * c)];
}

/** The length of a typed text in the file's unit: 12.5, or feet and inches like 12'6". @param {string} text */
export function lengthOf(text) {
  const feet = /^([0-9.]+)\s*'\s*(?:([0-9.]+)\s*"?)?$/.exec(text.trim());
  if (feet) return Number(feet[1]) + Number(feet[2] ?? 0) / 12;
  return Number(/^[0-9.]+/.exec(text.trim())?.[0] ?? Number.NaN);
}

/** Degrees counter-clockwise from the right: a number, or a bearing like N 26 10 00 E. @param {string} text @param {number} north */
export function directionOf(text, north) {
  const bearing = /^([NS])\s*([0-9.]+)(?:[\s°-]+([0-9.]+))?(?:[\s'-]+([0-9.]+))?[\s"'°]*([EW])$/i.exec(text.trim());
  if (!bearing) return text.trim() === "" ? Number.NaN : Number(text);
  const angle = Number(bearing[2]) + Number(bearing[3] ?? 0) / 60 + Number(bearing[4] ?? 0) / 3600;
  const isNorth = bearing[1].toUpperCase() === "N";
  const isEast = bearing[5].toUpperCase() === "E";
  const clockwise = isNorth ? (isEast ? angle : -angle) : 180 - (isEast ? angle : -angle);
  return 90 - clockwise - north;
}

/** The survey scaled about a first point so that two points are so far apart. @param {any} traced @param {Point[]} points @param {number} length */
export function scaled(traced, [a, b], length) {
  const by = length / Math.hypot(b[0] - a[0], b[1] - a[1]);
  return Number.isFinite(by) && by > 0 ? { ...traced.declared, corner: turned(traced.corner, a, by, 0), width: tidy(traced.width * by) } : null;
}

/** The survey turned about a first point so that the line to the second runs as told. @param {any} traced @param {Point[]} points @param {number} direction */
export function levelled(traced, [a, b], direction) {
  const now = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  const by = direction - now;
  if (!Number.isFinite(by)) return null;
  const turn = tidy((((traced.turned + by) % 360) + 360) % 360);
  return { ...traced.declared, corner: turned(traced.corner, a, 1, by), turned: turn };
}

/** The survey shifted so that its first point comes to lie on the second. @param {any} traced @param {Point[]} points */
export const shifted = (traced, [a, b]) =>
  ({ ...traced.declared, corner: [tidy(traced.corner[0] + b[0] - a[0]), tidy(traced.corner[1] + b[1] - a[1])] });

/** @param {any} state @param {{change: any, say: any, draw: () => void}} base */
export function tracingOf(state, { change, say, draw }) {
  let shown = "";

  /** Fetch the picture when another one is to be shown. */
  async function follow() {
    const { traced } = state.plan;
    const key = traced && !traced.problem ? `${traced.file} ${traced.page}` : "";
    if (key === shown) return;
    shown = key;
    if (state.survey) URL.revokeObjectURL(state.survey);
    state.survey = null;
    if (key) {
      try { state.survey = URL.createObjectURL(await file("/survey")); } catch { /* told in the form */ }
      draw();
    }
  }

  /** @param {any} value @param {string} says */
  function put(value, says) {
    if (!value) { say("That cannot be read; write a length like 80, or a bearing like N 26 10 00 E.", true); return; }
    change({ kind: "group", changes: [{ kind: "set", list: "", id: "", field: ["traced_over"], value, was: state.plan.traced.declared }], says });
  }

  return {
    follow,
    /** Two points were placed: shift at once, or wait for what is typed. @param {string} tool @param {Point[]} points */
    fitted(tool, points) {
      if (tool === "survey-move") { put(shifted(state.plan.traced, points), "survey moved"); return true; }
      state.fitting = { tool, points };
      return false;
    },
    /** @param {string} text */
    fitTyped(text) {
      const { tool, points } = state.fitting;
      const { traced, north } = state.plan;
      state.fitting = null;
      if (tool === "survey-scale") put(scaled(traced, points, lengthOf(text)), "survey scaled");
      else put(levelled(traced, points, directionOf(text, north)), "survey turned");
    },
    /** @param {number} page */
    page: (page) => put({ ...state.plan.traced.declared, page }, "another page of the survey"),
    dropSurvey: () => change({ kind: "group", changes: [{ kind: "set", list: "", id: "", field: ["traced_over"], value: null, was: state.plan.traced.declared }], says: "survey taken away" }),
  };
}
