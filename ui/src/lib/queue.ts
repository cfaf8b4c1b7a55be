/** Entries on their way to the server. Pure. A batch leaves the queue only when the server
 * has answered for it; sending one twice does no harm, as ids are made here. */
export interface Batch<E extends { id: string }> {
  id: string;
  entries: E[];
  /** What it records, in words. */
  words: string;
  tries: number;
}

/** Milliseconds to wait before try number `tries` + 1: 1, 2, 4 … 30 s. */
export function retryAfterMs(tries: number): number {
  return Math.min(30_000, 1000 * 2 ** Math.max(0, tries - 1));
}

export function readQueue<E extends { id: string }>(text: string | null): Batch<E>[] {
  if (text === null) return [];
  try {
    const value: unknown = JSON.parse(text);
    return Array.isArray(value) ? value.filter(isBatch<E>) : [];
  } catch {
    return [];
  }
}

function isBatch<E extends { id: string }>(value: unknown): value is Batch<E> {
  const batch = value as Partial<Batch<E>> | null;
  return typeof batch?.id === 'string' && Array.isArray(batch.entries) && batch.entries.length > 0;
}

export function without<E extends { id: string }>(queue: readonly Batch<E>[], id: string): Batch<E>[] {
  return queue.filter((batch) => batch.id !== id);
}

export function triedAgain<E extends { id: string }>(queue: readonly Batch<E>[], id: string): Batch<E>[] {
  return queue.map((batch) => (batch.id === id ? { ...batch, tries: batch.tries + 1 } : batch));
}
