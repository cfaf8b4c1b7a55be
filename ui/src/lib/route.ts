/** Which screen a path names. */
export type Route =
  | { screen: 'now' }
  | { screen: 'lots' }
  | { screen: 'lot'; id: string }
  | { screen: 'unit'; id: string }
  | { screen: 'profiles' }
  | { screen: 'profile'; id: string }
  | { screen: 'money' }
  | { screen: 'camera' }
  | { screen: 'unknown'; path: string };

export function parseRoute(path: string): Route {
  const parts = path.split('/').filter((part) => part !== '').map(decoded);
  const [first, second] = parts;
  if (parts.length === 0) return { screen: 'now' };
  if (parts.length === 1 && (first === 'now' || first === 'lots' || first === 'profiles' || first === 'money' || first === 'camera')) {
    return { screen: first };
  }
  if (parts.length === 2 && second !== undefined) {
    if (first === 'lots') return { screen: 'lot', id: second };
    if (first === 'units') return { screen: 'unit', id: second };
    if (first === 'profiles') return { screen: 'profile', id: second };
  }
  return { screen: 'unknown', path };
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

export function pathOf(kind: 'units' | 'lots' | 'profiles', id: string | number): string {
  return `/${kind}/${encodeURIComponent(String(id))}`;
}
