/** The event stream shared by all windows of this browser (lib/leader.ts says how). */
import { signal } from '@preact/signals';

import { type Status, get, paths } from '../api';
import { type Change, type Connection, type StreamDeed, type StreamEvent, firstState, kBeatMs, streamStep } from '../lib/leader';

interface Told {
  connection: Connection;
  sequence: number;
  change: Change | null;
}

/** What a window that has just opened says, so that it need not wait for the leader's next sign of life. */
const kAsk = 'how does it stand?';

export const connection = signal<Connection>('connecting');
/** Set once the server has answered. */
export const status = signal<Status | null>(null);

type Listener = (change: Change) => void;
const listeners = new Set<Listener>();
let state = firstState(Date.now());
let source: EventSource | null = null;
let loseLock: (() => void) | null = null;
const channel = 'BroadcastChannel' in window ? new BroadcastChannel('lotwright.stream') : null;
// Web Locks exist only where the page is trusted (HTTPS or this machine). Elsewhere each visible window has its own.
const locks = channel && 'locks' in navigator ? navigator.locks : null;

/** Called with every change; returns how to stop that. */
export function onChange(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** The server has this sequence now: whoever shows less reads again. */
export function catchUp(sequence: number): void {
  if (sequence > state.sequence) feed({ event: 'stream-change', change: { sequence, subjects: null }, now: Date.now() });
}

function feed(event: StreamEvent): void {
  const step = streamStep(state, event);
  state = step.state;
  if (connection.value !== state.connection) connection.value = state.connection;
  step.deeds.forEach(perform);
}

function perform(deed: StreamDeed): void {
  switch (deed.deed) {
    case 'open-stream': return openStream(deed.after);
    case 'close-stream': return closeStream();
    case 'tell': return channel?.postMessage({ connection: state.connection, sequence: state.sequence, change: deed.change } satisfies Told);
    case 'take-lock': return hold(true);
    case 'ask-status': return void askStatus();
    case 'refresh': return listeners.forEach((listener) => listener(deed.change));
  }
}

async function askStatus(): Promise<void> {
  try {
    const answer = await get<Status>(paths.status);
    status.value = answer;
    feed({ event: 'status', sequence: answer.sequence, now: Date.now() });
  } catch {
    feed({ event: 'stream-error', now: Date.now() });
  }
}

function closeStream(): void {
  source?.close();
  source = null;
}

function openStream(after: number): void {
  closeStream();
  const opened = new EventSource(paths.events(after));
  source = opened;
  opened.onopen = () => feed({ event: 'stream-open', now: Date.now() });
  opened.onerror = () => {
    feed({ event: 'stream-error', now: Date.now() });
    // The browser gives up for good on an answer that is no stream (a proxy's error page).
    if (opened.readyState === EventSource.CLOSED) setTimeout(() => source === opened && openStream(state.sequence), 3000);
  };
  const take = (message: MessageEvent<string>) => {
    feed({ event: 'stream-change', change: changeOf(message), now: Date.now() });
  };
  opened.addEventListener('entries', take);
  opened.onmessage = take;
}

function changeOf(message: MessageEvent<string>): Change {
  let data: Partial<Change> = {};
  try {
    data = JSON.parse(message.data) as Partial<Change>;
  } catch {
    // An event whose data does not read still says that something changed.
  }
  const sequence = Number(message.lastEventId) || data.sequence || state.sequence + 1;
  return { sequence, subjects: Array.isArray(data.subjects) ? data.subjects : null };
}

function hold(steal: boolean): void {
  if (locks === null) return;
  const held = () => new Promise<void>((release) => {
    loseLock = release;
    feed({ event: 'lock-granted', now: Date.now() });
  });
  locks.request('lotwright.stream', steal ? { steal: true } : {}, held).catch(() => {
    // Another window took the lock while this one slept: follow it, and queue up again.
    feed({ event: 'lock-lost', now: Date.now() });
    hold(false);
  });
}

function visibilityChanged(): void {
  const visible = document.visibilityState === 'visible';
  if (locks === null) feed(visible ? { event: 'lock-granted', now: Date.now() } : { event: 'lock-lost', now: Date.now() });
  if (visible) feed({ event: 'woke', now: Date.now() });
}

export function startStream(): void {
  if (channel) {
    channel.onmessage = ({ data }: MessageEvent<Told | typeof kAsk>) => {
      feed(data === kAsk ? { event: 'asked', now: Date.now() } : { event: 'heard', ...data, now: Date.now() });
    };
    channel.postMessage(kAsk);
  }
  void askStatus().then(() => (locks === null ? visibilityChanged() : hold(false)));
  setInterval(() => feed({ event: 'tick', visible: document.visibilityState === 'visible', now: Date.now() }), kBeatMs);
  document.addEventListener('visibilitychange', visibilityChanged);
  addEventListener('online', () => feed({ event: 'woke', now: Date.now() }));
  addEventListener('pageshow', (event) => event.persisted && visibilityChanged());
  addEventListener('pagehide', () => {
    closeStream();
    loseLock?.();
  });
}
