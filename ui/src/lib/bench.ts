/** The bench's steps: advised first, then the others by rank, each with its letter. Pure. */
import type { CheckView, RepairView, Step, UnitView } from '../api';
import { kStepLetters } from './keys';

export type OutletId = 'sell-working' | 'sell-as-is' | 'donor' | 'scrap';

interface Common {
  /** "check/port-look" */
  key: string;
  name: string;
  /** Its place in the plan from 1; null when the plan does not offer it now. */
  rank: number | null;
  /** Empty for the advised step and for those beyond the letters. */
  letter: string;
  advice: Step | null;
}

export type BenchStep =
  | (Common & { kind: 'check'; check: CheckView })
  | (Common & { kind: 'repair'; repair: RepairView })
  | (Common & { kind: 'outlet'; outlet: OutletId });

export const kOutletNames: Record<OutletId, string> = {
  'sell-working': 'Sell working', 'sell-as-is': 'Sell as is', donor: 'Donor', scrap: 'Scrap',
};
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
    const common = { key, rank, advice, letter: '' };
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
  const first = advisedKey(view);
  let letters = 0;
  return steps.map((step) => (step.key === first ? step : { ...step, letter: kStepLetters[letters++] ?? '' }));
}

export function advisedKey(view: UnitView): string | null {
  return view.advice ? `${view.advice.next.kind}/${view.advice.next.id}` : null;
}

/** Steps whose name or letter a typed text names; every word of it must be found. */
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
