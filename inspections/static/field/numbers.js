// What a person types becomes the number that the server will read, exactly.

const DECIMAL = /^([+-]?)(\d{1,9})(?:\.(\d{1,9}))?$/;
const FRACTION = /^([+-]?)(?:(\d{1,6}) )?(\d{1,5})\/(\d{1,5})$/;

/**
 * Return typed text as the server takes it: a point for a comma, one space.
 * @param {string} typed
 */
export const plain = (typed) =>
  typed.trim().replace(/\s+/g, " ").replace(/^([^,.]*),([^,.]*)$/, "$1.$2").replace("\u2212", "-");

/**
 * Return a typed number as a fraction; null where the server would not take it.
 * @param {string} text
 * @returns {[bigint, bigint] | null}
 */
function parts(text) {
  let top, bottom;
  let found = DECIMAL.exec(text);
  if (found) {
    const [, , whole, part = ""] = found;
    [top, bottom] = [BigInt(whole + part), 10n ** BigInt(part.length)];
  } else {
    found = FRACTION.exec(text);
    if (!found || !Number(found[4])) return null;
    const [, , whole = "0", above, below] = found;
    [top, bottom] = [BigInt(whole) * BigInt(below) + BigInt(above), BigInt(below)];
  }
  return [found[1] === "-" ? -top : top, bottom];
}

/**
 * Return the quotient as the nearest float, as Python divides whole numbers.
 * @param {bigint} top
 * @param {bigint} bottom
 */
function divided(top, bottom) {
  const negative = top < 0n;
  const size = negative ? -top : top;
  const shift = Math.max(0, 66 + bits(bottom) - bits(size));
  const scaled = size << BigInt(shift);
  // What is left over only decides a tie: one bit stands for all of it.
  const exact = (scaled / bottom) << 1n | (scaled % bottom ? 1n : 0n);
  const value = Number(exact) / 2 ** (shift + 1);
  return negative ? -value : value;
}

/** @param {bigint} number */
const bits = (number) => number.toString(2).length;

/**
 * Return typed text in the canonical unit; null where it is no number.
 * @param {string} text
 * @param {[string, string]} factor numerator and denominator of the unit
 */
export function canonical(text, factor) {
  const found = parts(text);
  return found && divided(found[0] * BigInt(factor[0]), found[1] * BigInt(factor[1]));
}

/**
 * Return a canonical number in another unit, for showing alone.
 * @param {number} value
 * @param {[string, string]} factor
 */
export const shown = (value, factor) => (value * Number(factor[1])) / Number(factor[0]);
