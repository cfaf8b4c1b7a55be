// Fifty times (LOTWRIGHT_KILLS says how often) the server is killed (SIGKILL) at a random moment while several benches write. What it
// acknowledged is there afterwards, once; what it did not may be there or not, but whole batches only.
import assert from 'node:assert/strict';
import test from 'node:test';
import { setTimeout as sleep } from 'node:timers/promises';

import { get, post, postEntries } from '../api/support/client.mjs';
import * as make from '../api/support/entries.mjs';
import { seeded } from '../api/support/random.mjs';
import { run, start, temporaryFolder } from '../api/support/server.mjs';

const kRounds = Number(process.env.LOTWRIGHT_KILLS ?? 50);
const kWriters = 4;
const kLongestMs = 250;
const kBudgetMs = 1200 * kRounds;

/** One bench: writes until the server is gone. What was acknowledged goes into `kept`. */
async function write(server, units, kept, batches, random) {
  for (;;) {
    const unit = units[Math.floor(random() * units.length)];
    const batch = Array.from({ length: 1 + Math.floor(random() * 4) }, (_, i) => make.note(unit, `note ${i}`));
    const ids = batch.map(({ id }) => id);
    batches.push(ids);
    try {
      if (random() < 0.1) {
        const stored = await post(server, '/attachments', `log ${batch[0].id}`);
        kept.attachments.add(stored.json.attachment);
        batch.push(make.about(unit, 'meter-log-attached', { attachment: stored.json.attachment, name: 'log.csv' }));
        ids.push(batch.at(-1).id);
      }
      const answer = await postEntries(server, batch);
      assert.equal(answer.status, 200);
      for (const { id, sequence } of answer.json.accepted) kept.entries.set(id, sequence);
    } catch (error) {
      if (error.code === 'ERR_ASSERTION') throw error;
      return;
    }
  }
}

/** The journal as `lotwright export` writes it: [{id, sequence}], and the attachments' names. */
function exported(data) {
  const { status, out, err } = run(['export', '--data', data]);
  assert.equal(status, 0, err);
  const lines = out.trimEnd().split('\n').map((line) => JSON.parse(line));
  return {
    entries: lines.filter(({ entry }) => entry).map(({ entry }) => entry),
    attachments: new Set(lines.filter(({ attachment }) => attachment).map(({ attachment }) => attachment.sha256)),
  };
}

function assertKept(journal, kept, batches) {
  const ids = journal.entries.map(({ id }) => id);
  assert.equal(new Set(ids).size, ids.length, 'an entry is stored twice');
  assert.deepEqual(journal.entries.map(({ sequence }) => sequence), ids.map((_, i) => i + 1));
  const there = new Map(journal.entries.map(({ id, sequence }) => [id, sequence]));
  for (const [id, sequence] of kept.entries) assert.equal(there.get(id), sequence, `an acknowledged entry is lost: ${id}`);
  for (const name of kept.attachments) assert.ok(journal.attachments.has(name), `an acknowledged file is lost: ${name}`);
  for (const batch of batches) {
    const stored = batch.filter((id) => there.has(id)).length;
    assert.ok(stored === 0 || stored === batch.length, 'half a batch is stored');
  }
}

test('no acknowledged entry is lost or doubled when the server is killed', async (t) => {
  const began = Date.now();
  const random = seeded(50);
  const data = temporaryFolder(t);
  const { units, all } = make.shop(5);
  const kept = { entries: new Map(), attachments: new Set() };
  const batches = [];
  let rounds = 0;
  for (; rounds < kRounds && Date.now() - began < kBudgetMs; rounds += 1) {
    const server = await start(data);
    if (rounds === 0) assert.equal((await postEntries(server, all)).status, 200);
    const { json } = await get(server, '/status');
    assert.ok(json.sequence >= kept.entries.size + all.length, `round ${rounds}: acknowledged entries are gone`);
    const writers = Array.from({ length: kWriters }, () => write(server, units, kept, batches, random));
    await sleep(random() * kLongestMs);
    assert.equal((await server.kill()).signal, 'SIGKILL');
    await Promise.all(writers);
    if (rounds % 10 === 9) assertKept(exported(data), kept, batches);
  }
  assert.equal(rounds, kRounds, `only ${rounds} rounds within ${kBudgetMs} ms`);
  assert.ok(kept.entries.size > kRounds, 'too little was written to say anything');
  assertKept(exported(data), kept, batches);
  const { status, err } = run(['verify', '--data', data]);
  assert.equal(status, 0, err);
  t.diagnostic(`${kept.entries.size} acknowledged entries in ${rounds} rounds, ${Date.now() - began} ms`);
});
