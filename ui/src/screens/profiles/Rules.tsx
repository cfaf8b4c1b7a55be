/** What a check can show, and what each fault does to it: ordered sentences, the first that applies. */
import { useState } from 'preact/hooks';

import { Button } from '../../components/Button';
import { type Field } from '../../lib/profile-fields';
import { ruleWords, outcomeName } from '../../lib/profile-words';
import { renamedOutcome, withoutOutcome } from '../../lib/profile-rename';
import { type Path, type Table, type Value, idFrom, isTable, tablesOf, textsOf } from '../../lib/profile-tree';
import { Condition } from './Condition';
import { useEditing } from './editing';
import { Frame } from './Frame';
import { Entry } from './Lists';
import { NumberInput } from './Plain';

const sumOf = (row: Value | undefined) => (isTable(row) ? Object.values(row).reduce<number>((sum, each) => sum + (typeof each === 'number' ? each : 0), 0) : 0);
const clean = (value: number) => Number(value.toPrecision(12));

/** The chances of the outcomes in one row; they make 100 % together. */
function Row({ path, check, label }: { path: Path; check: Table; label: string }) {
  const { at, pointer, remove, set } = useEditing();
  const row = at(path);
  const known = textsOf(check, 'outcomes');
  const strays = isTable(row) ? Object.keys(row).filter((id) => !known.includes(id)) : [];
  const missing = clean(1 - sumOf(row));
  const share = (id: string) => (isTable(row) && typeof row[id] === 'number' ? row[id] : 0);
  const largest = known.reduce((best, id) => (share(id) > share(best) ? id : best), known[0] ?? '');
  const mayFill = Math.abs(missing) > 1e-9 && largest !== '' && share(largest) + missing >= 0;
  return (
    <Frame pointer={pointer(path)} label={label} group>
      {() => (
        <>
          <div class="row-chances">
            {[...known, ...strays].map((id) => (
              <NumberInput key={id} path={[...path, id]} percent otherwise="0" label={outcomeName(check, id) + (known.includes(id) ? '' : ' (not there)')}
                onEmpty={() => remove([...path, id])} />
            ))}
          </div>
          {mayFill && (
            <div class="row small">
              <Button slim onClick={() => set([...path, largest], clean(share(largest) + missing))}>
                {missing > 0 ? `Give the rest to “${outcomeName(check, largest)}”` : `Take it from “${outcomeName(check, largest)}”`}
              </Button>
            </div>
          )}
        </>
      )}
    </Frame>
  );
}

export function RulesInput({ item, check, field }: { item: Path; check: Table; field: Field }) {
  const { tree, edit, pointer, said } = useEditing();
  const [open, setOpen] = useState<number | null>(null);
  const rules = tablesOf(check, 'rules');
  const path = [...item, 'rules'];
  const outcomes = textsOf(check, 'outcomes');
  const move = (index: number, by: -1 | 1) => {
    edit({ edit: 'move', path: [...path, index], at: index + by });
    if (open !== null) setOpen(open === index ? index + by : open);
  };
  const add = () => {
    edit({ edit: 'insert', path, value: { present: [], gives: outcomes[0] === undefined ? {} : { [outcomes[0]]: 1 } } });
    setOpen(rules.length);
  };
  const wrongAt = (place: string) => said(place).length > 0;
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help} group>
      {() => (
        <ol class="rules">
          {[...rules.map((_, index) => index), rules.length].map((index) => {
            const rest = index === rules.length;
            const place = rest ? pointer([...item, 'otherwise']) : pointer([...path, index]);
            return (
              <li key={index}>
                <button type="button" class="bare rule" aria-expanded={open === index} onClick={() => setOpen(open === index ? null : index)}>
                  {ruleWords(tree, check, rest ? -1 : index)}
                </button>
                {wrongAt(place) && open !== index && said(place).map(({ what }) => <span key={what} class="problem">{what}</span>)}
                {open === index && (rest
                  ? <div class="entry"><Row path={[...item, 'otherwise']} check={check} label={rules.length === 0 ? 'It shows' : 'Otherwise it shows'} /></div>
                  : (
                    <Entry name={`rule ${index + 1}`} pointer={place} take={() => {
                      edit({ edit: 'remove', path: rules.length === 1 ? path : [...path, index] });
                      setOpen(null);
                    }} moves={(
                      <>
                        {index > 0 && <Button slim label={`Rule ${index + 1} earlier`} onClick={() => move(index, -1)}>Earlier</Button>}
                        {index < rules.length - 1 && <Button slim label={`Rule ${index + 1} later`} onClick={() => move(index, 1)}>Later</Button>}
                      </>
                    )}>
                      <Condition path={[...path, index, 'present']} label="If" empty="whatever is wrong with it" />
                      <Row path={[...path, index, 'gives']} check={check} label="it shows" />
                      {said(place).map(({ what, advice }) => <span key={what} class="doubt">{what}{advice && `: ${advice}`}</span>)}
                    </Entry>
                  ))}
              </li>
            );
          })}
          <li><Button slim onClick={add}>Add a rule</Button></li>
        </ol>
      )}
    </Frame>
  );
}

