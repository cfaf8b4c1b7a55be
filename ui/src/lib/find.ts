/** What the finder offers for a text. Pure. */
import type { Found } from '../api';

export type Choice = { id: string; name: string; about: string } & ({ kind: 'unit'; number: number } | { kind: 'lot' });

/** Units and lots in the order of the answer, each with what tells it from the others. */
export function choicesOf(found: Found): Choice[] {
  return [
    ...found.units.map((unit) => ({
      kind: 'unit' as const, id: unit.id, number: unit.number, name: `${unit.number} ${unit.name}`,
      about: [unit.serial, unit.state.words, unit.hit].filter((words, at, all) => words !== '' && all.indexOf(words) === at).join(' · '),
    })),
    ...found.lots.map((lot) => ({ kind: 'lot' as const, id: lot.id, name: `Lot ${lot.name}`, about: '' })),
  ];
}

/** The one that a text names: the only one whose number or serial it is, else the only one found at all. Null: none, or several. */
export function meantBy(found: Found): number | null {
  const exact = found.units.flatMap((unit, at) => (unit.exact ? [at] : []));
  if (exact.length === 1) return exact[0] ?? null;
  return found.units.length + found.lots.length === 1 ? 0 : null;
}
