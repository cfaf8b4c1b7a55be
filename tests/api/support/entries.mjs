// Entries of the journal (docs/journal.md) about an invented shop.
import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';

export const lampToml = readFileSync(new URL('bench-lamp.toml', import.meta.url), 'utf8');

/** A UUIDv7 (RFC 9562, 5.7) of now. */
export function newId(now = Date.now()) {
  const bytes = randomBytes(16);
  bytes.writeUIntBE(now, 0, 6);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = bytes.toString('hex');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

export const usd = (minor) => ({ minor, currency: 'USD' });

export function entry(kind, subject, body, more = {}) {
  return { id: newId(), time: new Date().toISOString(), who: 'Ada', subject, kind, version: 1, body, ...more };
}

export const profileSaved = (toml = lampToml, id = 'bench-lamp') => entry('profile-saved', { kind: 'profile', id }, { toml });

export function lotBought(more = {}) {
  const id = newId();
  return entry('lot-bought', { kind: 'lot', id }, {
    name: 'Twenty lamps', seller: 'Invented Auctions', bought_on: '2026-11-20', price: usd(10_000),
    lines: [{ id: 'a', profile: 'bench-lamp', model: 'Bench lamp', revision: 'r1', declared: 20 }], ...more,
  }, { id });
}

export function unitReceived(lot, number) {
  const id = newId();
  return entry('unit-received', { kind: 'unit', id }, { lot: lot.id, line: 'a', number, serial: `S-${number}` }, { id });
}

export const about = (unit, kind, body = {}) => entry(kind, { kind: 'unit', id: unit.id }, body);
export const finding = (unit, check, outcome) => about(unit, 'finding', { event: { check, outcome }, minutes: 1.5 });
export const sold = (unit, minor = 3000) =>
  about(unit, 'sold', { as: 'as-is', price: usd(minor), fee: usd(390), postage: usd(750) });
export const note = (unit, text) => about(unit, 'note', { text });

/** A shop with its profile, one lot and some units: {profile, lot, units, all}. */
export function shop(count = 3) {
  const profile = profileSaved();
  const lot = lotBought();
  const units = Array.from({ length: count }, (_, i) => unitReceived(lot, i + 1));
  return { profile, lot, units, all: [profile, lot, ...units] };
}