/** What a check can show, in the order of the digits. */
export function OutcomesInput({ item, index, check, field }: { item: Path; index: number; check: Table; field: Field }) {
  const { tree, edit, set, remove, pointer, view } = useEditing();
  const outcomes = textsOf(check, 'outcomes');
  const path = [...item, 'outcomes'];
  const names = isTable(check.outcome_names) ? check.outcome_names : {};
  const seen = view.seen.checks[String(check.id)]?.outcomes ?? {};
  const add = () => {
    const id = idFrom('new outcome', outcomes, 'outcome');
    edit({ edit: 'insert', path, value: id }, { edit: 'set', path: [...item, 'outcome_names', id], value: 'New outcome' });
  };
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help} group>
      {() => (
        <ol class="lines">
          {outcomes.map((outcome, rank) => {
            const named = [...item, 'outcome_names', outcome];
            const place = pointer(named);
            const name = typeof names[outcome] === 'string' ? names[outcome] : '';
            const count = seen[outcome] ?? 0;
            return (
              <li key={rank} class="outcome-row" data-at={pointer([...path, rank])} id={`at-${pointer([...path, rank])}`} tabIndex={-1}>
                <span class="key" aria-hidden="true">{rank < 9 ? rank + 1 : '–'}</span>
                <input type="text" aria-label={`Words of outcome ${rank + 1}`} id={`at-${place}`} data-at={place} autocomplete="off" value={name} placeholder={outcome}
                  onInput={({ currentTarget: { value } }) => (value === '' ? remove(named) : set(named, value))} />
                <OutcomeId key={outcome} id={outcome} taken={outcomes} rename={(to) => edit(...renamedOutcome(tree, index, outcome, to))} rank={rank} />
                <span class="small soft">{count > 0 ? `seen ${count} here` : ''}</span>
                <span class="row">
                  {rank > 0 && <Button slim label={`${outcomeName(check, outcome)} earlier`} onClick={() => edit({ edit: 'move', path: [...path, rank], at: rank - 1 })}>Earlier</Button>}
                  <Button slim kind="plain" label={`Take out: ${outcomeName(check, outcome)}`} onClick={() => edit(...withoutOutcome(tree, index, outcome))}>Take out</Button>
                </span>
              </li>
            );
          })}
          <li><Button slim onClick={add}>Add an outcome</Button></li>
        </ol>
      )}
    </Frame>
  );
}

function OutcomeId({ id, taken, rename, rank }: { id: string; taken: readonly string[]; rename: (to: string) => void; rank: number }) {
  const [typed, setTyped] = useState(id);
  const put = () => {
    const to = typed.trim();
    if (to === '' || /\s/.test(to) || to === id || taken.includes(to)) setTyped(id);
    else rename(to);
  };
  return (
    <input type="text" class="mono outcome-id" aria-label={`Id of outcome ${rank + 1}`} autocomplete="off" value={typed}
      onInput={(event) => setTyped(event.currentTarget.value)} onBlur={put} onKeyDown={(event) => event.key === 'Enter' && (event.preventDefault(), put())} />
  );
}
