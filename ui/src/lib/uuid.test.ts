import assert from 'node:assert/strict';
import { test } from 'node:test';

import { uuidv7 } from './uuid';

test('the example of RFC 9562, appendix A.6, comes out', () => {
  // Timestamp 0x017F22E279B0; rand_a 0xCC3; rand_b 0x18C4DC0C0C07398F.
  const random = new Uint8Array([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(uuidv7(0x017f22e279b0, random), '017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
});

test('later ids sort after earlier ones whatever their random part', () => {
  const early = uuidv7(1_700_000_000_000, new Uint8Array(10).fill(255));
  const late = uuidv7(1_700_000_000_001, new Uint8Array(10));
  assert.ok(early < late);
});
