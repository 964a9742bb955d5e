// @ts-check
/** A place of one's own: the form for a new place, its answers read back, its rule set put to use. */

import { call, Refused } from "./server.js";
import { button, byId, el, filled, row, typed } from "./view/elements.js";

/** @param {{posted: any, refuse: any, say: any}} base */
export function placingOf({ posted, refuse, say }) {
  /** @type {any[]} */
  let questions = [];

  async function newPlace() {
    byId("place-room").hidden = false;
    try {
      ({ questions } = await call("/place-form"));
    } catch (wrong) { await refuse(wrong); return; }
    const field = (/** @type {any} */ q) => row(`place-${q.key}`, `${q.ask}${q.is_needed ? " (needed)" : ""}`,
      typed(`place-${q.key}`, "", undefined, { placeholder: q.like, required: q.is_needed }));
    filled(byId("place"), el("form", { submit: (/** @type {any} */ e) => { e.preventDefault(); readBack(); } },
      el("p", {}, "Answer what you can read off the office's page. What stays empty stays \u201ccannot tell\u201d until somebody knows."),
      el("fieldset", {}, el("legend", {}, "The law and its limit"), el("div", { class: "part" }, ...questions.filter((q) => !q.is_surface).map(field))),
      el("fieldset", {}, el("legend", {}, "How much counts: full, none, half, 25 %, or full each over 120 sq ft"),
        el("div", { class: "part" }, ...questions.filter((q) => q.is_surface).map(field))),
      el("div", { class: "buttons" }, el("button", {}, "Read it back to me"))),
      el("div", { id: "place-read", "aria-live": "polite" }));
    byId("place-title-head").scrollIntoView({ block: "start" });
    byId("place-title").focus({ preventScroll: true });
  }

  const answers = () => Object.fromEntries(questions.map((q) => [q.key, byId(`place-${q.key}`).value.trim()]).filter(([, v]) => v));

  async function readBack() {
    try {
      const found = await call("/place-form/draft", { answers: answers() });
      filled(byId("place-read"),
        el("p", {}, "It says this; tick what is what the text says:"),
        ...found.sentences.map((/** @type {string} */ says) => el("p", {}, el("label", { class: "tick" }, el("input", { type: "checkbox", name: "confirmed", value: says }), says))),
        found.open.length ? el("p", {}, `Left open: ${found.open.map((/** @type {string} */ key) => key.replaceAll("_", " ")).join(", ")}.`) : null,
        el("div", { class: "buttons" }, button("Write it and use it", write)));
      say("What was understood stands below the form.");
    } catch (wrong) {
      const text = wrong instanceof Refused ? wrong.message : "";
      filled(byId("place-read"), el("p", { class: "problem" }, text));
      say(text, true);
    }
  }

  function write() {
    const confirmed = [...document.querySelectorAll("#place-read input:checked")].map((box) => /** @type {any} */ (box).value);
    return posted("/place-form/write", () => ({ answers: answers(), confirmed }), "The place is written beside the site file and used");
  }

  return { newPlace };
}
