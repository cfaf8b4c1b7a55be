/** New faults, checks and repairs from a few answers, with sensible first numbers that say that they are from memory. Pure. */
import { parseNumber } from './format';
import type { List } from './profile-fields';
import { type Edit, type Table, type Value, idFrom, isTable, itemPath, tablesOf, takenIds, textOf, textsOf } from './profile-tree';

/** How many units such a number stands for: little, so that what is seen here soon counts more. */
export const kFromMemoryWeight = 2;

export const kOften = [['rare', 'rarely: 1 in 50', 0.02], ['some', 'now and then: 1 in 20', 0.05], ['often', 'often: 1 in 8', 0.12]] as const;
export type Often = (typeof kOften)[number][0];
const oftenOf = (often: Often) => kOften.find(([id]) => id === often)?.[2] ?? kOften[0][2];

const kShows = 0.8;
const kMends = 0.85;
/** What a check with two outcomes shows with the fault, and without it. */
const kWith = { bad: 0.85, good: 0.15 };
const kWithout = { good: 0.95, bad: 0.05 };

export interface NewFault { name: string; assembly: string; often: Often; check: string; outcome: string }
export interface NewCheck { name: string; minutes: string; at: string; fault: string; good: string; bad: string }
export interface NewRepair { name: string; minutes: string; at: string; fault: string; sku: string; price: string }

const memory = { weight: kFromMemoryWeight, numbers_from: 'memory' } as const;

export const kNewId = (tree: Table, list: List, name: string): string => idFrom(name, takenIds(tree, list), list);

/** A row in which one outcome has `share` and the others what is left, as they have it in `rest`. Sums to 1. */
export function rowWith(outcome: string, share: number, rest: Value | undefined, outcomes: readonly string[]): Record<string, number> {
  const others = outcomes.filter((each) => each !== outcome);
  const old = (id: string) => (isTable(rest) && typeof rest[id] === 'number' ? rest[id] : 0);
  const sum = others.reduce((total, id) => total + old(id), 0);
  if (others.length === 0) return { [outcome]: 1 };
  const kSteps = 1000;
  const left = Math.round((1 - share) * kSteps);
  const parts = others.map((id) => ({ id, steps: Math.floor(left * (sum > 0 ? old(id) / sum : 1 / others.length)) }));
  const largest = parts.reduce((best, part) => (part.steps > best.steps ? part : best));
  largest.steps += left - parts.reduce((total, part) => total + part.steps, 0);
  return { [outcome]: (kSteps - left) / kSteps,
    ...Object.fromEntries(parts.filter(({ steps }) => steps > 0).map(({ id, steps }) => [id, steps / kSteps])) };
}

export function newFault(tree: Table, answers: NewFault, comment: string): { edits: Edit[]; id: string } {
  const id = kNewId(tree, 'fault', answers.name);
  const edits: Edit[] = [{ edit: 'insert', path: ['fault'], comment,
    value: { id, name: answers.name.trim(), assembly: answers.assembly, probability: oftenOf(answers.often), ...memory } }];
  const index = tablesOf(tree, 'check').findIndex((check) => check.id === answers.check);
  const check = tablesOf(tree, 'check')[index];
  if (check !== undefined && answers.outcome !== '') {
    edits.push({ edit: 'insert', path: [...itemPath(tree, 'check', index), 'rules'],
      value: { present: [id], gives: rowWith(answers.outcome, kShows, check.otherwise, textsOf(check, 'outcomes')) } });
  }
  return { edits, id };
}

export function newCheck(tree: Table, answers: NewCheck, comment: string): { edits: Edit[]; id: string } {
  const id = kNewId(tree, 'check', answers.name);
  const good = idFrom(answers.good, [], 'good');
  const bad = idFrom(answers.bad, [good], 'bad');
  return { id, edits: [{ edit: 'insert', path: ['check'], comment, value: {
    id, name: answers.name.trim(), ...(answers.at === '' ? {} : { at: [answers.at] }), minutes: parseNumber(answers.minutes) ?? 1,
    outcomes: [good, bad], outcome_names: { [good]: answers.good.trim(), [bad]: answers.bad.trim() },
    rules: [{ present: [answers.fault], gives: { [bad]: kWith.bad, [good]: kWith.good } }],
    otherwise: { [good]: kWithout.good, [bad]: kWithout.bad }, ...memory,
  } }] };
}

export function newRepair(tree: Table, answers: NewRepair, comment: string): { edits: Edit[]; id: string } {
  const id = kNewId(tree, 'repair', answers.name);
  const price = parseNumber(answers.price);
  const sku = answers.sku.trim();
  return { id, edits: [{ edit: 'insert', path: ['repair'], comment, value: {
    id, name: answers.name.trim(), ...(answers.at === '' ? {} : { at: [answers.at] }), minutes: parseNumber(answers.minutes) ?? 5,
    ...(sku === '' ? {} : { parts: [{ sku, ...(price === null ? {} : { price }) }] }),
    fixes: { [answers.fault]: kMends }, ...memory,
  } }] };
}

/** An empty item of a list, as the profile's own "Add" makes it: what is needed, to be filled in. */
export function emptyItem(tree: Table, list: List): Table {
  const id = kNewId(tree, list, `new-${list}`);
  const name = `New ${list === 'access' ? 'level' : list}`;
  const first = (key: string) => textOf(tablesOf(tree, key)[0], 'id');
  switch (list) {
    case 'fault': return { id, name, assembly: first('assembly'), probability: 0.02, ...memory };
    case 'history': return { id, name, probability: 0.05, ...memory };
    case 'check': return { id, name, minutes: 1, outcomes: ['good', 'bad'], outcome_names: { good: 'Good', bad: 'Bad' }, otherwise: { good: 0.95, bad: 0.05 }, ...memory };
    case 'repair': return { id, name, minutes: 5, fixes: {}, ...memory };
    case 'access': return { id, name, ...(tablesOf(tree, 'access').length === 0 ? {} : { from: first('access') }) };
    default: return { id, name };
  }
}
