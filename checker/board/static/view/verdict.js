// @ts-check
/** The verdict: one line for the whole, then a row for each rule with a bar of measured and limit. */

import { byId, el } from "./elements.js";

/**
 * @param {any} state
 * @param {{answer: (ask: any, value: string) => void}} acts
 */
export function drawVerdict(state, acts) {
  const room = byId("verdict-body");
  const { plan, trial } = state;
  const verdict = trial ?? plan.verdict;
  if (!verdict) {
    room.replaceChildren(el("p", { class: "problem" }, plan.problem || "No verdict yet."));
    return;
  }
  room.replaceChildren(
    el("p", { class: `whole ${verdict.status.kind}` }, el("span", { class: "sign", "aria-hidden": "true" }, verdict.status.sign), " ", el("strong", {}, verdict.status.word), `: ${verdict.headline}`),
    trial ? el("p", { class: "trial" }, "While you drag; nothing is changed yet.") : el("p", { class: "place" }, `${verdict.place}. ${verdict.verify}`),
    el("ul", { class: "rules" }, ...verdict.findings.map((/** @type {any} */ row) => rule(row, acts))),
  );
}

/** @param {any} row @param {any} acts */
function rule(row, acts) {
  if (row.is_late) {
    return el("li", { class: "rule late" }, el("p", {}, el("strong", {}, row.title), ": being worked out"));
  }
  const numbers = row.order ? `${row.measured}, ${row.order} ${row.limit}` : "";
  return el("li", { class: `rule ${row.status.kind}` },
    el("p", {}, el("span", { class: "sign", "aria-hidden": "true" }, row.status.sign), " ", el("strong", {}, row.title), `: ${row.status.word}`),
    row.share === null ? null : bar(row),
    numbers ? el("p", { class: "numbers" }, numbers, row.margin ? el("span", { class: "room" }, ` (${row.margin})`) : null) : null,
    ...row.because.map((/** @type {string} */ text) => el("p", { class: "why" }, text)),
    ...row.asks.map((/** @type {any} */ ask) => question(ask, acts)),
  );
}

/** @param {any} row */
function bar(row) {
  const share = Math.min(row.share / 1.25, 1);
  return el("div", { class: "bar", "aria-hidden": "true" },
    el("div", { class: "fill", style: null, "data-share": share }),
    el("div", { class: "limit" }));
}

/** @param {any} ask @param {any} acts */
function question(ask, acts) {
  const id = `ask-${ask.of}-${ask.name}`.replace(/[^a-z0-9-]/gi, "-");
  if (!ask.name) return el("p", { class: "ask" }, ask.ask);
  const options = ask.kind === "yes or no" ? ["yes", "no"] : ask.choices;
  const field = options.length
    ? el("select", { id, change: (/** @type {any} */ e) => acts.answer(ask, e.target.value) },
        el("option", { value: "" }, "choose"), ...options.map((/** @type {string} */ o) => el("option", { value: o }, o)))
    : el("input", { id, autocomplete: "off", change: (/** @type {any} */ e) => acts.answer(ask, e.target.value) });
  return el("p", { class: "ask" }, el("label", { for: id }, ask.ask), " ", field);
}

/** Bars get their width by script, since the page allows no styles in its markup. */
export function sizeBars() {
  for (const fill of document.querySelectorAll(".bar .fill")) {
    const share = Number(fill.getAttribute("data-share"));
    /** @type {HTMLElement} */ (fill).style.width = `${share * 100}%`;
  }
}
