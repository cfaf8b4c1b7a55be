/** The bench's steps: advised first, then the others by rank, each with its keys. Pure. */
import type { CheckView, RepairView, Step, UnitView } from '../api';
import { kStepLetters } from './keys';

export type OutletId = 'sell-working' | 'sell-as-is' | 'donor' | 'scrap';

/** What is supposed in a what-if, with its words. */
export type Supposing = ({ check: string; outcome: string } | { repair: string }) & { words: string };

interface Common {
  /** "check/port-look" */
  key: string;
  name: string;
  /** Its place in the plan from 1; null when the plan does not offer it now. */
  rank: number | null;
  /** The letter (or the letter twice) that puts the step in the place of the advised one; a digit then records its outcome.
   * After a unit's number it stands for Enter. Empty for what the plan does not offer now, and beyond the letters. */
  code: string;
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
/** `bound`: letters that the person gave another meaning. */
export function benchSteps(view: UnitView, trained: boolean, bound = ''): BenchStep[] {
  const steps: BenchStep[] = [];
  const known = new Set<string>();
  const add = (kind: string, id: string, rank: number | null, advice: Step | null) => {
    const key = `${kind}/${id}`;
    if (known.has(key)) return;
    known.add(key);
    const common = { key, rank, advice, code: '' };
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
  return withCodes(steps, inProfileOrder(view), bound);
}

/** Whether the list offers to record the step itself: what the plan offers now, but for the full test, which has its sheet. */
export function isQuick(step: BenchStep): boolean {
  return step.rank !== null && !(step.kind === 'check' && step.check.is_full_test);
}

const inProfileOrder = (view: UnitView) => [...view.checks.map(({ id }) => `check/${id}`), ...view.repairs.map(({ id }) => `repair/${id}`)];

/** Single letters go to the best steps, the same letters twice to those after them. Among the best a step gets a letter of
 * its own name where it can, in the order of the profile, so that it keeps its letter while the plan's order changes. */
function withCodes(steps: readonly BenchStep[], order: readonly string[], bound: string): BenchStep[] {
  const letters = [...kStepLetters].filter((letter) => !bound.includes(letter));
  const coded = steps.filter((step) => step.kind !== 'outlet' && isQuick(step));
  const codes = new Map<string, string>();
  const give = (some: readonly BenchStep[], times: number) => {
    const free = new Set(letters);
    for (const step of [...some].sort((a, b) => order.indexOf(a.key) - order.indexOf(b.key))) {
      const letter = wishes(step.name).find((each) => free.has(each)) ?? [...free][0] ?? '';
      free.delete(letter);
      codes.set(step.key, letter.repeat(times));
    }
  };
  give(coded.slice(0, letters.length), 1);
  give(coded.slice(letters.length, 2 * letters.length), 2);
  return steps.map((step) => ({ ...step, code: step.kind === 'outlet' ? (step.rank === null ? '' : kOutletLetters[step.outlet]) : codes.get(step.key) ?? '' }));
}

/** Letters that remind of a name: first those of its words, then the others. */
function wishes(name: string): string[] {
  const words = name.toLowerCase().split(/[^a-z]+/).filter((word) => word !== '');
  return [...words.map((word) => word[0] ?? ''), ...words.join('')];
}

/** The step that a letter names; the letter again names the one whose code is that letter twice. Null: none. */
export function coded(steps: readonly BenchStep[], letter: string, shown: string | null): BenchStep | null {
  const once = steps.find((step) => step.code === letter) ?? null;
  const twice = steps.find((step) => step.code === letter + letter) ?? null;
  return twice !== null && shown !== null && once?.key === shown ? twice : once ?? twice;
}

const kNth: Readonly<Record<string, number>> = { '+': 1, '-': 2, '*': 3 };

/** The key of the step that a unit is opened at: '' the advised one (null), '+' '-' '*' the next best ones, a letter the
 * step with that letter. Null where there is none. */
export function openedAt(steps: readonly BenchStep[], advised: string | null, at: string): string | null {
  const nth = kNth[at];
  if (nth === undefined) return at === '' ? null : coded(steps, at, null)?.key ?? null;
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

/** Which outcome a pedal stands on next: the likeliest first, then the others by chance, then "can't tell" (the place after the
 * last), then round again. */
export function nextMark(chances: readonly number[], marked: number | null): number {
  const order = [...chances.keys()].sort((a, b) => (chances[b] ?? 0) - (chances[a] ?? 0) || a - b);
  const round = [...order, chances.length];
  const at = marked === null ? -1 : round.indexOf(marked);
  return round[(at + 1) % round.length] ?? 0;
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
