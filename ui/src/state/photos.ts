/** Photos on their way: kept in this browser, sent one after another, put to their unit, moved and undone. */
import { computed, signal } from '@preact/signals';

import { type PhotoTaken, type UnitView, deletePhoto, get, paths, postPhoto } from '../api';
import { dropFile, keepFile, keptFiles } from '../lib/blobs';
import { type Aim, type How, type UnitRef, goalOf, sizeProblem } from '../lib/photos';
import { ApiError, isPassing } from '../lib/problem';
import { retryAfterMs } from '../lib/queue';
import { append, newId, strike } from './journal';
import { speak } from './notices';

export type ShotState =
  | { at: 'waiting'; tries: number }
  | { at: 'sending' }
  /** Stored, but for no unit yet: `words` says why and asks. */
  | { at: 'asking'; attachment: string; words: string; among: readonly UnitRef[] }
  | { at: 'recording'; attachment: string; unit: UnitRef }
  | { at: 'kept'; attachment: string; unit: UnitRef; entry: string; how: How; words: string }
  | { at: 'undone'; attachment: string; unit: UnitRef; entry: string; strike: string; how: How; words: string }
  | { at: 'refused'; why: string };

/** One photo that this browser took. */
export interface Shot {
  id: string;
  /** An address of its bytes in this page. */
  url: string;
  file: Blob;
  name: string;
  takenAt: string;
  aim: Aim;
  state: ShotState;
}

const kShown = 60;
/** Newest first. */
export const shots = signal<Shot[]>([]);
export const unsent = computed(() => shots.value.filter(({ state }) => state.at === 'waiting' || state.at === 'sending'));

function set(id: string, state: ShotState): void {
  shots.value = shots.value.map((shot) => (shot.id === id ? { ...shot, state } : shot));
}

function find(id: string): Shot | undefined {
  return shots.value.find((shot) => shot.id === id);
}

/** Takes files in; they are sent by themselves. */
export function takePhotos(files: Iterable<File>, aim: Aim): void {
  for (const file of files) {
    const problem = sizeProblem(file);
    const shot: Shot = {
      id: newId(), url: URL.createObjectURL(file), file, name: file.name, takenAt: new Date().toISOString(), aim,
      state: problem === null ? { at: 'waiting', tries: 0 } : { at: 'refused', why: problem },
    };
    shots.value = forgotten([shot, ...shots.value]);
    if (problem === null) void keepFile({ id: shot.id, file, about: { name: shot.name, takenAt: shot.takenAt, aim } });
  }
  void sendPhotos();
}

/** The list without the oldest that are done with, where it has become long. */
function forgotten(list: Shot[]): Shot[] {
  const done = (shot: Shot) => shot.state.at === 'kept' || shot.state.at === 'undone' || shot.state.at === 'refused';
  return list.filter((shot, position) => {
    const stays = position < kShown || !done(shot);
    if (!stays) URL.revokeObjectURL(shot.url);
    return stays;
  });
}

let sending = false;
let timer: ReturnType<typeof setTimeout> | undefined;

/** Sends what waits, oldest first. */
export async function sendPhotos(): Promise<void> {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (let shot = nextToSend(); shot !== undefined; shot = nextToSend()) {
      const tries = shot.state.at === 'waiting' ? shot.state.tries : 0;
      set(shot.id, { at: 'sending' });
      if (await send(shot, tries)) continue;
      timer = setTimeout(() => void sendPhotos(), retryAfterMs(tries + 1));
      return;
    }
  } finally {
    sending = false;
  }
}

function nextToSend(): Shot | undefined {
  return [...shots.value].reverse().find((shot) => shot.state.at === 'waiting');
}

/** False: the server was not reached, try again later. */
async function send(shot: Shot, tries: number): Promise<boolean> {
  let taken: PhotoTaken;
  try {
    taken = await postPhoto(shot.file);
  } catch (error) {
    if (isPassing(error instanceof ApiError ? error.status : 0)) {
      set(shot.id, { at: 'waiting', tries: tries + 1 });
      return false;
    }
    refuse(shot.id, error);
    return true;
  }
  const goal = goalOf(shot.aim, taken);
  if (goal.unit === null) set(shot.id, { at: 'asking', attachment: taken.attachment, words: goal.words, among: goal.among });
  // Not waited for: an entry that asks for a name first, or finds the server away, does not hold up the next photo.
  else void record(shot.id, taken.attachment, goal.unit, goal.how, goal.words);
  return true;
}

