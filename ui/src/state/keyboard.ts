/** Keys away from text fields. A screen says what choosing, letters and Enter mean on it. */
import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';

import { actsInFields, type Bindable, boundAction, keyName } from '../lib/bindings';
import { type KeyAct, type KeyState, elapse, kHoldMs, kHoldReadingMs, kIdle, press } from '../lib/keys';
import { undoLast } from './journal';
import { isShown, openUnit } from './navigation';
import { say } from './notices';
import { settings } from './settings';

export interface KeyTarget {
  choose?: (digit: number, notSure: boolean) => void;
  letter?: (letter: string) => void;
  /** Enter where no button, link or field has the focus. */
  enter?: () => void;
  move?: (by: 1 | -1) => void;
  escape?: () => void;
  /** A reading that was typed, with its unit where one was. */
  reading?: (text: string, notSure: boolean) => void;
  minutes?: (text: string) => void;
  /** Offers what else can be recorded. */
  record?: () => void;
  /** A pedal's key: takes what is marked or suggested; what `enter` does where this is left out. */
  accept?: () => void;
  /** A pedal's key: marks the next outcome. */
  mark?: () => void;
  photo?: () => void;
}

const kNames = ['choose', 'letter', 'enter', 'move', 'escape', 'reading', 'minutes', 'record', 'accept', 'mark', 'photo'] as const;

/** Shown while keys are held: digits typed so far, "not sure". */
export const keys = signal<KeyState>(kIdle);
export const helpShown = signal(false);
/** Set to open the finder with a text. */
export const finder = signal<{ text: string } | null>(null);
const targets: KeyTarget[] = [];
let clock: ReturnType<typeof setInterval> | undefined;
const kClockMs = 20;

/** While the component is shown its keys mean what `target` says. All go to the part registered last that takes them, letters
 * and Escape to all, as each part takes its own letters. */
export function useKeys(target: KeyTarget): void {
  const latest = useRef(target);
  latest.current = target;
  useEffect(() => {
    const mine: KeyTarget = {};
    // Read through, so that a new function at every render needs no new registration.
    Object.defineProperties(mine, Object.fromEntries(kNames.map((name) => [name, { get: () => latest.current[name] }])));
    targets.push(mine);
    return () => {
      const at = targets.indexOf(mine);
      if (at >= 0) targets.splice(at, 1);
    };
  }, []);
}

function target<K extends keyof KeyTarget>(name: K): KeyTarget[K] | undefined {
  return [...targets].reverse().find((each) => each[name] !== undefined)?.[name];
}

function eachLetter(letter: string): void {
  for (const one of [...targets]) one.letter?.(letter);
}

/** The next key must not reach the unit that is being left, however late its screen goes. */
function open(number: string, at: string): void {
  if (Number(number) === 0) return say({ tone: 'bad', text: 'No unit has the number 0.' });
  if (!isShown(Number(number))) targets.length = 0;
  openUnit(Number(number), at);
}

function perform(act: KeyAct): void {
  switch (act.act) {
    case 'choose': return target('choose')?.(act.digit, act.notSure);
    case 'open': return open(act.number, act.at);
    case 'reading': {
      const take = target('reading');
      return take ? take(act.text, act.notSure) : say({ tone: 'bad', text: `Nothing here is read in numbers, so ${act.text} was not recorded.` });
    }
    case 'minutes': return target('minutes')?.(act.text);
    case 'scan': finder.value = { text: act.text }; return;
    case 'enter': return target('enter')?.();
    case 'letter': return eachLetter(act.letter);
    case 'find': finder.value = { text: '' }; return;
    case 'undo': return void undoLast();
    case 'help': helpShown.value = !helpShown.value; return;
    case 'record': return target('record')?.();
    case 'move': return target('move')?.(act.by);
    case 'escape':
      helpShown.value = false;
      finder.value = null;
      for (const one of [...targets]) one.escape?.();
  }
}

function performBound(action: Bindable): void {
  switch (action) {
    case 'accept': return (target('accept') ?? target('enter'))?.();
    case 'mark': return target('mark')?.();
    case 'cannot-tell': return target('choose')?.(0, false);
    case 'not-sure': return set({ ...keys.value, notSure: !keys.value.notSure });
    case 'undo': return void undoLast();
    case 'photo': {
      const take = target('photo');
      return take ? take() : eachLetter('p');
    }
    case 'find': finder.value = { text: '' };
  }
}

function set(state: KeyState): void {
  keys.value = state;
  if (state.typed === '') {
    clearInterval(clock);
    clock = undefined;
  } else if (clock === undefined) {
    clock = setInterval(tick, kClockMs);
  }
}

/** What was typed while a field that should have it was still on its way; it means nothing else then. */
export function takeTyped(): string {
  const { typed } = keys.value;
  set(kIdle);
  return typed;
}

function tick(): void {
  const holdMs = target('reading') === undefined ? kHoldMs : kHoldReadingMs;
  const { state, act } = elapse(keys.value, performance.now(), { digits: target('choose') !== undefined, holdMs });
  if (state !== keys.value) set(state);
  if (act !== null) perform(act);
}

function isField(element: EventTarget | null): boolean {
  return element instanceof HTMLElement
    && (element.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName))
    && !(element instanceof HTMLInputElement && /^(checkbox|radio|button|submit)$/.test(element.type));
}

function inField(event: KeyboardEvent): void {
  // A keypad has no Escape, and a number has no star.
  const leaves = event.key === 'Escape' || (event.code === 'NumpadMultiply' && event.target instanceof HTMLInputElement
    && event.target.inputMode === 'decimal');
  if (!leaves || !(event.target instanceof HTMLElement)) return;
  if (event.key !== 'Escape') event.preventDefault();
  event.target.blur();
  if (event.key === 'Escape') perform({ act: 'escape' });
}

export function startKeyboard(): void {
  addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.repeat) return;
    const name = keyName(event);
    const bound = boundAction(name, settings.value.keys);
    if (isField(event.target) && (bound === null || !actsInFields(name))) return inField(event);
    // Within a burst it is a scanner that sends the key.
    if (bound !== null && keys.value.typed === '') {
      event.preventDefault();
      return performBound(bound);
    }
    // Keys pressed long ago get their meaning before this one gets its own.
    if (keys.value.typed !== '') tick();
    const result = press(keys.value, { key: event.key, code: event.code, shift: event.shiftKey }, performance.now());
    set(result.state);
    if (result.act === null) {
      if (result.taken) event.preventDefault();
      return;
    }
    const onControl = event.target instanceof Element && event.target.closest('button, a, summary, input, [role="button"]') !== null;
    if (result.act.act === 'enter' && onControl) return;
    if (result.taken || result.act.act === 'enter') event.preventDefault();
    perform(result.act);
  });
}
