import { useEffect, useState } from 'preact/hooks';

import { type Found, get, paths } from '../api';
import { Button } from '../components/Button';
import { Tape } from '../components/Tape';
import { unitInScan } from '../lib/scan';
import { pathOf } from '../lib/route';
import { finder } from '../state/keyboard';
import { go, openUnit } from '../state/navigation';
import { say } from '../state/notices';

const kPauseMs = 150;

/** `/`: units by number or serial, lots by name. Enter opens the first. A scan comes in here too. */
export function Finder({ text }: { text: string }) {
  const [typed, setTyped] = useState(text);
  const [found, setFound] = useState<Found | null>(null);
  const close = () => (finder.value = null);

  const openFirst = async (wanted: string) => {
    const direct = unitInScan(wanted);
    if (direct !== null) return close(), openUnit(direct);
    const answer = await get<Found>(paths.find(wanted)).catch(() => null);
    const [unit] = answer?.units ?? [];
    const [lot] = answer?.lots ?? [];
    if (unit) return close(), openUnit(unit.number);
    if (lot) return close(), go(pathOf('lots', lot.id));
    say({ tone: 'bad', text: `No unit and no lot found for “${wanted}”.` });
  };

  useEffect(() => {
    if (text !== '') void openFirst(text);
  }, []);
  useEffect(() => {
    const wanted = typed.trim();
    if (wanted === '') return setFound(null);
    const abort = new AbortController();
    const timer = setTimeout(() => {
      get<Found>(paths.find(wanted), abort.signal).then(setFound, () => setFound(null));
    }, kPauseMs);
    return () => (clearTimeout(timer), abort.abort());
  }, [typed]);

  return (
    <search class="strip stack">
      <form class="row" onSubmit={(event) => {
        event.preventDefault();
        if (typed.trim() !== '') void openFirst(typed.trim());
      }}>
        <label for="finder">Unit or lot</label>
        <input id="finder" class="input grow" value={typed} ref={(input) => input?.focus()} autocomplete="off"
          placeholder="number, serial or lot name" onInput={(event) => setTyped(event.currentTarget.value)} />
        <Button submit kind="main">Open</Button>
        <Button onClick={close}>Close</Button>
      </form>
      {found !== null && (
        <div class="row" role="status" onClick={(event) => event.target instanceof Element && event.target.closest('a') && close()}>
          {found.units.map((unit) => <Tape key={unit.id} number={unit.number} name={unit.name} state={unit.state} />)}
          {found.lots.map((lot) => <a key={lot.id} class="button" href={pathOf('lots', lot.id)}>Lot {lot.name}</a>)}
          {found.units.length + found.lots.length === 0 && <span class="soft">Nothing bears this number, serial or name.</span>}
        </div>
      )}
    </search>
  );
}
