// @ts-check
/** Papers of the report on the page: the same blocks, each text as a text and never as markup. */

import { el } from "./elements.js";

/**
 * @param {any[]} blocks
 * @param {(section: any) => (Node | null)} [beside] What a section gets at its end, e.g. a button.
 * @param {number} [level] Of the headings.
 * @returns {Node[]}
 */
export function blockNodes(blocks, beside = () => null, level = 3) {
  return blocks.map((block) => node(block, beside, level));
}

/** @param {any} block @param {(section: any) => (Node | null)} beside @param {number} level @returns {Node} */
function node(block, beside, level) {
  switch (block.block) {
    case "text": return el("p", { class: block.kind }, ...block.runs.map(run));
    case "bullets":
      return el("div", {}, block.label ? el("p", {}, block.label) : null,
        el(block.is_numbered ? "ol" : "ul", {}, ...block.items.map((/** @type {string} */ t) => el("li", {}, t))));
    case "pairs":
      return el("dl", {}, ...block.items.flatMap((/** @type {string[]} */ p) => [el("dt", {}, p[0]), el("dd", {}, p[1])]));
    case "table": return tableOf(block);
    case "picture":
      return el("figure", {}, el("img", { alt: block.says, src: `data:image/svg+xml,${encodeURIComponent(block.svg)}` }), el("figcaption", {}, block.caption));
    case "fold":
      return el("details", {}, el("summary", {}, block.title), ...blockNodes(block.blocks, beside, level));
    case "section":
      return el("section", {}, block.title === "" ? null : el(`h${Math.min(level, 6)}`, {}, ...(block.status ? [run(block.status), " "] : []), block.title),
        ...blockNodes(block.blocks, beside, level + 1), beside(block));
    default: return el("p", {}, `${block.title}: ${block.says}`);
  }
}

/** @param {any} part @returns {Node | string} */
function run(part) {
  if (part.sign) return el("span", { class: `chip ${part.kind}` }, el("span", { "aria-hidden": "true" }, `${part.sign} `), part.text);
  return part.kind === "strong" ? el("strong", {}, part.text) : part.text;
}

/** @param {any} block */
function tableOf(block) {
  return el("div", { class: "wide", tabindex: "0", role: "region", "aria-label": block.caption },
    el("table", {}, el("caption", {}, block.caption),
      el("thead", {}, el("tr", {}, ...block.columns.map((/** @type {any[]} */ c) => el("th", { scope: "col", class: c[1] ? "number" : null }, c[0])))),
      el("tbody", {}, ...block.rows.map((/** @type {any} */ row) => el("tr", { class: row.kind },
        ...row.cells.map((/** @type {any} */ cell, /** @type {number} */ i) => (i === block.header
          ? el("th", { scope: "row" }, run(cell))
          : el("td", { class: block.columns[i]?.[1] ? "number" : null }, run(cell)))))))));
}
