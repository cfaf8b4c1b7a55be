/** Keys away from text fields. A screen says what choosing, letters and Enter mean on it. */
import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';

import { type KeyAct, type KeyState, elapse, kIdle, press } from '../lib/keys';
import { undoLast } from './journal';
import { openUnit } from './navigation';

export interface KeyTarget {
  choose?: (digit: number, notSure: boolean) => void;
  letter?: (letter: string, notSure: boolean) => void;
  /** Enter where no button, link or field has the focus. */
  enter?: () => void;
  move?: (by: 1 | -1) => void;
  escape?: () => void;
}

/** Shown while keys are held: digits typed so far, "not sure". */
export const keys = signal<KeyState>(kIdle);
export const helpShown = signal(false);
/** Set to open the finder with a text. */
export const finder = signal<{ text: string } | null>(null);
const targets: KeyTarget[] = [];
let clock: ReturnType<typeof setInterval> | undefined;
const kClockMs = 20;

/** While the component is shown its keys mean what `target` says. Digits, Enter and moves go to the one
 * registered last; letters and Escape to all, as each part takes its own letters. */
export function useKeys(target: KeyTarget): void {
  const latest = useRef(target);
  latest.current = target;
  useEffect(() => {
    const mine: KeyTarget = {};
    // Read through, so that a new function at every render needs no new registration.
    Object.defineProperties(mine, Object.fromEntries((['choose', 'letter', 'enter', 'move', 'escape'] as const).map(
      (name) => [name, { get: () => latest.current[name] }])));
    targets.push(mine);
    return () => void targets.splice(targets.indexOf(mine), 1);
  }, []);
}

function target<K extends keyof KeyTarget>(name: K): KeyTarget[K] | undefined {
  return [...targets].reverse().find((each) => each[name] !== undefined)?.[name];
}

function each<K extends 'letter' | 'escape'>(name: K, call: (take: NonNullable<KeyTarget[K]>) => void): void {
  for (const one of [...targets]) {
    const take = one[name];
    if (take !== undefined) call(take);
  }
}

function perform(act: KeyAct): void {
  switch (act.act) {
    case 'choose': return target('choose')?.(act.digit, act.notSure);
    case 'open': return openUnit(Number(act.number), act.step);
    case 'scan': finder.value = { text: act.text }; return;
    case 'enter': return target('enter')?.();
    case 'letter': return each('letter', (take) => take(act.letter, act.notSure));
    case 'find': finder.value = { text: '' }; return;
    case 'undo': return void undoLast();
    case 'help': helpShown.value = !helpShown.value; return;
    case 'move': return target('move')?.(act.by);
    case 'escape':
      helpShown.value = false;
      finder.value = null;
      return each('escape', (take) => take());
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

function tick(): void {
  const { state, act } = elapse(keys.value, performance.now(), target('choose') !== undefined);
  if (state !== keys.value) set(state);
  if (act !== null) perform(act);
}

function isField(element: EventTarget | null): boolean {
  return element instanceof HTMLElement
    && (element.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName))
    && !(element instanceof HTMLInputElement && /^(checkbox|radio|button|submit)$/.test(element.type));
}

export function startKeyboard(): void {
  addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.repeat) return;
    if (isField(event.target)) {
      if (event.key === 'Escape' && event.target instanceof HTMLElement) {
        event.target.blur();
        perform({ act: 'escape' });
      }
      return;
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
