import { useState } from 'preact/hooks';

import type { LotView } from '../../../api';
import { GoThrough } from './GoThrough';
import { Numbering } from './Numbering';

/** Receiving in two parts: numbers for all of them at once, then what each of them is. `again`: units that were numbered
 * before are gone through. */
export function Receive({ view, again, close }: { view: LotView; again: boolean; close: () => void }) {
  const [range, setRange] = useState<{ first: number; last: number } | null>(again ? { first: 0, last: Infinity } : null);
  if (range === null) return <Numbering view={view} close={close} numbered={(first, last) => setRange({ first, last })} />;
  const open = view.units.filter((unit) => unit.number >= range.first && unit.number <= range.last);
  const units = again ? open.filter((unit) => unit.state.id === 'incoming' || unit.state.id === 'held-aside') : open;
  // Just numbered: the view that shows them is on its way.
  if (units.length === 0) return <p class="panel" role="status">{again ? 'No unit is left to go through.' : 'Reading the new units.'}</p>;
  return <GoThrough view={view} units={units} close={close} />;
}
