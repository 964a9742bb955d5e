// @ts-check
/** One table of commands: the toolbar, the keys and the help read it. */

/** Whether a surface is drawn with a tool. @param {string} tool */
const isSurface = (tool) => (/** @type {any} */ s) => s.tool === tool && s.next.other === null;

export const commands = Object.freeze([
  { group: "Draw", id: "select", label: "Select", keys: "v", tool: "select", run: (/** @type {any} */ a) => a.use("select") },
  { group: "Draw", id: "several", label: "Choose several", keys: "m", tool: null, isOn: (/** @type {any} */ s) => s.isSeveral, run: (/** @type {any} */ a) => a.several() },
  { group: "Draw", id: "rectangle", label: "Rectangle", keys: "r", tool: "rectangle", isOn: isSurface("rectangle"), run: (/** @type {any} */ a) => a.use("rectangle") },
  { group: "Draw", id: "polygon", label: "Polygon", keys: "p", tool: "polygon", isOn: isSurface("polygon"), run: (/** @type {any} */ a) => a.use("polygon") },
  { group: "Draw", id: "strip", label: "Walk", keys: "w", tool: "strip", isOn: isSurface("strip"), run: (/** @type {any} */ a) => a.use("strip") },
  { group: "Draw", id: "circle", label: "Circle", keys: "c", tool: "circle", isOn: isSurface("circle"), run: (/** @type {any} */ a) => a.use("circle") },
  { group: "Draw", id: "ring", label: "Band around", keys: "b", tool: null, when: (/** @type {any} */ s) => s.selected !== null, run: (/** @type {any} */ a) => a.ring() },
  { group: "Draw", id: "other", label: "Easement, well, tree", keys: "e", tool: null, isOn: (/** @type {any} */ s) => s.next.other !== null && !["holes", "levels"].includes(s.next.other.list) && s.tool !== "select", run: (/** @type {any} */ a) => a.useOther({ list: "regions", kind: "easement" }) },
  { group: "Draw", id: "level", label: "Spot level", keys: "i", tool: null, isOn: (/** @type {any} */ s) => s.next.other?.list === "levels" && s.tool !== "select", run: (/** @type {any} */ a) => a.useOther({ list: "levels", kind: "ground" }) },
  { group: "Draw", id: "hole", label: "Hole", keys: "h", tool: null, isOn: (/** @type {any} */ s) => s.next.other?.list === "holes" && s.tool !== "select", when: (/** @type {any} */ s) => s.selected !== null || ["features", "regions"].includes(s.thing?.list), run: (/** @type {any} */ a) => a.hole() },
  { group: "Draw", id: "arc", label: "Arc", keys: "a", tool: null, when: (/** @type {any} */ s) => Boolean(s.draft?.points.length) && ["polygon", "lot", "line"].includes(s.tool), run: (/** @type {any} */ a) => a.bend() },
  { group: "Draw", id: "split", label: "Split", keys: "x", tool: "split", when: (/** @type {any} */ s) => s.selected !== null, run: (/** @type {any} */ a) => a.use("split") },
  { group: "Draw", id: "lot", label: "Lot line", keys: "o", tool: "lot", run: (/** @type {any} */ a) => a.use("lot") },
  { group: "Steps", id: "undo", label: "Undo", keys: "Ctrl+Z", when: (/** @type {any} */ s) => s.plan.undo !== null, run: (/** @type {any} */ a) => a.undo() },
  { group: "Steps", id: "redo", label: "Redo", keys: "Ctrl+Y", when: (/** @type {any} */ s) => s.plan.redo !== null, run: (/** @type {any} */ a) => a.redo() },
  { group: "View", id: "closer", label: "Closer", keys: "+", run: (/** @type {any} */ a) => a.zoom(0.8) },
  { group: "View", id: "farther", label: "Farther", keys: "-", run: (/** @type {any} */ a) => a.zoom(1.25) },
  { group: "View", id: "whole", label: "Whole lot", keys: "0", run: (/** @type {any} */ a) => a.whole() },
  { group: "Rooms", id: "least", label: "Find the least change", keys: "l", run: (/** @type {any} */ a) => a.least() },
  { group: "Rooms", id: "try", label: "Try materials", keys: "t", run: (/** @type {any} */ a) => a.tryMaterials() },
  { group: "Rooms", id: "variants", label: "Variants", keys: "n", run: (/** @type {any} */ a) => a.variants() },
  { group: "Rooms", id: "drainage", label: "Drainage", keys: "d", run: (/** @type {any} */ a) => a.drainage() },
  { group: "Rooms", id: "sections", label: "Sections", keys: "s", run: (/** @type {any} */ a) => a.sections() },
]);

/** The command of a key press on the plan. @param {KeyboardEvent} event */
export function commandOf(event) {
  if (event.ctrlKey || event.metaKey) {
    if (event.key.toLowerCase() === "z") return event.shiftKey ? "redo" : "undo";
    if (event.key.toLowerCase() === "y") return "redo";
    return null;
  }
  if (event.altKey) return null;
  return commands.find((command) => command.keys === event.key)?.id ?? null;
}
