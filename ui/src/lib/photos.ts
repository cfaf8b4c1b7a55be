/** What becomes of a photo: whether it is taken, and to which unit it goes. Pure. */
import type { PhotoTaken } from '../api';

/** The server's limit (docs/photos.md); told here before megabytes are sent for nothing. */
export const kMostMegabytes = 32;
const kMegabyte = 1024 * 1024;

export interface UnitRef {
  id: string;
  number: number;
}

/** Where the person or the bench wanted it to go when it was taken. */
export type Aim =
  /** This unit, whatever the picture shows. */
  | { to: 'unit'; unit: UnitRef }
  /** The unit whose label is in the picture, else the one that the bench had open then (null: none, or not known for sure). */
  | { to: 'label'; bench: string; open: UnitRef | null };

/** How a photo found its unit; said beside it, so that a wrong one is seen. */
export type How = 'label' | 'bench' | 'chosen';

export type Goal =
  | { unit: UnitRef; how: How; words: string }
  /** It is asked for; `among`: the units whose labels are in the picture. */
  | { unit: null; words: string; among: UnitRef[] };

/** A file that looks like a photo, so that it is not taken for a meter log; the server judges by its content. */
export function isPhotoFile(file: { name: string; type: string }): boolean {
  return file.type.startsWith('image/') || /\.(jpe?g|png|webp|hei[cf]|avif)$/i.test(file.name);
}

/** Why the file is not sent at all; null when it is. */
export function sizeProblem(file: { size: number }): string | null {
  if (file.size === 0) return 'The file is empty. Send the photo again.';
  if (file.size <= kMostMegabytes * kMegabyte) return null;
  const megabytes = Math.round((10 * file.size) / kMegabyte) / 10;
  return `The photo has ${megabytes} MB, at most ${kMostMegabytes} are taken. Set the camera to a smaller picture, or send it as JPEG.`;
}

/** Where a stored photo goes, by its aim and the labels seen in it. */
export function goalOf(aim: Aim, taken: Pick<PhotoTaken, 'labels' | 'units'>): Goal {
  if (aim.to === 'unit') return { unit: aim.unit, how: 'chosen', words: `unit ${aim.unit.number}, as you chose` };
  const [first, second] = taken.units;
  if (first !== undefined && second !== undefined) {
    const among = taken.units.map(({ id, number }) => ({ id, number })).sort((a, b) => a.number - b.number);
    return { unit: null, words: `Labels of ${among.length} units are in the picture. Which one is it?`, among };
  }
  if (first !== undefined) {
    const other = aim.open !== null && aim.open.id !== first.id ? `; ${aim.bench} had unit ${aim.open.number} open` : '';
    return { unit: { id: first.id, number: first.number }, how: 'label', words: `by the label in the picture${other}` };
  }
  const unknown = taken.labels[0] === undefined ? '' : `No unit bears “${shortened(taken.labels[0])}”, which is in the picture. `;
  if (aim.open !== null) return { unit: aim.open, how: 'bench', words: `${unknown === '' ? '' : 'no known label in the picture; '}open at ${aim.bench}` };
  return { unit: null, words: `${unknown}No unit was open at ${aim.bench}. Which unit is it?`, among: [] };
}

const kShownLabel = 40;
function shortened(label: string): string {
  return label.length > kShownLabel ? `${label.slice(0, kShownLabel)}…` : label;
}

/** For those who do not see it, and where it cannot be loaded. */
export function photoWords(caption: string, position: number, unit: number): string {
  return caption !== '' ? caption : `Photo ${position} of unit ${unit}`;
}
