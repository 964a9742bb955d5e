// @ts-check
/** What stands below the plan: what to do next, typed lengths, and the acts of what is being drawn. */

import { canEnd } from "../drafts.js";
import { button, byId, filled, remembering } from "./elements.js";

const memory = remembering();

/** @param {any} state */
function hint(state) {
  if (state.isMoving) return "Tap the place where its middle goes; Escape leaves it.";
  switch (state.tool) {
    case "rectangle": return "Two opposite corners: tap each, or type the width and depth after the first.";
    case "lot": return "Tap each corner of the lot, or type a length in the direction of the pointer; Enter ends it.";
    case "polygon": return "Tap each corner; a makes the next edge an arc; Enter or a tap on the first corner ends it.";
    case "split": return "Tap two points of the line along which it is cut.";
    case "strip": return "Tap the points of its middle line; Enter ends it. Its width stands in the form.";
    case "survey-scale": return "Tap two points of the survey whose distance is known.";
    case "survey-turn": return "Tap two points of a line of the survey whose direction is known.";
    case "survey-move": return "Tap a point of the survey, then the place where it lies.";
    case "put-drain": case "put-well": case "put-outlet": return "Tap where it lies.";
    case "put-channel": case "put-pipe": case "put-edge": return "Tap its two ends, the upper one first.";
    case "point": return "Tap where it lies, or type how far from the left and from the bottom.";
    case "line": return "Tap its points, or type a length in the direction of the pointer; Enter ends it.";
    case "circle": return "Tap the middle, then the edge, or type the radius.";
    default: return "Tap a surface to choose it; drag it or its corners. Arrow keys move it, Tab goes on.";
  }
}

/** @param {any} state @param {any} acts */
export function drawPen(state, acts) {
  byId("hint").textContent = hint(state);
  byId("pen").classList.toggle("idle", state.tool === "select" || state.tool.startsWith("survey-"));
  const { ghost, draft, tool } = state;
  const isBegun = tool !== "select" && Boolean(draft?.points.length);
  const made = (/** @type {string} */ name, /** @type {() => any} */ run) => memory.kept(name, [ghost?.key], () => button(name, run, { id: name.startsWith("Take this") ? "over-take" : null }));
  filled(byId("over"), ...[
    ...(ghost ? [made("Take this option", acts.takeShown), made("Back to the options", acts.hideShown)] : []),
    ...(isBegun && canEnd(draft) ? [made("End it here", acts.end)] : []),
    ...(isBegun ? [made("Take the last point back", acts.unplace)] : []),
    ...(tool !== "select" && !ghost ? [made("Leave it", () => acts.use("select"))] : []),
  ]);
  memory.turn();
}
