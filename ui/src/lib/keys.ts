/** What presses of keys mean away from text fields. Pure: time is passed in.
 *
 * A digit on the bench chooses an outcome of the advised step, digits followed by Enter open a unit, followed by + - or *
 * open it at the next best, the third or the fourth step instead, and a scanner types letters and digits as a burst. To tell them apart a press is *held* a moment: a digit for kHoldMs (another
 * digit or Enter within that time makes it a unit's number), a letter or sign for kBurstMs (a
 * person cannot type the next key sooner, a scanner does).
 */
export const kHoldMs = 450;
export const kBurstMs = 35;
/** How long typed digits wait for their Enter. */
export const kWaitMs = 4000;

export interface Press {
  key: string;
  code: string;
  shift: boolean;
}

export interface KeyState {
  /** Held so far. */
  typed: string;
  /** When the last of it came, in milliseconds. */
  at: number;
  /** "not sure" marks the next outcome. */
  notSure: boolean;
}

export type KeyAct =
  | { act: 'choose'; digit: number; notSure: boolean }
  /** `step`: 0 the advised one, 1 … 3 the next best ones. */
  | { act: 'open'; number: string; step: number }
  | { act: 'scan'; text: string }
  | { act: 'enter' }
  | { act: 'letter'; letter: string; notSure: boolean }
  | { act: 'find' }
  | { act: 'undo' }
  | { act: 'help' }
  | { act: 'escape' }
  | { act: 'move'; by: 1 | -1 };

export interface KeyResult {
  state: KeyState;
  act: KeyAct | null;
  /** The press was ours: keep the browser from acting on it too. */
  taken: boolean;
}

export const kIdle: KeyState = { typed: '', at: 0, notSure: false };
/** After a unit's number, in place of Enter; all three stand on a numeric keypad. */
const kOpeningSigns = '+-*';
const isDigits = (text: string) => /^\d+$/.test(text);

/** The digit of a press, with Shift too (where Shift+3 types another sign), on any keyboard and keypad. */
export function digitOf(press: Press): number | null {
  if (/^\d$/.test(press.key)) return Number(press.key);
  const byCode = /^(?:Digit|Numpad)(\d)$/.exec(press.code);
  return press.shift && byCode?.[1] !== undefined ? Number(byCode[1]) : null;
}

export function press(state: KeyState, key: Press, now: number): KeyResult {
  if (key.key === 'Enter') return enter(state);
  if (key.key === 'Escape') return { state: kIdle, act: { act: 'escape' }, taken: false };
  if (key.key.length !== 1 || key.key === ' ') return { state, act: null, taken: false };
  const held = now - state.at;
  if (state.typed !== '' && held < kBurstMs) {
    return { state: { ...state, typed: state.typed + key.key, at: now }, act: null, taken: true };
  }
  const step = kOpeningSigns.indexOf(key.key) + 1;
  if (step > 0 && isDigits(state.typed) && held <= kWaitMs) {
    return { state: kIdle, act: { act: 'open', number: state.typed, step }, taken: true };
  }
  const digit = digitOf(key);
  if (digit !== null) {
    const goesOn = isDigits(state.typed) && held <= kWaitMs;
    const typed = goesOn ? state.typed + String(digit) : String(digit);
    return { state: { typed, at: now, notSure: key.shift || (state.notSure && !goesOn) }, act: null, taken: true };
  }
  const known = signAct(key.key) !== null || isMark(key.key);
  const notSure = state.notSure || (key.shift && /^[a-y]$/i.test(key.key));
  return known ? { state: { typed: key.key, at: now, notSure }, act: null, taken: true } : { state, act: null, taken: false };
}

function enter(state: KeyState): KeyResult {
  if (state.typed === '') return { state: kIdle, act: { act: 'enter' }, taken: false };
  const act: KeyAct = isDigits(state.typed) ? { act: 'open', number: state.typed, step: 0 } : { act: 'scan', text: state.typed };
  return { state: kIdle, act, taken: true };
}

const isMark = (sign: string) => sign === '.' || sign === ',';

function signAct(sign: string, notSure = false): KeyAct | null {
  switch (sign) {
    case '/': return { act: 'find' };
    case '?': return { act: 'help' };
    case '+': return { act: 'move', by: 1 };
    case '-': return { act: 'move', by: -1 };
  }
  const letter = sign.toLowerCase();
  if (letter === 'z') return { act: 'undo' };
  return /^[a-y]$/.test(letter) ? { act: 'letter', letter, notSure } : null;
}

/** Time has passed: what was held alone gets its meaning. `choosing`: there is something to choose by a digit;
 * where there is not, digits only wait for their Enter. */
export function elapse(state: KeyState, now: number, choosing: boolean): { state: KeyState; act: KeyAct | null } {
  const { typed } = state;
  const held = now - state.at;
  if (typed === '' || held < kBurstMs) return { state, act: null };
  if (isDigits(typed)) {
    if (choosing && typed.length === 1 && held >= kHoldMs) {
      return { state: kIdle, act: { act: 'choose', digit: Number(typed), notSure: state.notSure } };
    }
    return { state: held > kWaitMs ? kIdle : state, act: null };
  }
  if (typed.length > 1) return { state: held > kWaitMs ? kIdle : state, act: null };
  if (isMark(typed)) return { state: { ...kIdle, notSure: !state.notSure }, act: null };
  return { state: kIdle, act: signAct(typed, state.notSure) };
}

/** The letters that record an outcome of a step of one's own choosing, in order; the others are taken by the bench itself
 * and by the ways to stop. */
export const kOutcomeLetters = 'bceghijkmopqruxy';
