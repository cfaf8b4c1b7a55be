/** A profile's rules, gates, harm and numbers as sentences. The server words a saved one alike (src/bench/words.cpp). Pure. */
import { minutes, number, percent } from './format';
import { type Table, type Value, isList, isTable, numberOf, tablesOf, textOf, textsOf } from './profile-tree';

export function joined(words: readonly string[], last: 'or' | 'and'): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} ${last} ${words[words.length - 1]}`;
}

/** The name of an item by its id; the id where there is none. */
export function nameOf(tree: Table, list: string, id: string): string {
  const item = tablesOf(tree, list).find((table) => table.id === id);
  return textOf(item, 'name', id) || id;
}

/** Of a fault or a history. */
export function symbolName(tree: Table, id: string): string {
  const isFault = tablesOf(tree, 'fault').some((table) => table.id === id);
  return nameOf(tree, isFault ? 'fault' : 'history', id);
}

export function outcomeName(check: Table | undefined, outcome: string): string {
  const names = check?.outcome_names;
  return (isTable(names) ? textOf(names, outcome) : '') || outcome;
}

export const membersOf = (group: string): string[] => group.split('|').map((member) => member.trim());

/** "“Port pins bent” or “Port torn off” and “Liquid got in”". */
export function conditionWords(tree: Table, condition: Value | undefined): string {
  const groups = isList(condition) ? condition : [];
  return joined(groups.map((group) => joined(membersOf(String(group)).map((id) => `“${symbolName(tree, id)}”`), 'or')), 'and');
}

/** "no reading (80 %) or stays slow (20 %)", the likeliest first. */
export function givesWords(check: Table, gives: Value | undefined): string {
  const entries = isTable(gives) ? Object.entries(gives) : [];
  const chances = entries.flatMap(([id, chance]) => (typeof chance === 'number' && chance > 0 ? [{ id, chance }] : []));
  chances.sort((a, b) => b.chance - a.chance);
  return joined(chances.map(({ id, chance }) => `${outcomeName(check, id)} (${percent(chance)})`), 'or') || 'nothing yet';
}

export function ruleWords(tree: Table, check: Table, index: number): string {
  const rules = tablesOf(check, 'rules');
  const rule = rules[index];
  if (rule === undefined) return `${rules.length === 0 ? 'Always' : 'Otherwise'} it shows: ${givesWords(check, check.otherwise)}.`;
  const condition = conditionWords(tree, rule.present);
  const start = condition === '' ? 'Whatever is wrong' : `If ${condition}`;
  return `${index === 0 ? start : `Else, ${start.charAt(0).toLowerCase()}${start.slice(1)}`} it shows: ${givesWords(check, rule.gives)}.`;
}

/** "check=a|b" in its two parts. */
export function gateParts(gate: string): { check: string; outcomes: string[] } {
  const equals = gate.indexOf('=');
  return equals < 0 ? { check: gate.trim(), outcomes: [] } : { check: gate.slice(0, equals).trim(), outcomes: membersOf(gate.slice(equals + 1)) };
}

export const gateText = (check: string, outcomes: readonly string[]): string => `${check}=${outcomes.join('|')}`;

export function gateWords(tree: Table, gate: string): string {
  const { check, outcomes } = gateParts(gate);
  const table = tablesOf(tree, 'check').find((each) => each.id === check);
  return `“${nameOf(tree, 'check', check)}” showed ${joined(outcomes.map((outcome) => outcomeName(table, outcome)), 'or') || 'nothing yet'}`;
}

/** "Slow for 3 s, then idle, then fast for 5 s: healthy." or "1.5 to 3 A: fast." */
export function readingWords(check: Table, reading: Table): string {
  const phases = isList(reading.phases) ? reading.phases : null;
  const phase = (each: Value) => {
    const least = isTable(each) ? numberOf(each, 'min_s') : 0;
    return `${isTable(each) ? textOf(each, 'kind') : String(each)}${least > 0 ? ` for ${number(least, 1)} s` : ''}`;
  };
  const limits = [typeof reading.min === 'number' ? `at least ${number(reading.min, 4)}` : '', typeof reading.max === 'number' ? `at most ${number(reading.max, 4)}` : ''];
  const what = phases === null ? `A number of ${joined(limits.filter(Boolean), 'and')} ${textOf(reading, 'unit')}`.trimEnd() : `A log with ${phases.map(phase).join(', then ')}`;
  return `${what}: ${outcomeName(check, textOf(reading, 'outcome'))}.`;
}

const harmWords = (tree: Table, harm: Table): string => {
  const given = conditionWords(tree, harm.given);
  return `It may cause “${symbolName(tree, textOf(harm, 'fault'))}” (${percent(numberOf(harm, 'probability'))})${given === '' ? '' : `, if ${given}`}.`;
};

const times = (count: number) => (count === 1 ? 'once' : `at most ${number(count, 0)} times`);

/** What a check says, and what it needs, costs and risks; without money. */
export function checkSentences(tree: Table, check: Table): string[] {
  return [
    ...tablesOf(check, 'rules').map((_, index) => ruleWords(tree, check, index)),
    ruleWords(tree, check, -1),
    ...stepSentences(tree, check),
    ...(check.repeatable === true ? ['Doing it again is a new reading.'] : []),
  ];
}

export function repairSentences(tree: Table, repair: Table): string[] {
  const fixes = isTable(repair.fixes) ? Object.entries(repair.fixes) : [];
  const replaces = textOf(repair, 'replaces');
  return [
    ...fixes.map(([id, chance]) => `It mends “${symbolName(tree, id)}” (${percent(Number(chance))}).`),
    ...(replaces === '' ? [] : [`A new one takes the place of “${nameOf(tree, 'assembly', replaces)}”.`]),
    ...stepSentences(tree, repair),
    `It is tried ${times(numberOf(repair, 'max_tries', 1))}.`,
  ];
}

function stepSentences(tree: Table, step: Table): string[] {
  const levels = textsOf(step, 'at');
  const parts = tablesOf(step, 'parts');
  return [
    ...(levels.length === 0 ? [] : [`It is done with the unit ${joined(levels.map((id) => nameOf(tree, 'access', id).toLowerCase()), 'or')}.`]),
    ...(parts.length === 0 ? [] : [`It takes ${joined(parts.map((part) => `${numberOf(part, 'count', 1)} × ${textOf(part, 'sku')}`), 'and')}.`]),
    ...textsOf(step, 'requires').map((gate) => `Only after ${gateWords(tree, gate)}.`),
    ...tablesOf(step, 'may_cause').map((harm) => harmWords(tree, harm)),
    ...(step.trained === true ? ['Only for people marked as trained.'] : []),
  ];
}

export function timeWords(step: Table): string {
  const wait = numberOf(step, 'wait_minutes');
  const waiting = wait > 0 ? ` and ${minutes(wait)} of waiting${step.attended === true ? ', attended' : ''}` : '';
  return `${minutes(numberOf(step, 'minutes'))}${waiting}`;
}

const kOrigins: Readonly<Record<string, string>> = { authored: 'authored here', invented: 'invented', memory: 'from memory' };
/** Where the numbers of an item come from: its own word, else the profile's. */
export function originWords(tree: Table, item?: Table): string {
  const own = textOf(item, 'numbers_from');
  const device = isTable(tree.device) ? tree.device : undefined;
  const from = own || textOf(device, 'numbers_from', 'authored');
  return kOrigins[from] ?? from;
}

/** How often a fault is there before anything is known: 1 − (1 − own) · ∏ (1 − P(history) · cause), the histories independent. */
export function faultRate(tree: Table, fault: Table): number {
  const causes = isTable(fault.causes) ? Object.entries(fault.causes) : [];
  const histories = tablesOf(tree, 'history');
  return 1 - causes.reduce((absent, [id, cause]) => {
    const history = histories.find((each) => each.id === id);
    return absent * (1 - numberOf(history, 'probability') * (typeof cause === 'number' ? cause : 0));
  }, 1 - numberOf(fault, 'probability'));
}

export interface Rung { id: string; name: string; depth: number; open: number; close: number; index: number }

/** The access levels as a tree, parents before what is opened from them; a level in a circle stands at the end. */
export function ladder(tree: Table): Rung[] {
  const levels = tablesOf(tree, 'access');
  const rungs: Rung[] = [];
  const add = (index: number, depth: number) => {
    const level = levels[index];
    if (level === undefined || rungs.some((rung) => rung.index === index)) return;
    const id = textOf(level, 'id');
    rungs.push({ id, name: textOf(level, 'name', id), depth, open: numberOf(level, 'open_minutes'), close: numberOf(level, 'close_minutes'), index });
    levels.forEach((other, at) => textOf(other, 'from') === id && id !== '' && add(at, depth + 1));
  };
  levels.forEach((level, index) => (index === 0 || level.from === undefined) && add(index, 0));
  levels.forEach((_, index) => add(index, 0));
  return rungs;
}
