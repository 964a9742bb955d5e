// @ts-check
/** Making elements; a text of a file is only ever a text node or an attribute, never markup. */

/**
 * @param {string} name
 * @param {Record<string, string | number | boolean | EventListener | null>} [attributes]
 * @param {...(Node | string | null)} inside
 * @returns {any}
 */
export function el(name, attributes = {}, ...inside) {
  return filled(document.createElement(name), attributes, inside);
}

/**
 * @param {string} name
 * @param {Record<string, string | number | boolean | EventListener | null>} [attributes]
 * @param {...(Node | string | null)} inside
 * @returns {any}
 */
export function svg(name, attributes = {}, ...inside) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", name), attributes, inside);
}

/** @param {Element} made @param {Record<string, any>} attributes @param {(Node | string | null)[]} inside */
function filled(made, attributes, inside) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || (value === false && !key.startsWith("aria-"))) continue;
    if (key.startsWith("aria-")) made.setAttribute(key, String(value));
    else if (typeof value === "function") made.addEventListener(key, value);
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  made.append(...inside.filter((item) => item !== null));
  return made;
}

/** @param {string} id @returns {any} */
export const byId = (id) => document.getElementById(id);
