/** Appending entries: made here, kept until the server has stored them, undone by striking. */
import { computed, signal } from '@preact/signals';

import { type Accepted, type Entry, type Subject, postEntries } from '../api';
import { ApiError, isPassing } from '../lib/problem';
import { type Batch, readQueue, retryAfterMs, triedAgain, without } from '../lib/queue';
import { uuidv7 } from '../lib/uuid';
import { say } from './notices';
import { settings } from './settings';
import { catchUp } from './stream';

const kQueueKey = 'lotwright.queue';
const kOwnKey = 'lotwright.own-entries';
const kOwnKept = 50;

/** An entry without what is the same for all of them. */
export interface Draft {
  /** Made beforehand where the entry brings its own subject into the journal (a lot, a unit): both ids are the same. */
  id?: string;
  subject: Subject;
  kind: string;
  body: Record<string, unknown>;
}

interface Own {
  id: string;
  subject: Subject;
  words: string;
}

const queue = signal<Batch<Entry>[]>(readQueue<Entry>(read(kQueueKey)));
/** Batches that the server has not stored yet. */
export const notStored = computed(() => queue.value);
/** Set while entries wait for the name of who records them. */
export const nameWanted = signal<{ words: string; go: () => void; leave: () => void } | null>(null);

function read(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function keep(key: string, value: unknown): void {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // Kept in memory until the window is closed; the queue is shown as not stored meanwhile.
  }
}

function setQueue(next: Batch<Entry>[]): void {
  queue.value = next;
  keep(kQueueKey, next);
}

export function newId(): string {
  return uuidv7(Date.now(), crypto.getRandomValues(new Uint8Array(10)));
}

function entryOf(draft: Draft): Entry {
  return {
    id: draft.id ?? newId(), time: new Date().toISOString(), who: settings.value.who, bench: settings.value.bench,
    subject: draft.subject, kind: draft.kind, version: 1, body: draft.body,
  };
}

const waiting = new Map<string, { done: (accepted: Accepted | null) => void }>();

/** Records entries, all or none. Answers when the server has stored them, or null when it refused them (which is
 * then said on the screen). While the server is away they wait, visibly, and are sent again by themselves.
 * `words`: what is recorded, for notices. Asks in the flow for a name first where there is none;
 * null also where none is given. */
export async function append(drafts: readonly Draft[], words: string): Promise<Accepted | null> {
  if (settings.value.who.trim() === '') {
    const named = await new Promise<boolean>((answer) => {
      nameWanted.value?.leave();
      nameWanted.value = { words, go: () => answer(true), leave: () => answer(false) };
    });
    nameWanted.value = null;
    if (!named) return null;
  }
  const entries = drafts.map(entryOf);
  const first = entries[0];
  if (first === undefined) return null;
  const batch: Batch<Entry> = { id: first.id, entries, words, tries: 0 };
  const answer = new Promise<Accepted | null>((done) => waiting.set(batch.id, { done }));
  setQueue([...queue.value, batch]);
  void sendAll();
  return answer;
}

let sending = false;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Sends what waits, oldest first, as one person's entries rest on each other. */
export async function sendAll(): Promise<void> {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (let batch = queue.value[0]; batch !== undefined; batch = queue.value[0]) {
      if (!(await send(batch))) {
        timer = setTimeout(() => void sendAll(), retryAfterMs(batch.tries + 1));
        return;
      }
    }
  } finally {
    sending = false;
  }
}

/** False: the server was not reached, try again later. */
async function send(batch: Batch<Entry>): Promise<boolean> {
  try {
    const accepted = await postEntries(batch.entries);
    setQueue(without(queue.value, batch.id));
    remember(batch);
    waiting.get(batch.id)?.done(accepted);
    waiting.delete(batch.id);
    catchUp(accepted.sequence);
    return true;
  } catch (error) {
    const status = error instanceof ApiError ? error.status : 0;
    if (isPassing(status)) {
      setQueue(triedAgain(queue.value, batch.id));
      return false;
    }
    setQueue(without(queue.value, batch.id));
    say({ tone: 'bad', text: `Not recorded: ${batch.words}. ${error instanceof Error ? error.message : ''}` });
    waiting.get(batch.id)?.done(null);
    waiting.delete(batch.id);
    return true;
  }
}

/** This bench's own entries, newest last, so that they can be undone after a reload too. */
function own(): Own[] {
  try {
    return JSON.parse(read(kOwnKey) ?? '[]') as Own[];
  } catch {
    return [];
  }
}

function remember(batch: Batch<Entry>): void {
  const last = batch.entries[batch.entries.length - 1];
  if (last === undefined || last.kind === 'struck') return;
  keep(kOwnKey, [...own(), { id: last.id, subject: last.subject, words: batch.words }].slice(-kOwnKept));
}

/** Strikes an entry. Resolves to the id of the striking entry, null when it was refused. */
export async function strike(subject: Subject, entry: string, words: string, reason = ''): Promise<string | null> {
  const body = reason === '' ? { entry } : { entry, reason };
  const accepted = await append([{ subject, kind: 'struck', body }], words);
  if (accepted === null) return null;
  keep(kOwnKey, own().filter((mine) => mine.id !== entry));
  return accepted.accepted[0]?.id ?? null;
}

/** `z`: strikes the last entry that this bench wrote. */
export async function undoLast(): Promise<void> {
  const last = own().at(-1);
  if (last === undefined) {
    say({ tone: 'plain', text: 'Nothing to undo: this bench has recorded nothing yet.' });
    return;
  }
  const strikeId = await strike(last.subject, last.id, `undo “${last.words}”`, 'undone at once');
  if (strikeId === null) {
    // It cannot be struck any more (others rest on it): let the one before it have its turn next time.
    keep(kOwnKey, own().filter((mine) => mine.id !== last.id));
    return;
  }
  say({
    tone: 'plain', text: `Undone: ${last.words}.`,
    offer: { label: 'Put it back', go: () => void strike(last.subject, strikeId, `put back “${last.words}”`) },
  });
}

addEventListener('online', () => void sendAll());
addEventListener('storage', (event) => {
  if (event.key === kQueueKey) queue.value = readQueue<Entry>(event.newValue);
});
if (queue.value.length > 0) void sendAll();
