// @ts-check
/** Usual sections to begin with; thicknesses are common practice, no source, and there to be changed. */

const UNITS = { course: "unit", title: "Units", thickness: "2-3/8 in", length: "9 in", width: "6 in" };
const JOINTS = { course: "joint", title: "Joint stone", stone: "89", width: "3/8 in", washed: true };
const BED = { course: "bedding", title: "Bedding", stone: "8", thickness: "2 in", porosity: "40 %", washed: true };
const FABRIC = { course: "fabric", title: "Fabric" };
/** @param {string} stone @param {string} thickness */
const open = (stone, thickness) => ({ course: "base", title: "Base", stone, thickness, porosity: "40 %", washed: true });
/** @param {string} thickness */
const dense = (thickness) => ({ course: "base", title: "Dense base", stone: "dense-base", thickness, compaction: "plate in lifts" });
/** @param {boolean} compacted */
const ground = (compacted) => ({ course: "subgrade", title: "Subgrade", compacted });
/** @param {string} title @param {string} thickness */
const whole = (title, thickness) => ({ course: "unit", title, thickness });
const PIPE = { diameter: "4.5 in", holes: "3/8 in", holes_down: true, wrapped: true, above_subgrade: "3 in", slope: "0.5 %" };

const PERMEABLE = { kind: "permeable", use: "pedestrian", standard: "permeable-pedestrian" };
const SAND_SET = { kind: "conventional", use: "pedestrian", standard: "sand-set-pedestrian" };

/** @type {[string, string, any][]} Key, what a person reads, and what the file gets. */
export const SECTION_KINDS = [
  ["permeable", "Permeable units on open-graded stone", { ...PERMEABLE, courses: [UNITS, JOINTS, BED, open("57", "12 in"), ground(false)] }],
  ["drained", "The same with a perforated pipe", { ...PERMEABLE, courses: [UNITS, JOINTS, BED, open("57", "12 in"), ground(false)], pipe: PIPE, well: { diameter: "6 in", capped: true } }],
  ["bay", "Permeable units for cars, on base and subbase", { ...PERMEABLE, use: "vehicle", standard: "permeable-vehicle",
    courses: [{ ...UNITS, thickness: "3-1/8 in" }, JOINTS, BED, open("57", "4 in"), { ...open("2", "12 in"), course: "subbase", title: "Subbase" }, ground(true)] }],
  ["sand-set", "Units on sand and dense base", { ...SAND_SET, courses: [UNITS, { course: "joint", title: "Joint sand", width: "1/8 in" },
    { course: "bedding", title: "Bedding sand", stone: "concrete-sand", thickness: "1 in" }, dense("4 in"), ground(true)] }],
  ["slab", "Concrete slab on dense base", { kind: "conventional", use: "pedestrian", courses: [whole("Concrete slab", "4 in"), dense("4 in"), ground(true)] }],
  ["porous-asphalt", "Porous asphalt on open-graded stone", { kind: "permeable", use: "vehicle",
    courses: [whole("Porous asphalt", "3 in"), { ...open("57", "2 in"), course: "choker", title: "Choker" }, open("2", "12 in"), ground(false)] }],
  ["pervious-concrete", "Pervious concrete on open-graded stone", { kind: "permeable", use: "pedestrian",
    courses: [whole("Pervious concrete", "6 in"), open("57", "8 in"), ground(false)] }],
  ["gravel", "Gravel on fabric", { kind: "permeable", use: "pedestrian", courses: [{ ...open("57", "4 in"), title: "Gravel" }, FABRIC, ground(false)] }],
];
