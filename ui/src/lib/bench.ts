/** The bench's steps: advised first, then the others by rank, each with its keys. Pure. */
import type { CheckView, RepairView, Step, UnitView } from '../api';
import { kOutcomeLetters } from './keys';

export type OutletId = 'sell-working' | 'sell-as-is' | 'donor' | 'scrap';

interface Common {
  /** "check/port-look" */
  key: string;
  name: string;
  /** Its place in the plan from 1; null when the plan does not offer it now. */
  rank: number | null;
  /** One key for each outcome of a check, one for a repair that is done, one for a way to stop: one press records it, as a
   * digit does for the advised step. Empty for the advised step, for what the plan does not offer now, and beyond the letters. */
  keys: readonly string[];
  advice: Step | null;
}

export type BenchStep =
  | (Common & { kind: 'check'; check: CheckView })
  | (Common & { kind: 'repair'; repair: RepairView })
  | (Common & { kind: 'outlet'; outlet: OutletId });

export const kOutletNames: Record<OutletId, string> = {
  'sell-working': 'Sell working', 'sell-as-is': 'Sell as is', donor: 'Donor', scrap: 'Scrap',
};
/** Letters that always mean the same way to stop. */
const kOutletLetters: Record<OutletId, string> = { 'sell-working': 'w', 'sell-as-is': 'a', donor: 'd', scrap: 's' };
export const kOutlets = Object.keys(kOutletNames) as OutletId[];

const isOutlet = (id: string): id is OutletId => id in kOutletNames;

/** All steps of a unit. Steps for trained people are left out where the person is not marked as trained. */
export function benchSteps(view: UnitView, trained: boolean): BenchStep[] {
  const steps: BenchStep[] = [];
  const known = new Set<string>();
  const add = (kind: string, id: string, rank: number | null, advice: Step | null) => {
    const key = `${kind}/${id}`;
    if (known.has(key)) return;
    known.add(key);
    const common = { key, rank, advice, keys: [] };
    const check = kind === 'check' ? view.checks.find((each) => each.id === id) : undefined;
    const repair = kind === 'repair' ? view.repairs.find((each) => each.id === id) : undefined;
    if ((check?.trained === true || repair?.trained === true) && !trained) return;
    if (check) steps.push({ ...common, kind: 'check', name: check.name, check });
    else if (repair) steps.push({ ...common, kind: 'repair', name: repair.name, repair });
    else if (kind === 'outlet' && isOutlet(id)) steps.push({ ...common, kind: 'outlet', name: kOutletNames[id], outlet: id });
  };
  view.advice?.steps.forEach((step, index) => add(step.kind, step.id, index + 1, step));
  view.checks.forEach((check) => add('check', check.id, null, null));
  view.repairs.forEach((repair) => add('repair', repair.id, null, null));
  return withKeys(steps, advisedKey(view));
}

/** Whether the list offers to record the step itself: what the plan offers now, but for the full test, which has its sheet. */
export function isQuick(step: BenchStep): boolean {
  return step.rank !== null && !(step.kind === 'check' && step.check.is_full_test);
}

/** Letters go to whole steps, best first; a check with more outcomes than letters are left is passed over. */
function withKeys(steps: readonly BenchStep[], advised: string | null): BenchStep[] {
  let left = kOutcomeLetters;
  return steps.map((step) => {
    if (step.key === advised || !isQuick(step)) return step;
    if (step.kind === 'outlet') return { ...step, keys: [kOutletLetters[step.outlet]] };
    const count = step.kind === 'check' ? step.check.outcomes.length : 1;
    if (count > left.length) return step;
    const keys = [...left.slice(0, count)];
    left = left.slice(count);
    return { ...step, keys };
  });
}

/** Which step and which of its outcomes a letter means; null for none. */
export function keyed(steps: readonly BenchStep[], letter: string): { step: BenchStep; at: number } | null {
  for (const step of steps) {
    const at = step.keys.indexOf(letter);
    if (at >= 0) return { step, at };
  }
  return null;
}

/** The key of the step that a unit is opened at: 0 the advised one (null), n the n-th best of the others. */
export function openedAt(steps: readonly BenchStep[], advised: string | null, nth: number): string | null {
  if (nth === 0) return null;
  return steps.filter((step) => step.key !== advised && step.rank !== null && step.kind !== 'outlet')[nth - 1]?.key ?? null;
}

/** The reason without its last sentence, where the outcomes themselves say what follows them. */
export function reasonText(step: Pick<Step, 'reason' | 'reason_money' | 'after'>, money: boolean, withAfter: boolean): string {
  const text = money ? step.reason_money : step.reason;
  const after = step.after ?? '';
  return !withAfter && after !== '' && text.endsWith(after) ? text.slice(0, -after.length).trimEnd() : text;
}

/** What is done next after an outcome (a repair has none): its name; empty where the plan does not say. */
export function nameAfter(view: UnitView, step: Step, outcome: string): string {
  const follow = step.next?.find((each) => each.outcome === outcome);
  return follow === undefined ? '' : view.advice?.names[`${follow.kind}/${follow.id}`] ?? follow.id;
}

export function advisedKey(view: UnitView): string | null {
  return view.advice ? `${view.advice.next.kind}/${view.advice.next.id}` : null;
}

/** Steps whose name a typed text names; every word of it must be found. */
export function filterSteps(steps: readonly BenchStep[], text: string): BenchStep[] {
  const words = text.toLowerCase().split(/\s+/).filter((word) => word !== '');
  return steps.filter((step) => words.every((word) => `${step.name} ${step.key}`.toLowerCase().includes(word)));
}

/** The next or previous step of the list after the one shown, round the ends. */
export function stepBeside(steps: readonly BenchStep[], shown: string | null, by: 1 | -1): string | null {
  if (steps.length === 0) return null;
  const at = steps.findIndex((step) => step.key === shown);
  return steps[(at + by + steps.length) % steps.length]?.key ?? null;
}

/** Findings that a step waits for, by the names of their checks. */
export function waitsFor(step: BenchStep): string[] {
  if (step.kind === 'outlet') return [];
  const { gates } = step.kind === 'check' ? step.check : step.repair;
  return gates.filter((gate) => !gate.open).map((gate) => gate.name);
}

/** Gates that are shown in full every time: swelling, wet, mains. */
export function isGateCaution(text: string): boolean {
  return /swell|swollen|lifted|punctur|\bwet\b|liquid|mains|\bhot cell|hiss/i.test(text);
}

/** Where a fault stands in a course's list of probabilities (profile order, as in the belief). */
export function courseOf(view: UnitView, fault: string): number[] {
  const index = view.belief?.faults.findIndex((each) => each.id === fault) ?? -1;
  return index < 0 ? [] : view.course.flatMap((point) => point.faults[index] ?? []);
}

/** Points of a small line from left to right, 1 on top. */
export function sparkPoints(values: readonly number[], width: number, height: number): string {
  if (values.length === 0) return '';
  const step = values.length > 1 ? width / (values.length - 1) : 0;
  return values.map((value, at) => `${(at * step).toFixed(1)},${((1 - value) * height).toFixed(1)}`).join(' ');
}

export interface Allowed {
  allowed: boolean;
  why: string;
}

/** Whether the journal would take an entry of this kind now, and why not. */
export function allowedAction(view: UnitView, kind: string): Allowed {
  return view.actions.find((action) => action.kind === kind) ?? { allowed: false, why: 'Not possible for this unit now.' };
}
