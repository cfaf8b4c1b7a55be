/** What presses of keys mean away from text fields. Pure: time is passed in.
 *
 * A digit on the bench chooses an outcome, digits followed by Enter open a unit (a step's letter, + - or * in place of
 * Enter opens it at that step), a number with a decimal point is a reading, and a scanner types letters and digits as a
 * burst. To tell them apart a press is *held* a moment: a digit for kHoldMs (another digit, Enter or a letter within that
 * time makes it a unit's number), a letter or sign for kBurstMs (a person cannot type the next key sooner, a scanner does).
 * Right after a step's letter a digit can only be that step's outcome and is not held.
 */
export const kHoldMs = 450;
/** Where a reading can be typed its first digit must not be taken for an outcome before the point comes. */
export const kHoldReadingMs = 900;
export const kBurstMs = 35;
/** How long typed digits wait for their Enter. */
export const kWaitMs = 4000;
/** How long after a step's letter, or after the keypad's star, a digit is not held. */
export const kQuickMs = 1500;

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
  /** Until then a digit is not held: what came just before leaves only one meaning. */
  quickUntil: number;
}

export type KeyAct =
  | { act: 'choose'; digit: number; notSure: boolean }
  /** `at`: '' the advised step, '+' '-' '*' the next best ones, a letter: the step with that letter. */
  | { act: 'open'; number: string; at: string }
  /** "0.412", "4.7k": of the step that is shown. */
  | { act: 'reading'; text: string; notSure: boolean }
  /** Minutes of hands that the step took. */
  | { act: 'minutes'; text: string }
  | { act: 'scan'; text: string }
  | { act: 'enter' }
  | { act: 'letter'; letter: string }
  | { act: 'find' }
  | { act: 'undo' }
  | { act: 'help' }
  /** What else can be recorded, chosen by a digit. */
  | { act: 'record' }
  | { act: 'escape' }
  | { act: 'move'; by: 1 | -1 };

export interface KeyResult {
  state: KeyState;
  act: KeyAct | null;
  /** The press was ours: keep the browser from acting on it too. */
  taken: boolean;
}

/** What the screen takes at this moment. */
export interface Choosing {
  /** There is something to choose by a digit; where there is not, digits only wait for their Enter. */
  digits: boolean;
  holdMs: number;
}

export const kIdle: KeyState = { typed: '', at: 0, notSure: false, quickUntil: 0 };
/** Letters that name steps, in the order in which they are given out; the bench itself and the ways to stop take the others:
 * a d s w (ways to stop), f filter, i what if, l log, n note, p photo, t full test, v reading, x not in the profile yet, z undo. */
export const kStepLetters = 'bceghjkmoqruy';
/** Letters after which a digit is not held. */
const kQuickLetters = `${kStepLetters}i`;
/** A keypad's own signs, as a scanner may type the same signs from elsewhere. */
const kKeypadUndo = '÷';
const kKeypadRecord = '×';

const isDigits = (text: string) => /^\d+$/.test(text);
const isReading = (text: string) => /^\d+[.,]\d*[a-zµΩ%]*$/i.test(text);

/** The digit of a press, with Shift too (where Shift+3 types another sign), on any keyboard and keypad. */
export function digitOf(press: Press): number | null {
  if (/^\d$/.test(press.key)) return Number(press.key);
  const byCode = /^(?:Digit|Numpad)(\d)$/.exec(press.code);
  return press.shift && byCode?.[1] !== undefined ? Number(byCode[1]) : null;
}

export function press(state: KeyState, key: Press, now: number): KeyResult {
  if (key.key === 'Enter') return enter(state);
  if (key.key === 'Escape') return { state: kIdle, act: { act: 'escape' }, taken: false };
  if (key.key === 'Backspace' && state.typed !== '') return only({ ...state, typed: state.typed.slice(0, -1), at: now });
  if (key.key.length !== 1 || key.key === ' ') return { state, act: null, taken: false };
  const held = now - state.at;
  if (state.typed !== '' && held < kBurstMs) return only({ ...state, typed: state.typed + key.key, at: now });
  const number = held <= kWaitMs && (isDigits(state.typed) || isReading(state.typed)) ? state.typed : '';
  return (number === '' ? null : afterNumber(state, number, key, now)) ?? first(state, key, now);
}

