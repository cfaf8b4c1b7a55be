/** Bodies of journal entries as the bench makes them (docs/journal.md). Pure. */
export type Body = Record<string, unknown>;

/** How sure a finding counts that was marked "not sure". */
export const kNotSure = 0.7;

/** A finding; `outcome` null is "can't tell". `reading`: the number behind the outcome; `shown`: what a meter showed, as typed;
 * `likelihood`: in place of an outcome, how well each fits. */
export function findingBody(options: {
  check: string; outcome: string | null; notSure: boolean; minutes: number | null;
  reading?: { value: number; unit: string }; log?: string; shown?: string; likelihood?: Record<string, number>;
}): Body {
  const event: Body = { check: options.check };
  if (options.likelihood) event.likelihood = options.likelihood;
  else event.outcome = options.outcome;
  if (options.notSure && options.outcome !== null) event.sure = kNotSure;
  if (options.shown !== undefined) event.shown = options.shown;
  if (options.reading) Object.assign(event, { reading: options.reading.value, unit: options.reading.unit });
  return {
    event,
    ...(options.minutes === null ? {} : { minutes: options.minutes }),
    ...(options.log === undefined ? {} : { log: options.log }),
  };
}

/** Kinds of entries that follow the advice or go against it. */
const kStepKinds: ReadonlySet<string> = new Set(['finding', 'repair-done', 'sold', 'parted-out', 'scrapped']);

/** The body with the advice under which it is entered, so that a step of one's own choosing is kept with what followed. */
export function withAdvice(kind: string, body: Body, next: { kind: string; id: string } | null): Body {
  return next === null || !kStepKinds.has(kind) ? body : { ...body, advised: { kind: next.kind, id: next.id } };
}

export interface NumberRange {
  outcome: string;
  min?: number | null;
  max?: number | null;
}

/** The outcome whose limits hold a value: min ≤ value < max, an open end where a limit is missing; the
 * topmost limit belongs to its range. Null when none does. */
export function outcomeOf(ranges: readonly NumberRange[], value: number): string | null {
  const within = ranges.find(({ min, max }) => (min ?? -Infinity) <= value && value < (max ?? Infinity));
  return (within ?? ranges.find(({ min, max }) => (min ?? -Infinity) <= value && value <= (max ?? Infinity)))?.outcome ?? null;
}

/** Which digit an outcome has: 1–9 for the first nine, none for the others. */
export function digitForIndex(index: number): number | null {
  return index < 9 ? index + 1 : null;
}

/** What a digit chooses among `count` outcomes: an index, 'cannot-tell' for 0, null for none. */
export function chosenBy(digit: number, count: number): number | 'cannot-tell' | null {
  if (digit === 0) return 'cannot-tell';
  return digit <= count ? digit - 1 : null;
}
