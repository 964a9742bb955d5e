// @ts-check
/** Names beside points, moved about until none lies over another. */

/** A letter is about so wide as a share of its height. */
const LETTER = 0.58;

/** Where a name may stand beside its point: to the right or left, and up or down in lines. @type {[number, number][]} */
const PLACES = [[1, -1], [1, 1], [-1, -1], [-1, 1], [1, -2], [1, 2], [-1, -2], [-1, 2], [1, -3], [1, 3], [-1, -3], [-1, 3]];

/**
 * @param {{text: string, x: number, y: number}[]} names Each at the point that it names, y downward.
 * @param {number} size The height of a letter.
 * @returns {{text: string, x: number, y: number}[]} Each where its text begins, on its base line.
 */
export function apart(names, size) {
  /** @type {{left: number, right: number, top: number, bottom: number}[]} */
  const taken = [];
  return names.map(({ text, x, y }) => {
    const width = text.length * size * LETTER;
    const boxes = PLACES.map(([side, line]) => {
      const left = side > 0 ? x + size * 0.7 : x - size * 0.7 - width;
      const bottom = y + (line > 0 ? line * size * 1.1 : (line + 1) * size * 1.1 - size * 0.5);
      return { left, right: left + width, top: bottom - size, bottom };
    });
    const free = boxes.find((box) => !taken.some((other) => box.left < other.right && other.left < box.right && box.top < other.bottom && other.top < box.bottom));
    const box = free ?? boxes[0];
    taken.push(box);
    return { text, x: box.left, y: box.bottom };
  });
}
