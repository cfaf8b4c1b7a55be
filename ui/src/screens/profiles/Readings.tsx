/** What gives an outcome of a check without a key: the phases of a meter log, or a number. Sentences that open into their fields. */
import { useState } from 'preact/hooks';

import { Button } from '../../components/Button';
import { type Field, kPhaseKinds } from '../../lib/profile-fields';
import { outcomeName, readingWords } from '../../lib/profile-words';
import { type Path, type Table, type Value, isList, isTable, tablesOf, textOf, textsOf } from '../../lib/profile-tree';
import { useEditing } from './editing';
import { Frame } from './Frame';
import { Entry, useTake } from './Lists';
import { DeepProblems, NumberInput, TextInput } from './Plain';

export function ReadingsInput({ item, check, field }: { item: Path; check: Table; field: Field }) {
  const { edit, set, pointer, said } = useEditing();
  const path = [...item, 'reading'];
  const take = useTake(path);
  const readings = tablesOf(check, 'reading');
  const outcomes = textsOf(check, 'outcomes');
  const [open, setOpen] = useState<number | null>(null);
  const add = (reading: Table) => {
    edit({ edit: 'insert', path, value: { outcome: outcomes[0] ?? '', ...reading } });
    setOpen(readings.length);
  };
  const earlier = (index: number) => {
    edit({ edit: 'move', path: [...path, index], at: index - 1 });
    setOpen(index - 1);
  };
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help} group>
      {() => (
        <ol class="rules">
          {readings.map((reading, index) => {
            const here = [...path, index];
            const outcome = textOf(reading, 'outcome');
            return (
              <li key={index}>
                <button type="button" class="bare rule" aria-expanded={open === index} onClick={() => setOpen(open === index ? null : index)}>{readingWords(check, reading)}</button>
                {open === index && <Entry name={`reading ${index + 1}`} pointer={pointer(here)} take={() => {
                  take(index);
                  setOpen(null);
                }} moves={index > 0 ? <Button slim label={`Reading ${index + 1} earlier`} onClick={() => earlier(index)}>Earlier</Button> : null}>
                  <Frame pointer={pointer([...here, 'outcome'])} label="It shows">
                    {(attributes) => (
                      <select {...attributes} value={outcome} onChange={(event) => set([...here, 'outcome'], event.currentTarget.value)}>
                        {!outcomes.includes(outcome) && <option value={outcome}>{outcome} (not there)</option>}
                        {outcomes.map((each) => <option key={each} value={each}>{outcomeName(check, each)}</option>)}
                      </select>
                    )}
                  </Frame>
                  {reading.phases !== undefined
                    ? <Phases path={[...here, 'phases']} phases={reading.phases} />
                    : (
                      <div class="fields">
                        <NumberInput path={[...here, 'min']} label="for a number of at least" />
                        <NumberInput path={[...here, 'max']} label="and at most" />
                        <TextInput path={[...here, 'unit']} field={{ label: 'Unit', kind: 'text' }} />
                      </div>
                    )}
                  {reading.phases !== undefined && (reading.min !== undefined || reading.max !== undefined || reading.unit !== undefined) && (
                    <div class="fields">
                      <NumberInput path={[...here, 'min']} label="At least" /><NumberInput path={[...here, 'max']} label="At most" />
                      <TextInput path={[...here, 'unit']} field={{ label: 'Unit', kind: 'text' }} />
                    </div>
                  )}
                  <DeepProblems place={pointer([...here, 'phases'])} />
                </Entry>}
                {said(pointer(here)).map(({ what, advice }) => <span key={what} class="problem">{what}{advice && `: ${advice}`}</span>)}
              </li>
            );
          })}
          <li class="row">
            <Button slim onClick={() => add({ phases: [{ kind: 'slow', min_s: 10 }] })}>Add: phases of a log</Button>
            <Button slim onClick={() => add({ min: 0 })}>Add: a number</Button>
          </li>
        </ol>
      )}
    </Frame>
  );
}

/** Kinds that follow each other; others may stand between. */
function Phases({ path, phases }: { path: Path; phases: Value }) {
  const { edit, set, pointer } = useEditing();
  const take = useTake(path);
  const list = isList(phases) ? phases : [];
  return (
    <Frame pointer={pointer(path)} label="when the log has these phases in order" group>
      {() => (
        <div class="lines">
          {list.map((phase, index) => {
            const here = [...path, index];
            const plain = typeof phase === 'string';
            const kind = plain ? phase : isTable(phase) ? textOf(phase, 'kind') : '';
            const at = pointer(plain ? here : [...here, 'kind']);
            return (
              <div key={index} class="phase-row">
                <select aria-label={`Phase ${index + 1}`} id={`at-${at}`} data-at={at} value={kind}
                  onChange={(event) => set(plain ? here : [...here, 'kind'], event.currentTarget.value)}>
                  {!(kPhaseKinds as readonly string[]).includes(kind) && <option value={kind}>{kind} (not there)</option>}
                  {kPhaseKinds.map((each) => <option key={each} value={each}>{each}</option>)}
                </select>
                {plain
                  ? <Button slim onClick={() => set(here, { kind, min_s: 3 })}>Least time</Button>
                  : <NumberInput path={[...here, 'min_s']} label="for at least" unit="s" otherwise="0" />}
                <Button slim kind="plain" label={`Take out: phase ${index + 1}`} onClick={() => take(index)}>Take out</Button>
              </div>
            );
          })}
          <div><Button slim onClick={() => edit({ edit: 'insert', path, value: { kind: 'fast', min_s: 5 } })}>Add a phase</Button></div>
        </div>
      )}
    </Frame>
  );
}
