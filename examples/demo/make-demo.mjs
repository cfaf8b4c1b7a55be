// Plays the invented workshop of story.mjs into a running, empty server through its API, entry by entry, so that the demo is
// made the way a shop's journal is made. The journal is then taken out with `lotwright export`.
//
//   build/release/lotwright serve --data DIR --listen 127.0.0.1:0     (prints its address)
//   node examples/demo/make-demo.mjs http://127.0.0.1:PORT
//   build/release/lotwright export --data DIR > examples/demo/demo.jsonl
//
// The ids are made from a seeded generator and the times of the story: the same story gives the same file.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

import { story } from './story.mjs';

const server = process.argv[2];
if (!server) {
  console.error('usage: node examples/demo/make-demo.mjs http://127.0.0.1:PORT');
  process.exit(2);
}
const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

async function ask(path, request) {
  const response = await fetch(`${server}/api/v1${path}`, request);
  const text = await response.text();
  if (!response.ok) throw new Error(`${request?.method ?? 'GET'} ${path}: ${response.status} ${text}`);
  return JSON.parse(text);
}

let made = 0;

/** A UUIDv7 (RFC 9562) whose random part is the hash of a counter. */
function entryId(ms) {
  const hash = createHash('sha256').update(`demo ${made++}`).digest();
  const random = [...hash.subarray(0, 10)];
  random[0] = 0x70 | (random[0] & 0x0f);
  random[2] = 0x80 | (random[2] & 0x3f);
  const hex = ms.toString(16).padStart(12, '0') + random.map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** The workshop's clock: days of the story, minutes of the working day. */
class Clock {
  constructor(firstDay) {
    this.first = Date.parse(`${firstDay}T00:00:00Z`);
    this.now = this.first;
  }
  day(number, time) {
    const [hours, minutes] = time.split(':').map(Number);
    this.now = this.first + number * 86_400_000 + (hours * 60 + minutes) * 60_000;
  }
  date(number) {
    return new Date(this.first + number * 86_400_000).toISOString().slice(0, 10);
  }
  pass(minutes) {
    this.now += Math.round(minutes * 60_000);
  }
}

const clock = new Clock(story.firstDay);
let person = story.people[0];

/** Entries of one batch: all are taken or none. Passes a few seconds for each. */
async function post(drafts) {
  const entries = drafts.map(({ id, subject, kind, body }) => {
    clock.pass((kind === 'unit-received' ? 0.2 : 0.1) + (body.minutes ?? 0));
    const own = id ?? entryId(clock.now);
    return {
      id: own, time: new Date(clock.now).toISOString(), who: person.who, bench: person.bench,
      subject: subject.id === null ? { ...subject, id: own } : subject, kind, version: 1, body,
    };
  });
  await ask('/entries', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ entries }) });
  return entries.map(({ id }) => id);
}

const money = (major) => ({ minor: Math.round(major * 100), currency: story.currency });
const lots = new Map();
const units = new Map();
const lastEntry = new Map();

async function about(number, kind, body) {
  const subject = { kind: 'unit', id: units.get(number) ?? fail(`no unit ${number}`) };
  const [id] = await post([{ subject, kind, body }]);
  lastEntry.set(number, id);
}

function fail(why) {
  throw new Error(why);
}