function refuse(id: string, error: unknown): void {
  set(id, { at: 'refused', why: error instanceof Error ? error.message : 'It could not be stored.' });
  void dropFile(id);
}

async function record(id: string, attachment: string, unit: UnitRef, how: How, words: string): Promise<void> {
  set(id, { at: 'recording', attachment, unit });
  const draft = { subject: { kind: 'unit' as const, id: unit.id }, kind: 'photo-attached', body: { attachment } };
  const accepted = await append([draft], `photo of unit ${unit.number}`);
  void dropFile(id);
  const entry = accepted?.accepted[0]?.id;
  set(id, entry === undefined ? { at: 'refused', why: 'The entry was refused.' } : { at: 'kept', attachment, unit, entry, how, words });
  if (entry !== undefined) speak(`Photo of unit ${unit.number}`);
}

/** The unit that bears a number; null with the reason where there is none. */
export async function unitOfNumber(number: string): Promise<UnitRef | string> {
  if (!/^\d{1,8}$/.test(number.trim())) return 'Type the number on the tape.';
  try {
    const view = await get<UnitView>(paths.unit(String(Number(number))));
    return { id: view.unit.id, number: view.unit.number };
  } catch (error) {
    return error instanceof ApiError && error.status === 404 ? `No unit bears the number ${number.trim()}.`
      : error instanceof Error ? error.message : 'The unit could not be looked up.';
  }
}

/** Puts a photo to a unit: one that was asked for, or one that went to another unit. */
export async function putToUnit(id: string, unit: UnitRef): Promise<void> {
  const shot = find(id);
  if (shot === undefined) return;
  const { state } = shot;
  const words = `unit ${unit.number}, as you chose`;
  if (state.at === 'asking') return record(id, state.attachment, unit, 'chosen', words);
  if (state.at !== 'kept' || state.unit.id === unit.id) return;
  // Out of the one and into the other, or neither.
  const accepted = await append([
    { subject: { kind: 'unit', id: state.unit.id }, kind: 'struck', body: { entry: state.entry, reason: `belongs to unit ${unit.number}` } },
    { subject: { kind: 'unit', id: unit.id }, kind: 'photo-attached', body: { attachment: state.attachment } },
  ], `photo moved to unit ${unit.number}`);
  const entry = accepted?.accepted[1]?.id;
  if (entry !== undefined) set(id, { at: 'kept', attachment: state.attachment, unit, entry, how: 'chosen', words });
}

export async function undoPhoto(id: string): Promise<void> {
  const state = find(id)?.state;
  if (state?.at !== 'kept') return;
  const struck = await strike({ kind: 'unit', id: state.unit.id }, state.entry, `undo the photo of unit ${state.unit.number}`, 'undone at once');
  if (struck !== null) set(id, { ...state, at: 'undone', strike: struck });
}

export async function putBack(id: string): Promise<void> {
  const state = find(id)?.state;
  if (state?.at !== 'undone') return;
  const back = await strike({ kind: 'unit', id: state.unit.id }, state.strike, `put back the photo of unit ${state.unit.number}`);
  if (back === null) return;
  const { strike: _, ...rest } = state;
  set(id, { ...rest, at: 'kept' });
}

/** Gives up a photo that belongs to no unit. */
export async function discardPhoto(id: string): Promise<void> {
  const state = find(id)?.state;
  if (state === undefined) return;
  if (state.at === 'asking') await deletePhoto(state.attachment).catch(() => undefined);
  void dropFile(id);
  shots.value = shots.value.filter((shot) => shot.id !== id);
}

/** What an earlier page of this browser could not send. */
async function takeUp(): Promise<void> {
  const known = new Set(shots.value.map((shot) => shot.id));
  const kept = (await keptFiles()).filter(({ id }) => !known.has(id)).map(({ id, file, about }): Shot => {
    const { name, takenAt, aim } = about as Pick<Shot, 'name' | 'takenAt' | 'aim'>;
    return { id, url: URL.createObjectURL(file), file, name, takenAt, aim, state: { at: 'waiting', tries: 0 } };
  });
  if (kept.length === 0) return;
  shots.value = [...shots.value, ...kept.sort((a, b) => (a.takenAt < b.takenAt ? 1 : -1))];
  void sendPhotos();
}

addEventListener('online', () => void sendPhotos());
void takeUp();
