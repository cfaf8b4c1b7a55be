/** Keys that a person gives a meaning, such as those that a foot pedal sends. Pure. */
import { kStepLetters } from './keys';

export const kBindable = [
  ['accept', 'Accept what is marked or suggested'], ['mark', 'Mark the next outcome'], ['cannot-tell', 'Can’t tell'],
  ['not-sure', 'Not sure'], ['undo', 'Undo'], ['photo', 'Photo'], ['find', 'Find'],
] as const;
export type Bindable = (typeof kBindable)[number][0];
/** Action to key; an action without a key is left out. */
export type Bindings = Partial<Record<Bindable, string>>;

export interface Pressed {
  key: string;
  code: string;
}

/** One name for a key, the same whatever Shift does: "b", "F13", "PageDown", "NumpadAdd". Empty for a key that has none. */
export function keyName({ key, code }: Pressed): string {
  if (/^Numpad/.test(code) && code !== 'NumpadEnter') return code;
  if (key === ' ') return 'Space';
  if (key === 'Unidentified' || key === 'Dead' || key === 'Process') return code;
  return key.length === 1 ? key.toLowerCase() : key;
}

const kModifiers: ReadonlySet<string> = new Set(['Shift', 'Control', 'Alt', 'Meta', 'AltGraph', 'CapsLock', 'NumLock', 'OS']);
/** Keys whose meaning the browser, fields or the bench itself cannot do without. */
const kKept: Readonly<Record<string, string>> = {
  Enter: 'takes what is suggested and ends a number', Escape: 'leaves what is open', Tab: 'goes to the next field', Space: 'presses the button in focus',
  Backspace: 'takes back what was typed', '.': 'marks “not sure” and begins a reading’s decimals', ',': 'marks “not sure” and begins a reading’s decimals',
  NumpadDecimal: 'marks “not sure” and begins a reading’s decimals', '/': 'finds', '?': 'shows the keys', '+': 'goes to the next step', '-': 'goes to the previous step',
  NumpadAdd: 'goes to the next step', NumpadSubtract: 'goes to the previous step', NumpadDivide: 'undoes', NumpadMultiply: 'offers what else can be recorded',
  "'": 'ends a number of minutes', z: 'undoes', f: 'filters the steps', i: 'asks what if', l: 'chooses a meter log', n: 'notes', p: 'takes a photo', x: 'adds to the profile', t: 'opens the full test',
  v: 'types a reading', w: 'sells as working', a: 'sells as is', d: 'parts out', s: 'scraps',
};

/** Why a key cannot be given to an action; null where it can. */
export function clash(name: string, action: Bindable, bindings: Bindings): string | null {
  if (name === '') return 'This key has no name that the browser knows.';
  if (kModifiers.has(name)) return 'This key only changes others.';
  if (/^(\d|Numpad\d)$/.test(name)) return 'Digits choose outcomes and name units.';
  const kept = kKept[name];
  if (kept !== undefined) return `This key ${kept}.`;
  const other = kBindable.find(([each]) => each !== action && bindings[each] === name);
  return other === undefined ? null : `This key is already set for “${other[1]}”.`;
}

/** What a key that is set takes away, in words; empty where nothing. */
export function costOf(name: string): string {
  return name.length === 1 && kStepLetters.includes(name) ? 'No step has this letter then.' : '';
}

export function boundAction(name: string, bindings: Bindings): Bindable | null {
  return name === '' ? null : kBindable.find(([each]) => bindings[each] === name)?.[0] ?? null;
}

/** Letters that name no step any more. */
export function boundLetters(bindings: Bindings): string {
  return Object.values(bindings).filter((name) => name.length === 1).join('');
}

/** A key that types nothing keeps its meaning inside text fields too. */
export const actsInFields = (name: string) => name.length > 1 && !/^(Arrow|Home$|End$|Page|Delete$|Insert$|Numpad)/.test(name);
