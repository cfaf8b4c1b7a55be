/** Which of several windows holds the one event stream. Pure: the state after an event and what to do.
 *
 * A browser allows six connections to one server, so one window (the leader, whoever holds the lock) has the
 * stream and tells the others. It sends a sign of life every kBeatMs; a visible window that hears
 * none for kSilenceMs takes the lock (the leader sleeps), and any window that woke catches up.
 */
export const kBeatMs = 2_000;
export const kSilenceMs = 6_000;

export type Connection = 'connecting' | 'live' | 'reconnecting';

export interface Subject {
  kind: string;
  id: string;
}

export interface Change {
  sequence: number;
  /** null: not known which, so anything may have changed. */
  subjects: Subject[] | null;
}

export interface StreamState {
  role: 'follower' | 'leader';
  connection: Connection;
  sequence: number;
  heardAt: number;
}

export type StreamEvent =
  | { event: 'lock-granted'; now: number }
  | { event: 'lock-lost'; now: number }
  | { event: 'stream-open'; now: number }
  | { event: 'stream-error'; now: number }
  | { event: 'stream-change'; change: Change; now: number }
  | { event: 'heard'; connection: Connection; sequence: number; change: Change | null; now: number }
  | { event: 'status'; sequence: number; now: number }
  | { event: 'asked'; now: number }
  | { event: 'woke'; now: number }
  | { event: 'tick'; visible: boolean; now: number };

export type StreamDeed =
  | { deed: 'open-stream'; after: number }
  | { deed: 'close-stream' }
  | { deed: 'tell'; change: Change | null }
  | { deed: 'take-lock' }
  | { deed: 'ask-status' }
  | { deed: 'refresh'; change: Change };

export interface StreamStep {
  state: StreamState;
  deeds: StreamDeed[];
}

export function firstState(now: number): StreamState {
  return { role: 'follower', connection: 'connecting', sequence: 0, heardAt: now };
}

export function streamStep(state: StreamState, event: StreamEvent): StreamStep {
  switch (event.event) {
    case 'lock-granted':
      return { state: { ...state, role: 'leader', heardAt: event.now }, deeds: [{ deed: 'open-stream', after: state.sequence }] };
    case 'lock-lost':
      return { state: { ...state, role: 'follower', heardAt: event.now }, deeds: [{ deed: 'close-stream' }] };
    case 'stream-open':
      return { state: { ...state, connection: 'live' }, deeds: [{ deed: 'tell', change: null }, { deed: 'ask-status' }] };
    case 'stream-error':
      return { state: { ...state, connection: 'reconnecting' }, deeds: [{ deed: 'tell', change: null }] };
    case 'stream-change': {
      if (event.change.sequence <= state.sequence) return { state, deeds: [] };
      const next = { ...state, connection: 'live' as const, sequence: event.change.sequence };
      return { state: next, deeds: [{ deed: 'tell', change: event.change }, { deed: 'refresh', change: event.change }] };
    }
    case 'heard':
      return heard(state, event);
    case 'asked':
      return { state, deeds: state.role === 'leader' ? [{ deed: 'tell', change: null }] : [] };
    case 'status':
      return knows(state, event.sequence);
    case 'woke':
      return { state, deeds: [{ deed: 'ask-status' }] };
    case 'tick':
      return tick(state, event);
  }
}

/** The server said how far its journal is. Behind what is known here means that it is another journal. */
function knows(state: StreamState, sequence: number): StreamStep {
  if (sequence === state.sequence) return { state, deeds: [] };
  const change: Change = { sequence, subjects: null };
  const known = state.sequence > 0;
  return { state: { ...state, sequence }, deeds: known ? [{ deed: 'tell', change }, { deed: 'refresh', change }] : [] };
}

function heard(state: StreamState, event: StreamEvent & { event: 'heard' }): StreamStep {
  if (state.role === 'leader') return { state, deeds: [] };
  const next = { ...state, connection: event.connection, heardAt: event.now, sequence: Math.max(state.sequence, event.sequence) };
  if (event.sequence <= state.sequence) return { state: next, deeds: [] };
  // A change that does not follow on what is known here leaves a gap: everything may have changed.
  const whole = event.change !== null && event.change.sequence === state.sequence + 1;
  const change: Change = whole && event.change ? event.change : { sequence: event.sequence, subjects: null };
  return { state: next, deeds: [{ deed: 'refresh', change }] };
}

function tick(state: StreamState, event: StreamEvent & { event: 'tick' }): StreamStep {
  if (state.role === 'leader') return { state, deeds: [{ deed: 'tell', change: null }] };
  if (!event.visible || event.now - state.heardAt < kSilenceMs) return { state, deeds: [] };
  return { state: { ...state, heardAt: event.now }, deeds: [{ deed: 'take-lock' }] };
}

/** Whether a view must be read again. `about`: the subject it shows; null for one that sums up many. */
export function touches(change: Change, about: Subject | null): boolean {
  if (change.subjects === null || about === null) return true;
  // A unit's view also rests on its lot and its profile, whose ids it does not know beforehand.
  return change.subjects.some((subject) => subject.kind !== about.kind || subject.id === about.id);
}
