// @ts-check
/** The verdict: one line for the whole, then a row for each rule with a bar of measured and limit. */

import { button, byId, el, filled, row } from "./elements.js";

/**
 * @param {any} state
 * @param {any} acts
 */
export function drawVerdict(state, acts) {
  const room = byId("verdict-body");
  const { plan, trial } = state;
  const verdict = trial ?? plan.verdict;
  if (!verdict) {
    room.replaceChildren(el("p", { class: "problem" }, plan.problem || "No verdict yet."));
    return;
  }
  filled(room,
    plan.problem ? el("p", { class: "problem" }, plan.problem) : null,
    el("p", { class: `whole ${verdict.status.kind}` }, el("span", { class: "sign", "aria-hidden": "true" }, verdict.status.sign), " ", el("strong", {}, verdict.status.word), `: ${verdict.headline}`),
    trial ? el("p", { class: "trial" }, "While you drag; nothing is changed yet.") : el("p", { class: "place" }, `${verdict.place}. ${verdict.verify}`),
    trial || !verdict.questions.length ? null : el("div", { class: "questions" },
      el("h3", {}, verdict.questions.length === 1 ? "One question is open" : `${verdict.questions.length} questions are open`),
      ...verdict.questions.map((/** @type {any} */ ask) => question(ask, acts))),
    el("ul", { class: "rules" }, ...verdict.findings.filter((/** @type {any} */ row) => !row.is_late).map(rule),
      ...lateRules(verdict.findings.filter((/** @type {any} */ row) => row.is_late))),
  );
}

/** @param {any} row */
function rule(row) {
  const numbers = row.order ? `${row.measured}, ${row.order} ${row.limit}` : "";
  return el("li", { class: `rule ${row.status.kind}` },
    el("p", {}, el("span", { class: "sign", "aria-hidden": "true" }, row.status.sign), " ", el("strong", {}, row.title), `: ${row.status.word}`),
    row.share === null ? null : bar(row),
    numbers ? el("p", { class: "numbers" }, numbers, row.margin ? el("span", { class: "room" }, ` (${row.margin})`) : null) : null,
    ...row.because.map((/** @type {string} */ text) => el("p", { class: "why" }, text)),
    ...row.asks.map((/** @type {string} */ ask) => el("p", { class: "why" }, ask)),
  );
}

/** The rules that follow storms, in one line that opens, until they are known. @param {any[]} rows */
function lateRules(rows) {
  if (!rows.length) return [];
  if (rows.length === 1) return [el("li", { class: "rule late" }, el("p", {}, el("strong", {}, rows[0].title), ": being worked out"))];
  return [el("li", { class: "rule late" }, el("details", {}, el("summary", {}, `${rows.length} more rules are being worked out`),
    el("ul", {}, ...rows.map((row) => el("li", {}, row.title)))))];
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
  if (ask.draws) {
    return el("div", { class: "ask", role: "group", "aria-label": ask.title }, el("span", {}, ask.title),
      el("span", { class: "buttons" }, button("Draw it", () => acts.drawAsked(ask)), button("There is none", () => acts.noneOf(ask))));
  }
  const id = `ask-${ask.of}-${ask.name}`.replace(/[^a-z0-9-]/gi, "-");
  const then = (/** @type {any} */ e) => acts.answer(ask, e.target.value);
  const field = ask.choices.length
    ? el("select", { id, change: then }, el("option", { value: "" }, "choose"), ...ask.choices.map((/** @type {string} */ o) => el("option", { value: o }, o.replaceAll("-", " "))))
    : el("input", { id, autocomplete: "off", change: then });
  return row(id, ask.title, field, "ask");
}

/** Bars get their width by script, since the page allows no styles in its markup. */
export function sizeBars() {
  for (const fill of document.querySelectorAll(".bar .fill")) {
    const share = Number(fill.getAttribute("data-share"));
    /** @type {HTMLElement} */ (fill).style.width = `${share * 100}%`;
  }
}
