/** One photo that this phone took: where it went, and how to put that right. */
import { useState } from 'preact/hooks';

import { Button } from '../../components/Button';
import { type UnitRef } from '../../lib/photos';
import { type Shot, discardPhoto, putBack, putToUnit, sendPhotos, undoPhoto, unitOfNumber } from '../../state/photos';
import { paths } from '../../api';

export function ShotRow({ shot }: { shot: Shot }) {
  const { state } = shot;
  const [moving, setMoving] = useState(false);
  return (
    <li class={`shot at-${state.at}`}>
      <Picture shot={shot} />
      <div class="shot-words">
        <Where shot={shot} />
        {state.at === 'asking' && <AskNumber words={state.words} among={state.among} act="Put it there" take={(unit) => putToUnit(shot.id, unit)} />}
        {state.at === 'kept' && moving && (
          <AskNumber words={`Not unit ${state.unit.number}, but:`} among={[]} act="Move it" take={async (unit) => {
            await putToUnit(shot.id, unit);
            setMoving(false);
          }} />
        )}
        <div class="row">
          {state.at === 'kept' && <Button slim expanded={moving} label={`Move the photo of unit ${state.unit.number}`} onClick={() => setMoving(!moving)}>Move</Button>}
          {state.at === 'kept' && <Button slim label={`Undo the photo of unit ${state.unit.number}`} onClick={() => void undoPhoto(shot.id)}>Undo</Button>}
          {state.at === 'undone' && <Button slim onClick={() => void putBack(shot.id)}>Put it back</Button>}
          {state.at === 'waiting' && state.tries > 0 && <Button slim onClick={() => void sendPhotos()}>Send now</Button>}
          {(state.at === 'asking' || state.at === 'refused' || (state.at === 'waiting' && state.tries > 0))
            && <Button slim onClick={() => void discardPhoto(shot.id)}>Discard</Button>}
        </div>
      </div>
    </li>
  );
}

/** As the phone has it, else (HEIF in most browsers) as the server shows it. */
function Picture({ shot }: { shot: Shot }) {
  const [own, setOwn] = useState(true);
  const stored = 'attachment' in shot.state ? paths.picture(shot.state.attachment, 'thumb') : null;
  const source = stored ?? (own ? shot.url : null);
  if (source === null) return <span class="shot-picture small soft">{shot.state.at === 'refused' ? 'not shown' : 'not shown yet'}</span>;
  return <img class="shot-picture" src={source} alt="" onError={() => setOwn(false)} />;
}

function Where({ shot }: { shot: Shot }) {
  const { state } = shot;
  switch (state.at) {
    case 'waiting': return <p>{state.tries > 0 ? 'Kept here until the server answers.' : 'Waits for its turn.'}</p>;
    case 'sending': return <p role="status">Sending …</p>;
    case 'asking': return null;
    case 'recording': return <p role="status">Unit <b class="camera-number">{state.unit.number}</b> is being noted …</p>;
    case 'kept': return <p role="status">Unit <b class="camera-number">{state.unit.number}</b> <span class="small how">{state.words}</span></p>;
    case 'undone': return <p role="status"><s>Unit {state.unit.number}</s> <span class="small">undone: it belongs to no unit</span></p>;
    case 'refused': return <p role="alert" class="bad"><b>Not taken.</b> {state.why}</p>;
  }
}

function AskNumber({ words, among, act, take }: { words: string; among: readonly UnitRef[]; act: string; take: (unit: UnitRef) => Promise<void> }) {
  const [number, setNumber] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const submit = async () => {
    const found = await unitOfNumber(number);
    if (typeof found === 'string') return setProblem(found);
    setProblem(null);
    await take(found);
  };
  return (
    <form class="ask-number" onSubmit={(event) => {
      event.preventDefault();
      void submit();
    }}>
      <p>{words}</p>
      {among.length > 0 && (
        <div class="row">
          {among.map((unit) => <Button key={unit.id} label={`Unit ${unit.number}`} onClick={() => void take(unit)}><span class="camera-number">{unit.number}</span></Button>)}
        </div>
      )}
      <div class="number-row">
        <input class="input" inputMode="numeric" aria-label="Unit’s number" autocomplete="off" value={number} onInput={(event) => setNumber(event.currentTarget.value)}
          {...(problem === null ? {} : { 'aria-invalid': true })} />
        <Button submit>{act}</Button>
      </div>
      {problem !== null && <p role="alert" class="bad small">{problem}</p>}
    </form>
  );
}
