/** The unit that a scanned or typed text names by itself: its number, or an address that ends in /units/…. */
export function unitInScan(text: string): string | null {
  const plain = text.trim();
  if (/^\d{1,9}$/.test(plain)) return String(Number(plain));
  const address = /\/units\/([^/?#\s]+)\/?$/.exec(plain);
  return address?.[1] === undefined ? null : decodeURIComponent(address[1]);
}
