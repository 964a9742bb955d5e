// @ts-check
/** How a design begins: the job and the lot as one change, a sample, or a file that is handed in. */

import { send } from "./server.js";

/** The lot's sides when the street runs along a line of a rectangle. @param {number} street */
function sidesOf(street) {
  const at = (/** @type {number} */ n) => ((street - 1 + n) % 4) + 1;
  return { front: [at(0)], rear: [at(2)], side: [at(1), at(3)].sort() };
}

/** @param {any} state @param {{change: any, posted: any, take: any, refuse: any, say: any, use: any, layers: any}} base */
export function startsOf(state, base) {
  const { change, posted, take, refuse, say, use } = base;
  const set = (/** @type {string[]} */ field, /** @type {any} */ value, /** @type {any} */ was) =>
    ({ kind: "set", list: "", id: "", field, value, was: was ?? null });

  /** @param {any} head */
  function headChanges(head) {
    const { plan } = state;
    return [
      ...(head.title && head.title !== plan.titled ? [set(["title"], head.title, plan.titled)] : []),
      ...(head.place && head.place !== plan.place ? [set(["place"], head.place, plan.place)] : []),
      ...(head.units !== plan.unit ? [set(["units"], head.units, plan.unit)] : []),
    ];
  }

  /** @param {any} lot */
  function lotChanges(lot) {
    const was = state.plan.lot.declared;
    const reshape = (/** @type {any} */ shape) => ({ kind: "reshape", list: "", id: "", shape, was });
    if (lot.courses !== undefined) {
      const courses = lot.courses.split(/\n+/).map((/** @type {string} */ line) => line.trim()).filter(Boolean);
      return [reshape({ courses })];
    }
    const [w, d] = [Number(lot.width), Number(lot.depth)];
    const sides = lot.street ? [set(["lot", "sides"], sidesOf(Number(lot.street)), state.plan.lot.sides)] : [];
    return [reshape({ points: [[0, 0], [w, 0], [w, d], [0, d]] }), ...sides];
  }

  const layers = () => base.layers();

  return {
    /** @param {any} head @param {any} lot */
    async begin(head, lot) {
      if ("width" in lot && !(Number(lot.width) > 0 && Number(lot.depth) > 0)) {
        say("Write the width and the depth of the lot as numbers.", true);
        return;
      }
      if (lot.courses === "") { say("Write the courses of the deed, one a line.", true); return; }
      const file = lot.drawing ?? lot.picture;
      const rest = file || state.plan.rest ? [] : [set(["rest_of_lot"], head.rest, null)];
      const changes = [...headChanges(head), ...rest, ...(file || lot.corners ? [] : lotChanges(lot))];
      const says = file || lot.corners ? "job described" : "lot drawn";
      if (changes.length && !(await change({ kind: "group", changes, says }))) return;
      if (lot.corners) { state.isBegun = true; use("lot"); }
      if (lot.drawing) await handIn("drawing", lot.drawing);
      if (lot.picture) await handIn("survey", lot.picture);
    },
    /** @param {string} name */
    takeSample: (name) => posted("/starts/sample", () => ({ name }), "The sample is on the board"),
    handIn,
  };

  /** Hand a file in, as a drawing or as a survey to trace. @param {"drawing" | "survey"} kind @param {File} file */
  async function handIn(kind, file) {
    say(`Reading ${file.name} ...`);
    try {
      const query = new URLSearchParams({ name: file.name, revision: String(state.plan.revision) });
      take(await send(`/files/${kind}?${query}`, file), `${file.name} is kept beside the site file`);
      if (kind === "drawing") layers();
    } catch (wrong) { await refuse(wrong); }
  }
}
