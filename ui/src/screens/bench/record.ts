/** What one key or one tap records of a step, from its own panel or from the list of the others. */
import type { CheckView, RepairView } from '../../api';
import { type Body, findingBody } from '../../lib/events';
import { minutes, number } from '../../lib/format';

export interface Recorded {
  kind: string;
  body: Body;
  /** For the notice and for undoing. */
  words: string;
}

export interface Reading {
  value: number;
  unit: string;
}

/** An outcome of a check, null: "can't tell". */
export function findingOf(check: CheckView, outcome: string | null, options: {
  notSure: boolean; minutes: number | null; reading?: Reading;
}): Recorded {
  const name = check.outcomes.find((each) => each.id === outcome)?.name ?? outcome;
  const said = outcome === null ? 'can’t tell' : `${name}${options.notSure ? ', not sure' : ''}`;
  return { kind: 'finding', body: findingBody({ check: check.id, outcome, ...options }), words: `${check.name}: ${said}` };
}

/** Hands-on minutes that a step takes from where the unit stands, to a tenth. */
export function plannedMinutes(step: { minutes: number; move_minutes: number }): string {
  return number(step.minutes + step.move_minutes, 1);
}

export interface PartUsed {
  sku: string;
  count: number;
  price: { minor: number; currency: string };
}

export function repairOf(repair: RepairView, took: number, parts: readonly PartUsed[]): Recorded {
  const body = { event: { repair: repair.id }, minutes: took, ...(parts.length > 0 ? { parts } : {}) };
  return { kind: 'repair-done', body, words: `${repair.name}, ${minutes(took)}` };
}
