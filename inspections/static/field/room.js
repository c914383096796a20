// How much the phone keeps for this page, and whether it promises to.

/** What a reading takes with its share of visits and batches, counted generously. */
const READING_BYTES = 2_500;
const READINGS = 10_000;

/** @returns {Promise<"granted" | "refused" | "unknown">} */
export async function askToPersist() {
  if (!navigator.storage?.persist) return "unknown";
  try {
    const kept = (await navigator.storage.persisted()) || (await navigator.storage.persist());
    return kept ? "granted" : "refused";
  } catch {
    return "unknown";
  }
}

/** @returns {Promise<{ left: number | null, readings: number | null }>} bytes and readings */
export async function left() {
  try {
    const { quota, usage } = await navigator.storage.estimate();
    if (quota === undefined || usage === undefined) throw new Error();
    const bytes = Math.max(0, quota - usage);
    return { left: bytes, readings: Math.floor(bytes / READING_BYTES) };
  } catch {
    return { left: null, readings: null };
  }
}

/**
 * Whether a photo may be kept without taking the room of 10,000 readings.
 * @param {number} bytes
 */
export async function hasRoomForPhoto(bytes) {
  const found = await left();
  // What cannot be known is not taken for room: readings come first.
  return found.left !== null && found.left - bytes >= READINGS * READING_BYTES;
}

/** @param {unknown} problem */
export const isFull = (problem) =>
  problem instanceof DOMException && problem.name === "QuotaExceededError";
