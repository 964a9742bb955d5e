// @ts-check
/** A form for any part of a site file, made from its JSON Schema: what is said, and what else may be. */

import { button, chooser, el, row, typed } from "./elements.js";

/** @param {string} name */
const words = (name) => name.replaceAll("_", " ");

/** @param {any} root @param {any} node @returns {any} */
function resolved(root, node) {
  if (node?.$ref) return resolved(root, root.$defs[node.$ref.split("/").at(-1)]);
  const only = node?.anyOf?.filter((/** @type {any} */ item) => item.type !== "null");
  return only?.length === 1 ? resolved(root, only[0]) : node;
}

/** What a typed text says: a number, yes or no, points, or itself. @param {string} text @param {any} node */
function read(text, node) {
  if (text === "") return null;
  if (node?.type === "array") {
    const rows = text.split(";").map((part) => part.trim().split(/[\s,]+/).map(Number));
    return resolved({}, node.items)?.type === "array" ? rows : rows[0];
  }
  if (/^-?[0-9]+(\.[0-9]+)?$/.test(text)) return Number(text);
  return text === "yes" ? true : text === "no" ? false : text;
}

/** @param {any} value @returns {string} */
function shown(value) {
  if (Array.isArray(value)) return value.map((item) => (Array.isArray(item) ? item.join(" ") : item)).join(Array.isArray(value[0]) ? "; " : " ");
  return value === true ? "yes" : value === false ? "no" : String(value);
}

/** @param {any} node */
const isList = (node) => node?.type === "array" && node.items && !["number", "array", undefined].includes(node.items.type ?? (node.items.$ref ? "object" : undefined));

/**
 * @param {any} root The whole schema.
 * @param {any} schema Of this part.
 * @param {any} data What the file says.
 * @param {string} id A stem for the ids of the fields.
 * @param {(path: string[], value: any, was: any) => void} put
 * @param {string[]} [path]
 * @param {string[]} [hidden] Keys that stand elsewhere.
 * @returns {Node[]}
 */
export function partFields(root, schema, data, id, put, path = [], hidden = []) {
  const node = resolved(root, schema);
  const known = node?.properties ?? Object.fromEntries(Object.keys(data ?? {}).map((key) => [key, Object.values(node?.patternProperties ?? {})[0] ?? {}]));
  const given = Object.entries(data ?? {}).filter(([key]) => !hidden.includes(key));
  const free = Object.keys(known).filter((key) => !(key in (data ?? {})) && !hidden.includes(key));
  const stem = [id, ...path].join("-");
  return [
    ...given.map(([key, value]) => field(root, resolved(root, known[key]), value, id, put, [...path, key])),
    free.length ? row(`${stem}-more`, "Say more", chooser(`${stem}-more`,
      [["", "choose"], ...free.map((key) => /** @type {[string, string]} */ ([key, told(known[key], key)]))], "",
      (key) => { if (key) put([...path, key], first(root, resolved(root, known[key])), null); })) : el("span"),
  ];
}

/** @param {any} node @param {string} key */
const told = (node, key) => (node?.description && node.description.length < 70 ? `${words(key)}: ${node.description}` : words(key));

/** What a field begins with. @param {any} root @param {any} node @returns {any} */
function first(root, node) {
  if (node?.enum) return node.enum[0];
  if (node?.type === "object" || node?.properties) return Object.fromEntries((node.required ?? []).map((/** @type {string} */ key) => [key, first(root, resolved(root, node.properties[key]))]));
  if (isList(node)) return [first(root, resolved(root, node.items))];
  if (node?.type === "array") return node.items?.type === "array" ? [[0, 0], [1, 0]] : [0, 0];
  if (node?.type === "string" && node.pattern) return "new";
  return node?.anyOf?.some((/** @type {any} */ item) => item.type === "boolean") ? true : 0;
}

/** @param {any} root @param {any} node @param {any} value @param {string} id @param {any} put @param {string[]} path @returns {Node} */
function field(root, node, value, id, put, path) {
  const key = path.at(-1) ?? "";
  const name = `${id}-${path.join("-")}`.replace(/[^A-Za-z0-9-]/g, "-");
  if (isList(node) && Array.isArray(value)) {
    const item = resolved(root, node.items);
    return el("fieldset", {}, el("legend", {}, words(key)),
      ...value.map((entry, i) => el("fieldset", {}, el("legend", {}, `${words(key)} ${i + 1}${entry.title ? `: ${entry.title}` : ""}`),
        ...partFields(root, item, entry, `${name}-${i}`, (inner, next, was) => put([...path, `#${i}`, ...inner], next, was)),
        button(`Take away ${words(key)} ${i + 1}`, () => put(path, value.toSpliced(i, 1).length ? value.toSpliced(i, 1) : null, value)))),
      button(`One more of ${words(key)}`, () => put(path, [...value, first(root, item)], value)));
  }
  if (value !== null && typeof value === "object" && !Array.isArray(value)) {
    return el("fieldset", {}, el("legend", {}, words(key)), ...partFields(root, node, value, id, put, path));
  }
  const take = (/** @type {string} */ text) => put(path, read(text.trim(), node), value);
  const hint = node?.description ? { title: node.description } : {};
  return row(name, words(key), node?.enum
    ? chooser(name, [["", "not said"], ...node.enum.map((/** @type {string} */ o) => [o, words(o.replaceAll("-", " "))])], shown(value), take)
    : typed(name, shown(value), take, hint));
}
