// A shop with a lot of units, made through the API: the lamp's profile, one lot, `count` units with a few findings each.
import assert from 'node:assert/strict';

import { postEntries } from '../../api/support/client.mjs';
import * as make from '../../api/support/entries.mjs';
import { seeded } from '../../api/support/random.mjs';

const kBatch = 1000;

/** Gives {lot, units}. `found`: the share of the units on which the charger current was read. */
export async function bigShop(server, count, found = 0.5, seed = 1) {
  const random = seeded(seed);
  const profile = make.profileSaved();
  const lot = make.lotBought({ name: `Lot of ${count}`, lines: [{ id: 'a', profile: 'bench-lamp', model: 'Bench lamp', revision: 'r1', declared: count }] });
  const units = Array.from({ length: count }, (_, index) => make.unitReceived(lot, index + 1));
  const outcomes = ['blank', 'slow', 'fast'];
  const findings = units.filter(() => random() < found)
    .map((unit) => make.finding(unit, 'charge-current', outcomes[Math.floor(random() * outcomes.length)]));
  const all = [profile, lot, ...units, ...findings];
  for (let at = 0; at < all.length; at += kBatch) {
    const answer = await postEntries(server, all.slice(at, at + kBatch));
    assert.equal(answer.status, 200, answer.text);
  }
  return { lot, units };
}
