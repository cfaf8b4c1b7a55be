/** A UUIDv7 (RFC 9562, section 5.7): 48 bits of Unix milliseconds, version, variant, 74 random bits.
 * `random`: ten random bytes. */
export function uuidv7(nowMs: number, random: Uint8Array): string {
  const bytes = new Uint8Array(16);
  let time = Math.floor(nowMs);
  for (let at = 5; at >= 0; --at) {
    bytes[at] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
