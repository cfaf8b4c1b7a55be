/** View-models of the lot, the shop and its money. Pure. */
import type { ShapeId } from './shapes';

export interface Count {
  state: string;
  count: number;
}

/** The states of a unit from its way in to its way out, with their words. */
export const kStates: readonly (readonly [ShapeId, string])[] = [
  ['incoming', 'incoming'], ['on-bench', 'on the bench'], ['waiting', 'waiting'], ['mended', 'mended'], ['proved', 'proved'],
  ['returned', 'returned'], ['held-aside', 'held aside'], ['put-aside', 'put aside'], ['sold', 'sold'], ['as-is', 'sold as is'],
  ['donor', 'donor'], ['scrapped', 'scrapped'],
];

/** The tally in the order of a unit's life, states without a unit left out. */
export function orderedTally(tally: readonly Count[]): { state: ShapeId; words: string; count: number }[] {
  return kStates.flatMap(([state, words]) => {
    const count = tally.find((each) => each.state === state)?.count ?? 0;
    return count > 0 ? [{ state, words, count }] : [];
  });
}

/** The trays of one state (null: all) whose number or serial holds the text, by number. */
export function traysShown<T extends { number: number; serial?: string; state: { id: string } }>(
  trays: readonly T[], state: string | null, text: string): T[] {
  const wanted = text.trim().toLowerCase();
  return trays.filter((tray) => (state === null || tray.state.id === state)
    && (wanted === '' || String(tray.number).startsWith(wanted) || (tray.serial ?? '').toLowerCase().includes(wanted)));
}

export interface UnitDraft {
  lot: string;
  line: string;
  number: number;
  serial?: string;
  condition?: string;
}

/** Bodies of `count` receipts numbered from `first`; serials go to the units in their order. */
export function receiptBodies(lot: string, line: string, first: number, count: number, serials: string, condition: string): UnitDraft[] {
  const each = serialList(serials);
  return Array.from({ length: count }, (_, index) => {
    const serial = each[index];
    return {
      lot, line, number: first + index,
      ...(serial === undefined ? {} : { serial }),
      ...(condition.trim() === '' ? {} : { condition: condition.trim() }),
    };
  });
}

/** One serial to a line (or between commas), blanks dropped. */
export function serialList(text: string): string[] {
  return text.split(/[\n,;]+/).map((serial) => serial.trim()).filter((serial) => serial !== '');
}

/** A whole number of at least `least`; null when the text is none. */
export function wholeNumber(text: string, least: number): number | null {
  const plain = text.trim();
  if (!/^\d{1,9}$/.test(plain)) return null;
  const value = Number(plain);
  return value >= least ? value : null;
}

/** A linear scale from values to the width of a drawing, with a little air at both ends. */
export function scale(values: readonly number[], width: number): (value: number) => number {
  const low = Math.min(...values);
  const high = Math.max(...values);
  const span = high - low || 1;
  return (value) => ((value - low) / span * 0.94 + 0.03) * width;
}

export interface Quantile {
  p: number;
  value: number;
}

/** How likely the result falls into each of `count` equally wide bins, for drawing a distribution. What lies outside
 * the quantiles is drawn in the outermost bins. */
export function bins(quantiles: readonly Quantile[], count: number): { from: number; to: number; chance: number }[] {
  const low = quantiles[0]?.value ?? 0;
  const high = quantiles[quantiles.length - 1]?.value ?? 0;
  if (high <= low) return [];
  // Zero is an edge, so that no bin is both loss and gain.
  const width = (high - low) / count;
  const first = Math.floor(low / width);
  const last = Math.ceil(high / width);
  return Array.from({ length: last - first }, (_, index) => {
    const from = (first + index) * width;
    return { from, to: from + width, chance: share(quantiles, from + width) - share(quantiles, from) };
  });
}

/** The part of the quantiles' mass below `limit`. */
function share(quantiles: readonly Quantile[], limit: number): number {
  return chanceBelow(quantiles, limit) ?? 0;
}

/** The chance that the result is below `limit`, read between the quantiles. */
export function chanceBelow(quantiles: readonly Quantile[], limit: number): number | null {
  const first = quantiles[0];
  const last = quantiles[quantiles.length - 1];
  if (first === undefined || last === undefined) return null;
  if (limit <= first.value) return limit < first.value ? 0 : first.p;
  if (limit >= last.value) return 1;
  for (let at = 1; at < quantiles.length; ++at) {
    const from = quantiles[at - 1];
    const to = quantiles[at];
    if (from === undefined || to === undefined || limit > to.value) continue;
    const part = to.value > from.value ? (limit - from.value) / (to.value - from.value) : 1;
    return from.p + part * (to.p - from.p);
  }
  return null;
}

/** What stands between a thing begun and its due time: 0 … 1, 1 when it is due. */
export function dueShare(startMs: number, dueMs: number, nowMs: number): number {
  return dueMs <= startMs || nowMs >= dueMs ? 1 : Math.max(0, (nowMs - startMs) / (dueMs - startMs));
}
