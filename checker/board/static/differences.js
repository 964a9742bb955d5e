// @ts-check
/** Plain data made from older data and what differs; what does not differ is the same object in both. */

/** @param {any} before @param {any} told What `checker/board/differences.py` gives; nothing where nothing differs. @returns {any} */
export function made(before, told) {
  if (!told) return before;
  if ("is" in told) return told.is;
  if ("in" in told) {
    const kept = Object.keys(before).filter((key) => !told.gone.includes(key));
    const added = Object.keys(told.in).filter((key) => !Object.hasOwn(before, key));
    return Object.fromEntries([...kept, ...added].map((key) => [key, made(of(before, key), of(told.in, key))]));
  }
  const old = new Map(before.map((/** @type {any} */ entry) => [entry.id, entry]));
  return told.ids.map((/** @type {string} */ id) => made(old.get(id), of(told.of, id)));
}

/** What stands under one key, whatever it is called. @param {any} parts @param {string} key */
const of = (parts, key) => (Object.hasOwn(parts, key) ? parts[key] : null);