/** What a story's line may say of a unit. */
const deeds = {
  find: (unit, check, outcome, options = {}) => about(unit, 'finding', {
    event: { check, outcome, ...(options.sure === undefined ? {} : { sure: options.sure }) },
    ...(options.minutes === undefined ? {} : { minutes: options.minutes }),
  }),
  log: async (unit, file, check, outcome, minutes) => {
    const bytes = readFileSync(join(root, 'examples', 'meter-logs', file));
    const { attachment } = await ask('/attachments', {
      method: 'POST', headers: { 'Content-Type': 'application/octet-stream' }, body: bytes,
    });
    const view = await ask(`/attachments/${attachment}/meter?profile=${encodeURIComponent(story.profile)}`);
    // The story's outcome must be what the meter eye reads in the log.
    if ((view.outcome ?? null) !== outcome) fail(`${file} reads as ${view.outcome}, the story says ${outcome}`);
    await about(unit, 'meter-log-attached', { attachment, name: file });
    await about(unit, 'finding', { event: { check, outcome }, minutes, log: attachment });
  },
  repair: (unit, repair, minutes, parts = []) => about(unit, 'repair-done', {
    event: { repair }, minutes, ...(parts.length > 0 ? { parts: parts.map(([sku, count, price]) => ({ sku, count, price: money(price) })) } : {}),
  }),
  confirm: (unit, what) => about(unit, 'confirmed', { event: { confirmed: what } }),
  ruleOut: (unit, what) => about(unit, 'ruled-out', { event: { ruled_out: what } }),
  missing: (unit, assembly) => about(unit, 'assembly-absent', { event: { absent: assembly } }),
  mended: (unit) => about(unit, 'mended', {}),
  /** Every item of the sheet, all passed but those named. Values are given where the item has limits. */
  test: async (unit, { failed = [], leave = [] } = {}) => {
    const view = await ask(`/units/${unit}`);
    for (const item of view.tests) {
      if (leave.includes(item.id)) continue;
      const bad = failed.includes(item.id);
      const middle = item.min !== null && item.max !== null ? (item.min + item.max) / 2 : (item.min ?? 0) * 1.1 || (item.max ?? 0) * 0.8;
      const limited = item.min !== null || item.max !== null;
      const value = bad ? (item.min !== null ? item.min * 0.6 : item.max * 1.5) : Math.round(middle * 100) / 100;
      await about(unit, 'test-result', { test: item.id, ...(limited ? { value } : { passed: !bad }), minutes: item.minutes });
      if (bad) return;
    }
  },
  grade: (unit, grade) => about(unit, 'graded', { grade }),
  offer: (unit, price, where) => about(unit, 'offered', { price: money(price), where }),
  sell: (unit, as, price, postage, minutes = 10) => about(unit, 'sold', {
    as, price: money(price), fee: money(Math.round(price * story.feeRate * 100) / 100), postage: money(postage), minutes,
  }),
  takeBack: (unit, refund, cost, reason) => about(unit, 'returned', { refund: money(refund), cost: money(cost), reason }),
  partOut: (unit, taken, minutes) => about(unit, 'parted-out', { taken, minutes }),
  scrap: (unit, proceeds) => about(unit, 'scrapped', { proceeds: money(proceeds) }),
  hold: (unit, reason, check, day, reference) => about(unit, 'held-aside', { reason, check, date: clock.date(day), reference }),
  putAside: (unit, reason) => about(unit, 'put-aside', { reason }),
  wait: (unit, what, minutes) => about(unit, 'wait-started', { what, due: new Date(clock.now + minutes * 60_000).toISOString() }),
  waitOver: (unit) => about(unit, 'wait-ended', {}),
  note: (unit, text) => about(unit, 'note', { text }),
  strike: (unit, reason) => about(unit, 'struck', { entry: lastEntry.get(unit), reason }),
};

const shop = {
  day: (number, time) => clock.day(number, time),
  who: (index) => (person = story.people[index] ?? fail(`no person ${index}`)),
  buy: async ({ key, name, seller, day, price, lines, note }) => {
    const [id] = await post([{
      subject: { kind: 'lot', id: null }, kind: 'lot-bought',
      body: { name, seller, bought_on: clock.date(day), price: money(price), lines, ...(note ? { note } : {}) },
    }]);
    lots.set(key, id);
  },
  cost: async (lot, what, amount) => {
    await post([{ subject: { kind: 'lot', id: lots.get(lot) ?? fail(`no lot ${lot}`) }, kind: 'cost-added', body: { what, amount: money(amount) } }]);
  },
  receive: async (lot, line, first, serials, conditions = {}) => {
    const ids = await post(serials.map((serial, index) => ({
      subject: { kind: 'unit', id: null }, kind: 'unit-received',
      body: { lot: lots.get(lot), line, number: first + index, ...(serial ? { serial } : {}),
        ...(conditions[first + index] ? { condition: conditions[first + index] } : {}) },
    })));
    ids.forEach((id, index) => units.set(first + index, id));
  },
  unit: async (number, ...lines) => {
    for (const [deed, ...words] of lines) {
      await (deeds[deed] ?? fail(`no deed ${deed}`))(number, ...words).catch((error) => fail(`unit ${number}, ${deed} ${words.join(' ')}: ${error.message}`));
    }
  },
};

clock.day(0, '08:30');
await post([{ subject: { kind: 'profile', id: story.profile }, kind: 'profile-saved',
  body: { toml: readFileSync(join(root, 'profiles', `${story.profile}.toml`), 'utf8') } }]);
await story.play(shop);
console.error(`The story of ${units.size} units in ${lots.size} lots was played.`);
