/** The one place that talks to the server. Types come from api/openapi.yaml. */
import type { components } from './generated/api';
import { ApiError, type ProblemDetails } from './lib/problem';
import type { Edit } from './lib/profile-tree';

type Schemas = components['schemas'];
export type Entry = Schemas['Entry'];
export type Subject = Entry['subject'];
export type Status = Schemas['Status'];
export type UnitView = Schemas['UnitView'];
export type LotList = Schemas['LotList'];
export type LotView = Schemas['LotView'];
export type NowView = Schemas['NowView'];
export type MoneyView = Schemas['MoneyView'];
export type ProfileList = Schemas['ProfileList'];
export type ShippedProfiles = Schemas['ShippedProfiles'];
export type ProfileView = Schemas['ProfileView'];
export type ProfileCheck = Schemas['ProfileCheck'];
export type ProfileDraft = Schemas['ProfileDraft'];
export type ProfileSeen = Schemas['ProfileSeen'];
export type MeterView = Schemas['MeterView'];
export type ByEyeView = Schemas['ByEyeView'];
export type Supposed = Schemas['Supposed'];
export type Found = Schemas['Found'];
export type CheckView = Schemas['CheckView'];
export type RepairView = Schemas['RepairView'];
export type TestView = Schemas['TestView'];
export type DiaryLine = Schemas['DiaryLine'];
export type UnitState = Schemas['State'];
export type Step = Schemas['Step'];
export type Tray = Schemas['Tray'];
export type Photo = Schemas['Photo'];
export type PhotoTaken = Schemas['PhotoTaken'];
export type Benches = Schemas['Benches'];
export type Accepted = { accepted: { id: string; sequence: number; repeated: boolean }[]; sequence: number };

const kRoot = '/api/v1';

/** Sends a request and reads its JSON. Throws ApiError: status 0 when the server was not reached. */
async function ask<T>(path: string, request: RequestInit = {}): Promise<T> {
  let response: Response;
  try {
    response = await fetch(kRoot + path, { ...request, headers: { Accept: 'application/json', ...request.headers } });
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ApiError(0, {});
  }
  const body: unknown = await response.json().catch(() => null);
  if (!response.ok) throw new ApiError(response.status, (body ?? {}) as ProblemDetails);
  if (body === null) throw new ApiError(response.status, { detail: 'The server answered with something that is not JSON.' });
  return body as T;
}

export function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return ask<T>(path, signal ? { signal } : {});
}

export function postEntries(entries: readonly Entry[]): Promise<Accepted> {
  return ask<Accepted>('/entries', {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ entries }),
  });
}

export function postAttachment(file: Blob): Promise<{ attachment: string; size: number }> {
  return ask('/attachments', { method: 'POST', headers: { 'Content-Type': 'application/octet-stream' }, body: file });
}

/** Stores a photo; what it belongs to is said by an entry. */
export function postPhoto(file: Blob): Promise<PhotoTaken> {
  return ask('/photos', { method: 'POST', headers: { 'Content-Type': 'application/octet-stream' }, body: file });
}

/** Gives up a photo that no entry names. */
export function deletePhoto(attachment: string): Promise<unknown> {
  return ask(`/photos/${encodeURIComponent(attachment)}`, { method: 'DELETE' });
}

/** Tells what a bench does with a unit. Sent also while the page is being left. */
export function putBenchUnit(bench: string, unit: string, is: 'opened' | 'still-open' | 'closed'): Promise<unknown> {
  return ask(`/benches/${encodeURIComponent(bench)}/unit`, {
    method: 'PUT', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ unit, is }), keepalive: true,
  });
}

export function checkProfile(toml: string): Promise<ProfileCheck> {
  return ask('/profiles/check', { method: 'POST', headers: { 'Content-Type': 'application/toml' }, body: toml });
}

/** The text with the edits made, what it says and what is wrong with it; nothing is saved. */
export function editProfile(toml: string, edits: readonly Edit[]): Promise<ProfileDraft> {
  return ask('/profiles/edit', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ toml, edits }) });
}

export const paths = {
  status: '/status',
  lots: '/lots',
  lot: (id: string) => `/lots/${encodeURIComponent(id)}`,
  unit: (id: string) => `/units/${encodeURIComponent(id)}`,
  suppose: (id: string, what: { check: string; outcome: string } | { repair: string }) =>
    `/units/${encodeURIComponent(id)}/suppose?${new URLSearchParams('repair' in what ? { repair: what.repair } : { check: what.check, outcome: what.outcome })}`,
  now: (rows: number) => `/now?rows=${rows}`,
  money: '/money',
  profiles: '/profiles',
  shippedProfiles: '/shipped-profiles',
  profile: (id: string) => `/profiles/${encodeURIComponent(id)}`,
  find: (text: string) => `/find?q=${encodeURIComponent(text)}`,
  byEye: (profile: string, shown: string) => `/profiles/${encodeURIComponent(profile)}/by-eye?${new URLSearchParams({ shown })}`,
  meter: (attachment: string, profile: string | null) =>
    `/attachments/${encodeURIComponent(attachment)}/meter${profile ? `?profile=${encodeURIComponent(profile)}` : ''}`,
  benches: '/benches',
  picture: (id: string, size: 'thumb' | 'screen') => `${kRoot}/attachments/${encodeURIComponent(id)}/picture?size=${size}`,
  attachment: (id: string) => `${kRoot}/attachments/${encodeURIComponent(id)}`,
  events: (after: number) => `${kRoot}/events?after=${after}`,
};
