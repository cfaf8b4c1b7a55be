import { useEffect, useRef, useState } from 'preact/hooks';

import { type Found, get, paths } from '../api';
import { Button } from '../components/Button';
import { Tape } from '../components/Tape';
import { choicesOf, meantBy } from '../lib/find';
import { digitForIndex } from '../lib/events';
import { pathOf } from '../lib/route';
import { unitInScan } from '../lib/scan';
import { finder, takeTyped, useKeys } from '../state/keyboard';
import { go, openUnit } from '../state/navigation';
import { say } from '../state/notices';

const kPauseMs = 150;

/** `/`: units by number, serial or where they stand, lots by name. Enter opens what the text names; where it names several, a
 * digit chooses. A scan comes in here too. */
export function Finder({ text }: { text: string }) {
  const [typed, setTyped] = useState(() => text + takeTyped());
  const [found, setFound] = useState<Found | null>(null);
  const [choosing, setChoosing] = useState(false);
  const close = () => (finder.value = null);
  const openAt = (from: Found, at: number) => {
    const choice = choicesOf(from)[at];
    if (choice === undefined) return;
    close();
    if (choice.kind === 'unit') openUnit(choice.number);
    else go(pathOf('lots', choice.id));
  };

  const openNamed = async (wanted: string) => {
    const direct = unitInScan(wanted);
    if (direct !== null) return close(), openUnit(direct);
    const answer = await get<Found>(paths.find(wanted)).catch(() => null);
    if (answer === null) return say({ tone: 'bad', text: 'The server cannot be reached, so nothing was looked for.' });
    setFound(answer);
    const meant = meantBy(answer);
    if (meant !== null) return openAt(answer, meant);
    if (choicesOf(answer).length === 0) return say({ tone: 'bad', text: `No unit and no lot found for “${wanted}”.` });
    setChoosing(true);
  };

  useEffect(() => {
    if (text !== '') void openNamed(text);
  }, []);
  useEffect(() => {
    const wanted = typed.trim();
    if (wanted === '' || choosing) return;
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
        if (typed.trim() !== '') void openNamed(typed.trim());
      }}>
        <label for="finder">Unit or lot</label>
        <input id="finder" class="input grow" value={typed} ref={focusOnce} autocomplete="off"
          placeholder="number, serial, where it stands, lot name" onInput={(event) => {
            setTyped(event.currentTarget.value);
            setChoosing(false);
            if (event.currentTarget.value.trim() === '') setFound(null);
          }} />
        <Button submit kind="main">Open</Button>
        <Button onClick={close}>Close</Button>
      </form>
      {found !== null && (choosing ? <Choices found={found} take={(at) => openAt(found, at)} /> : <Results found={found} close={close} />)}
    </search>
  );
}

function focusOnce(input: HTMLInputElement | null): void {
  if (input === null || input.dataset.focused !== undefined) return;
  input.dataset.focused = 'yes';
  input.focus();
}

function Results({ found, close }: { found: Found; close: () => void }) {
  return (
    <div class="row" role="status" onClick={(event) => event.target instanceof Element && event.target.closest('a') && close()}>
      {found.units.map((unit) => (
        <span key={unit.id} class="found"><Tape number={unit.number} name={unit.name} state={unit.state} />
          {unit.hit !== '' && <span class="small soft">{unit.hit}</span>}</span>
      ))}
      {found.lots.map((lot) => <a key={lot.id} class="button" href={pathOf('lots', lot.id)}>Lot {lot.name}</a>)}
      {found.units.length + found.lots.length === 0 && <span class="soft">Nothing bears this number, serial or name, and nothing stands there.</span>}
    </div>
  );
}

/** Several are meant: the field gives the keys back, so that a digit chooses. */
function Choices({ found, take }: { found: Found; take: (at: number) => void }) {
  const list = useRef<HTMLOListElement>(null);
  useEffect(() => list.current?.focus(), []);
  useKeys({ choose: (digit) => take(digit - 1), enter: () => take(0) });
  return (
    <>
      <p role="status"><b>{choicesOf(found).length} are meant.</b> A digit chooses; Enter takes the first.</p>
      <ol class="choices" tabIndex={-1} ref={list} aria-label="What was found">
        {choicesOf(found).map((choice, at) => (
          <li key={choice.id}><button type="button" class="chip" onClick={() => take(at)}>
            {digitForIndex(at) !== null && <span class="key" aria-hidden="true">{digitForIndex(at)}</span>}
            <span><b>{choice.name}</b>{choice.about !== '' && <span class="small soft"> {choice.about}</span>}</span>
          </button></li>
        ))}
      </ol>
    </>
  );
}
