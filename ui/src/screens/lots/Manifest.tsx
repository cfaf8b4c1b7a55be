import { useState } from 'preact/hooks';

import { type LotView, type ProfileList, paths } from '../../api';
import { Button } from '../../components/Button';
import { Choice, Field } from '../../components/Field';
import { Panel } from '../../components/Panel';
import { localTime } from '../../lib/forms';
import { wholeNumber } from '../../lib/shop';
import { claimState } from '../../lib/manifest';
import { append } from '../../state/journal';
import { useResource } from '../../state/resource';

type Line = LotView['lines'][number];

/** What was declared and what came: shortages to claim in time, models that are not known yet. */
export function Manifest({ view }: { view: LotView }) {
  const [open, setOpen] = useState<{ line: string; form: 'claim' | 'name' } | null>(null);
  const toggle = (line: string, form: 'claim' | 'name') =>
    setOpen(open?.line === line && open.form === form ? null : { line, form });
  return (
    <Panel title="Manifest" {...(view.lot.claim_by === null ? {} : { aside: <span class="small soft">claims by {view.lot.claim_by}</span> })}>
      <ul class="hairlines lines">
        {view.lines.map((line) => {
          const claim = claimState(line, view.lot.claim_by, localTime(new Date()).slice(0, 10));
          return (
            <li key={line.id} class="line-row">
              <div class="line-head">
                <b>{[line.model, line.revision].filter(Boolean).join(', ')}</b>
                <span class="line-counts">
                  <span><span class="num">{line.received}</span> of <span class="num">{line.declared}</span></span>
                  {line.missing > 0 && <b class="bad"><span class="num">{line.missing}</span> missing</b>}
                  {line.missing < 0 && <span class="doubt"><span class="num">{-line.missing}</span> too many</span>}
                  {line.missing === 0 && <span class="soft">all came</span>}
                </span>
              </div>
              {claim.words !== '' && <p class={claim.late ? 'small bad' : 'small soft'}>{claim.words}</p>}
              {line.unknown > 0 && <p class="small doubt">{line.unknown === 1 ? '1 unit of a model' : `${line.unknown} units of models`} not known yet: no belief, no advice.</p>}
              <div class="row">
                {claim.unclaimed > 0 && <Button slim expanded={open?.line === line.id && open.form === 'claim'} onClick={() => toggle(line.id, 'claim')}>Claim what is missing</Button>}
                {line.unknown > 0 && <Button slim expanded={open?.line === line.id && open.form === 'name'} onClick={() => toggle(line.id, 'name')}>Say which model it is</Button>}
              </div>
              {open?.line === line.id && open.form === 'claim' && <Claim view={view} line={line} count={claim.unclaimed} close={() => setOpen(null)} />}
              {open?.line === line.id && open.form === 'name' && <NameModel view={view} line={line} close={() => setOpen(null)} />}
            </li>
          );
        })}
      </ul>
    </Panel>
  );
}

function Claim({ view, line, count, close }: { view: LotView; line: Line; count: number; close: () => void }) {
  const [typed, setTyped] = useState(String(count));
  const [date, setDate] = useState(localTime(new Date()).slice(0, 10));
  const [reference, setReference] = useState('');
  const units = wholeNumber(typed, 1);
  const claim = async () => {
    if (units === null || date === '') return;
    const body = { line: line.id, count: units, date, ...(reference.trim() === '' ? {} : { reference: reference.trim() }) };
    if ((await append([{ subject: { kind: 'lot', id: view.lot.id }, kind: 'shortage-claimed', body }], `${units} missing claimed`)) !== null) close();
  };
  return (
    <form class="stack sunk" aria-label="Claim what is missing" onSubmit={(event) => {
      event.preventDefault();
      void claim();
    }}>
      <div class="fields">
        <Field label="Missing" value={typed} onInput={setTyped} unit="units" problem={units === null ? 'A whole number from 1.' : undefined} />
        <Field label="Claimed on" kind="date" value={date} onInput={setDate} problem={date === '' ? 'The day of the claim.' : undefined} />
        <Field label="Reference (may be left out)" value={reference} onInput={setReference} focus />
      </div>
      <p class="small soft">What comes back in money is entered as a cost of the lot with a minus.</p>
      <div class="row"><Button submit kind="main">Note the claim</Button><Button onClick={close}>Leave it</Button></div>
    </form>
  );
}

/** One unit or all of the line whose model is not known. */
function NameModel({ view, line, close }: { view: LotView; line: Line; close: () => void }) {
  const profiles = useResource<ProfileList>(paths.profiles).value.data?.profiles ?? [];
  const unknown = view.units.filter((unit) => unit.line === line.id && unit.known === false);
  const [which, setWhich] = useState('');
  const [typedProfile, setProfile] = useState<string | null>(null);
  const [revision, setRevision] = useState('');
  const profile = typedProfile ?? profiles[0]?.id ?? '';
  const chosen = unknown.filter((unit) => which === '' || unit.id === which);
  const name = async () => {
    if (profile === '' || chosen.length === 0) return;
    const body = { profile, ...(revision.trim() === '' ? {} : { revision: revision.trim() }) };
    const words = `${chosen.length === 1 ? `unit ${chosen[0]?.number}` : `${chosen.length} units`}: ${profiles.find(({ id }) => id === profile)?.name ?? profile}`;
    const drafts = chosen.map((unit) => ({ subject: { kind: 'unit' as const, id: unit.id }, kind: 'model-known', body }));
    if ((await append(drafts, words)) !== null) close();
  };
  if (profiles.length === 0) return <p>Save a device profile first, under <a href="/profiles">Profiles</a>.</p>;
  return (
    <form class="stack sunk" aria-label="Say which model it is" onSubmit={(event) => {
      event.preventDefault();
      void name();
    }}>
      <div class="fields">
        <Choice label="Which units" value={which} onChange={setWhich}
          options={[['', unknown.length === 1 ? 'the one' : `all ${unknown.length}`], ...unknown.map((unit) => [unit.id, `unit ${unit.number}`] as const)]} />
        <Choice label="Device profile" value={profile} onChange={setProfile} options={profiles.map(({ id, name: words }) => [id, words] as const)} />
        <Field label="Revision (may be left out)" value={revision} onInput={setRevision} />
      </div>
      <div class="row"><Button submit kind="main">That is what it is</Button><Button onClick={close}>Leave it</Button></div>
    </form>
  );
}
