/** Receiving units: what keys and a scanner mean, what is noted of a unit, which units are still to be gone through. Pure. */
import { kBurstMs } from './keys';

/** What a unit looks like at its receipt, by digit (common practice, no source). */
export const kLooks = [
  'scratched', 'dented', 'glass broken', 'back lifted or swollen', 'opened before', 'screws missing', 'parts missing', 'wet or sticky', 'smells burnt',
] as const;

/** A burst without an Enter at its end is taken after this long without a key, if it is long enough for a serial. */
export const kScanEndsMs = 250;
const kLeastSerial = 4;

export interface ReceiveKeys {
  typed: string;
  at: number;
}
export const kNoKeys: ReceiveKeys = { typed: '', at: 0 };

export type ReceiveAct =
  | { act: 'serial'; text: string }
  /** The n-th of kLooks, from 0. */
  | { act: 'look'; index: number }
  | { act: 'letter'; letter: string }
  | { act: 'next' }
  | { act: 'back' }
  | { act: 'leave' };

export interface ReceiveStep {
  state: ReceiveKeys;
  acts: ReceiveAct[];
  /** The press was ours. */
  taken: boolean;
}

/** A press away from text fields. A scanner's keys come faster than a person can type; a single key is a command. */
export function receivePress(state: ReceiveKeys, key: string, now: number): ReceiveStep {
  const before = receiveElapse(state, now);
  const { typed } = before.state;
  if (key === 'Enter') {
    const act: ReceiveAct = typed === '' ? { act: 'next' } : { act: 'serial', text: typed };
    return { state: kNoKeys, acts: [...before.acts, act], taken: true };
  }
  if (key === 'Escape') return { state: kNoKeys, acts: [{ act: 'leave' }], taken: true };
  if (key === 'Backspace' || key === 'ArrowUp') return { state: kNoKeys, acts: [...before.acts, { act: 'back' }], taken: true };
  if (key === 'ArrowDown') return { state: kNoKeys, acts: [...before.acts, { act: 'next' }], taken: true };
  if (key.length !== 1) return { state, acts: [], taken: false };
  return { state: { typed: typed + key, at: now }, acts: before.acts, taken: true };
}

/** Time has passed: a single key gets its meaning, a burst that has ended is a serial. */
export function receiveElapse(state: ReceiveKeys, now: number): { state: ReceiveKeys; acts: ReceiveAct[] } {
  const { typed } = state;
  const quiet = now - state.at;
  if (typed === '' || quiet < kBurstMs) return { state, acts: [] };
  if (typed.length >= kLeastSerial) {
    return quiet < kScanEndsMs ? { state, acts: [] } : { state: kNoKeys, acts: [{ act: 'serial', text: typed }] };
  }
  return { state: kNoKeys, acts: [...typed].flatMap(command) };
}

function command(key: string): ReceiveAct[] {
  const digit = Number(key);
  if (/^[1-9]$/.test(key)) return digit <= kLooks.length ? [{ act: 'look', index: digit - 1 }] : [];
  return /^[a-z]$/i.test(key) ? [{ act: 'letter', letter: key.toLowerCase() }] : [];
}

/** Looks and free words as one condition: "scratched, dented, rattles". */
export function conditionText(looks: ReadonlySet<number>, words: string): string {
  return [...kLooks.filter((_, index) => looks.has(index)), words.trim()].filter((part) => part !== '').join(', ');
}

/** A condition read back: the looks in it and what else it says. */
export function conditionParts(text: string): { looks: Set<number>; words: string } {
  const looks = new Set<number>();
  const words = text.split(',').map((part) => part.trim()).filter((part) => {
    const index = (kLooks as readonly string[]).indexOf(part);
    if (index >= 0) looks.add(index);
    return part !== '' && index < 0;
  });
  return { looks, words: words.join(', ') };
}

export interface Received {
  id: string;
  number: number;
  serial: string;
  condition: string;
}

/** What changed of a unit, as the body of an `identified` entry; null when nothing did. */
export function identifiedBody(unit: Received, serial: string, condition: string): Record<string, string> | null {
  const body = {
    ...(serial === unit.serial ? {} : { serial }),
    ...(condition === unit.condition ? {} : { condition }),
  };
  return Object.keys(body).length === 0 ? null : body;
}

/** Another unit with this serial; undefined when none has it. */
export function serialTwin<U extends Received>(units: readonly U[], unit: Received, serial: string): U | undefined {
  const wanted = serial.trim().toLowerCase();
  return units.find((each) => each.id !== unit.id && wanted !== '' && each.serial.toLowerCase() === wanted);
}

/** The unit after (or before) one, within the list, by number; undefined at the ends. */
export function beside<U extends { number: number }>(units: readonly U[], number: number, by: 1 | -1): U | undefined {
  const at = units.findIndex((each) => each.number === number);
  return at < 0 ? undefined : units[at + by];
}
