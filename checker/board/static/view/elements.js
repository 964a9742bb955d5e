// @ts-check
/** Making elements; a text of a file is only ever a text node or an attribute, never markup. */

/**
 * @param {string} name
 * @param {Record<string, string | number | boolean | EventListener | null>} [attributes]
 * @param {...(Node | string | null)} inside
 * @returns {any}
 */
export function el(name, attributes = {}, ...inside) {
  return made(document.createElement(name), attributes, inside);
}

/**
 * @param {string} name
 * @param {Record<string, string | number | boolean | EventListener | null>} [attributes]
 * @param {...(Node | string | null)} inside
 * @returns {any}
 */
export function svg(name, attributes = {}, ...inside) {
  return made(document.createElementNS("http://www.w3.org/2000/svg", name), attributes, inside);
}

/** @param {Element} thing @param {Record<string, any>} attributes @param {(Node | string | null)[]} inside */
function made(thing, attributes, inside) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || (value === false && !key.startsWith("aria-"))) continue;
    if (key.startsWith("aria-")) thing.setAttribute(key, String(value));
    else if (typeof value === "function") thing.addEventListener(key, value);
    else thing.setAttribute(key, value === true ? "" : String(value));
  }
  thing.append(...inside.filter((item) => item !== null));
  return thing;
}

/** The same element with other attributes. @param {Element} thing @param {Record<string, any>} attributes */
export function renewed(thing, attributes) {
  for (const [key, value] of Object.entries(attributes)) if (thing.getAttribute(key) !== String(value)) thing.setAttribute(key, String(value));
  return thing;
}

/** @param {string} id @returns {any} */
export const byId = (id) => document.getElementById(id);

/** A labelled field. @param {string} id @param {string} name @param {any} field @param {string} [kind] */
export const row = (id, name, field, kind = "field") => el("p", { class: kind }, el("label", { for: id }, name), field);

/** A field to type in. @param {string} id @param {string} value @param {(v: string) => void} [then] @param {Record<string, any>} [more] */
export const typed = (id, value, then, more = {}) =>
  el("input", { id, value, autocomplete: "off", ...more, ...(then ? { change: (/** @type {any} */ e) => then(e.target.value.trim()) } : {}) });

/** A list to choose from. @param {string} id @param {[string, string][]} options @param {string} value @param {(v: string) => void} [then] */
export const chooser = (id, options, value, then) =>
  el("select", { id, ...(then ? { change: (/** @type {any} */ e) => then(e.target.value) } : {}) }, ...choices(options, value));

/** @param {[string, string][]} options @param {string} value */
const choices = (options, value) => options.map(([key, text]) => el("option", { value: key, selected: key === value }, text));

/** Materials to choose from, under the headings of worksheets. @param {string} id @param {any[]} materials @param {string} value @param {(v: string) => void} then @param {string} [open] What stands for none of them. */
export function materialChooser(id, materials, value, then, open = "") {
  const groups = [...new Set(materials.map((m) => m.group))];
  const made = groupedChooser(id, groups.map((group) => [group, materials.filter((m) => m.group === group).map((m) => [m.id, m.title])]), value, (v) => { if (v) then(v); });
  made.prepend(...(open ? choices([["", open]], value) : []));
  if (open && !value) made.value = "";
  return made;
}

/** A list to choose from, under headings. @param {string} id @param {[string, [string, string][]][]} groups @param {string} value @param {(v: string) => void} then */
export const groupedChooser = (id, groups, value, then) =>
  el("select", { id, change: (/** @type {any} */ e) => then(e.target.value) }, ...groups.map(([label, options]) => el("optgroup", { label }, ...choices(options, value))));

/** A button. @param {string} text @param {(event: any) => void} click @param {Record<string, any>} [more] */
export const button = (text, click, more = {}) => el("button", { type: "button", click, ...more }, text);

/** A table. @param {string[]} heads @param {any[][]} rows Cells: texts, nodes, or [text] for a number. @param {number} [header] */
export function table(heads, rows, header = 0) {
  return el("table", {},
    el("thead", {}, el("tr", {}, ...heads.map((t) => (t ? el("th", { scope: "col" }, t) : el("td", {}))))),
    el("tbody", {}, ...rows.map((cells) => tableRow(cells, header))));
}

/** @param {any[]} cells @param {number} header */
export const tableRow = (cells, header) => el("tr", {}, ...cells.map((cell, i) =>
  i === header ? el("th", { scope: "row" }, cell) : Array.isArray(cell) ? el("td", { class: "number" }, cell[0]) : el("td", {}, cell)));

/**
 * Put these into a room and nothing else; a field that a person is in keeps its text and the focus.
 * @param {any} room @param {...(Node | string | null)} inside
 */
export function filled(room, ...inside) {
  const held = /** @type {any} */ (document.activeElement);
  const isIn = held?.id && room.contains(held);
  const kept = isIn ? { id: held.id, text: held.value, isOpen: "value" in held && held.value !== held.defaultValue && held.tagName !== "SELECT", at: held.selectionStart } : null;
  patched(room, inside.filter((item) => item !== null).map((item) => (typeof item === "string" ? document.createTextNode(item) : item)));
  const next = kept && byId(kept.id);
  if (!next || next === document.activeElement) return;
  next.focus({ preventScroll: true });
  if (!kept.isOpen) return;
  next.value = kept.text;
  if (kept.at !== null) next.setSelectionRange?.(kept.at, kept.at);
  // The browser tells no change of a text that was put there by script.
  next.addEventListener("blur", () => { if (next.isConnected && next.value === kept.text) next.dispatchEvent(new Event("change")); }, { once: true });
}

/** Put these into a room and nothing else; what is there already is not touched. @param {Element} room @param {Node[]} nodes */
export function patched(room, nodes) {
  const wanted = new Set(nodes);
  for (const node of [...room.childNodes]) if (!wanted.has(node)) node.remove();
  let at = room.firstChild;
  for (const node of nodes) {
    if (node === at) at = at.nextSibling;
    else room.insertBefore(node, at);
  }
}

/** Makes things anew only where what they are made of differs; what was not asked for twice running is forgotten. */
export function remembering() {
  /** @type {Map<string, {of: any[], node: any}>} */
  let before = new Map();
  let now = new Map();
  return {
    /** @param {string} key @param {any[]} of What it is made of: texts, numbers, and data that is the same object while it says the same. @param {() => any} make */
    kept(key, of, make) {
      const old = now.get(key) ?? before.get(key);
      const isSame = old?.of.length === of.length && of.every((part, i) => Object.is(part, old.of[i]));
      const found = old && isSame ? old : { of, node: make() };
      now.set(key, found);
      return found.node;
    },
    turn() { before = now; now = new Map(); },
  };
}