const only = (state: KeyState): KeyResult => ({ state, act: null, taken: true });
const done = (act: KeyAct): KeyResult => ({ state: kIdle, act, taken: true });

/** A key after typed digits: more of the number, or what ends it. Null: it has nothing to do with the number. */
function afterNumber(state: KeyState, number: string, key: Press, now: number): KeyResult | null {
  const sign = key.key.toLowerCase();
  const whole = isDigits(number);
  if (sign === '/' || sign === '\'') return done({ act: 'minutes', text: number });
  if (whole && '+-*'.includes(sign)) return done({ act: 'open', number, at: sign });
  if (whole && !key.shift && kStepLetters.includes(sign)) {
    return { state: { ...kIdle, quickUntil: now + kWaitMs }, act: { act: 'open', number, at: sign }, taken: true };
  }
  const digit = digitOf(key);
  if (digit !== null && !isSuffixed(number)) return only({ ...state, typed: number + String(digit), at: now });
  if (whole ? isMark(sign) : /[a-zµω%]/.test(sign)) return only({ ...state, typed: number + key.key, at: now });
  return null;
}

const isSuffixed = (number: string) => /[^\d.,]$/.test(number);

/** The first key of something. */
function first(state: KeyState, key: Press, now: number): KeyResult {
  const digit = digitOf(key);
  const next = { ...state, at: now };
  if (digit !== null) return only({ ...next, typed: String(digit), notSure: state.notSure || key.shift });
  if (key.code === 'NumpadDivide') return only({ ...next, typed: kKeypadUndo });
  if (key.code === 'NumpadMultiply') return only({ ...next, typed: kKeypadRecord });
  const notSure = state.notSure || (key.shift && /^[a-y]$/i.test(key.key));
  return signAct(key.key) === null && !isMark(key.key)
    ? { state, act: null, taken: false } : only({ ...next, typed: key.key, notSure });
}

function enter(state: KeyState): KeyResult {
  const { typed } = state;
  if (typed === '') return { state: kIdle, act: { act: 'enter' }, taken: false };
  if (isDigits(typed)) return done({ act: 'open', number: typed, at: '' });
  if (isReading(typed)) return done({ act: 'reading', text: typed, notSure: state.notSure });
  return done({ act: 'scan', text: typed });
}

const isMark = (sign: string) => sign === '.' || sign === ',';

function signAct(sign: string): KeyAct | null {
  switch (sign) {
    case '/': return { act: 'find' };
    case '?': return { act: 'help' };
    case '+': return { act: 'move', by: 1 };
    case '-': return { act: 'move', by: -1 };
    case kKeypadUndo: return { act: 'undo' };
    case kKeypadRecord: return { act: 'record' };
  }
  const letter = sign.toLowerCase();
  if (letter === 'z') return { act: 'undo' };
  return /^[a-y]$/.test(letter) ? { act: 'letter', letter } : null;
}

/** Time has passed: what was held alone gets its meaning. */
export function elapse(state: KeyState, now: number, choosing: Choosing): { state: KeyState; act: KeyAct | null } {
  const { typed } = state;
  const held = now - state.at;
  if (typed === '' || held < kBurstMs) return { state, act: null };
  const forgotten = held > kWaitMs ? kIdle : state;
  if (isDigits(typed)) {
    const hold = state.at < state.quickUntil ? kBurstMs : choosing.holdMs;
    if (choosing.digits && typed.length === 1 && held >= hold) {
      return { state: kIdle, act: { act: 'choose', digit: Number(typed), notSure: state.notSure } };
    }
    return { state: forgotten, act: null };
  }
  if (typed.length > 1) return { state: forgotten, act: null };
  if (isMark(typed)) return { state: { ...kIdle, notSure: !state.notSure }, act: null };
  const act = signAct(typed);
  const quick = act?.act === 'record' || (act?.act === 'letter' && kQuickLetters.includes(act.letter));
  // "Not sure" and the moment without a hold reach over the letter to the digit after it.
  const after = quick ? { ...kIdle, notSure: state.notSure, quickUntil: state.at + kQuickMs } : kIdle;
  return { state: after, act };
}
