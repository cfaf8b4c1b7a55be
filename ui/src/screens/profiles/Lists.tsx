/** Fields that are short lists: gates, harm, parts, chances. */
import type { ComponentChildren } from 'preact';

import { Button } from '../../components/Button';
import { type Field, type List } from '../../lib/profile-fields';
import { gateParts, gateText, gateWords, outcomeName } from '../../lib/profile-words';
import { type Path, type Value, isList, isTable, tablesOf, textOf, textsOf } from '../../lib/profile-tree';
import { Condition } from './Condition';
import { useEditing } from './editing';
import { Frame } from './Frame';
import { DeepProblems, NumberInput, Options, TextInput } from './Plain';

/** One entry of a list with its fields and a way to take it out. */
export function Entry({ name, take, children, pointer, moves }: {
  name: string; take: () => void; children: ComponentChildren; pointer: string; moves?: ComponentChildren;
}) {
  return (
    <div class="entry" role="group" aria-label={name} id={`at-${pointer}`} data-at={pointer} tabIndex={-1}>
      {children}
      <div class="row entry-acts">{moves}<Button slim kind="plain" label={`Take out: ${name}`} onClick={take}>Take out</Button></div>
    </div>
  );
}

/** Takes an item out of a list; the list with its last. */
export function useTake(path: Path) {
  const { at, edit } = useEditing();
  return (index: number) => {
    const list = at(path);
    edit({ edit: 'remove', path: isList(list) && list.length > 1 ? [...path, index] : path });
  };
}

/** "check=outcome|outcome" as a check and ticks. */
export function GatesInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, edit, tree, pointer, said } = useEditing();
  const take = useTake(path);
  const value = at(path);
  const gates = isList(value) ? value.map(String) : [];
  const checks = tablesOf(tree, 'check');
  const add = () => {
    const first = checks.find((check) => !gates.some((gate) => gateParts(gate).check === check.id)) ?? checks[0];
    if (first !== undefined) edit({ edit: 'insert', path, value: gateText(textOf(first, 'id'), textsOf(first, 'outcomes').slice(0, 1)) });
  };
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help} group>
      {() => (
        <div class="lines">
          {gates.map((gate, index) => {
            const { check, outcomes } = gateParts(gate);
            const table = checks.find((each) => each.id === check);
            const known = textsOf(table, 'outcomes');
            const all = [...known, ...outcomes.filter((outcome) => outcome !== '' && !known.includes(outcome))];
            const here = [...path, index];
            const toggle = (outcome: string, on: boolean) => set(here, gateText(check, all.filter((each) => (each === outcome ? on : outcomes.includes(each)))));
            return (
              <Entry key={index} name={gateWords(tree, gate)} pointer={pointer(here)} take={() => take(index)}>
                <label class="sr-row"><span class="unseen">Check</span>
                  <select value={check} onChange={(event) => set(here, gateText(event.currentTarget.value, textsOf(checks.find((each) => each.id === event.currentTarget.value), 'outcomes').slice(0, 1)))}>
                    <Options list="check" value={check} />
                  </select>
                </label>
                <div class="ticks"><span class="soft">showed</span>
                  {all.map((outcome) => (
                    <label key={outcome} class="tick slim">
                      <input type="checkbox" checked={outcomes.includes(outcome)} onChange={(event) => toggle(outcome, event.currentTarget.checked)} />
                      <span>{outcomeName(table, outcome)}{!known.includes(outcome) && ' (not there)'}</span>
                    </label>
                  ))}
                </div>
                {said(pointer(here)).map(({ what }) => <span key={what} class="problem">{what}</span>)}
              </Entry>
            );
          })}
          <div><Button slim label={`Add: ${field.label}`} onClick={add} why={checks.length === 0 ? 'There is no check yet.' : undefined}>Add</Button></div>
        </div>
      )}
    </Frame>
  );
}

/** Ids with a chance each: what a history causes, what a repair mends. */
export function ChancesInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, remove, tree, pointer } = useEditing();
  const value = at(path);
  const chances = isTable(value) ? Object.keys(value) : [];
  const list: List = field.of ?? 'fault';
  const first = list === 'fault' ? 0.85 : 0.1;
  const left = tablesOf(tree, list).filter((table) => !chances.includes(textOf(table, 'id')));
  const nameOf = (id: string) => textOf(tablesOf(tree, list).find((table) => table.id === id), 'name', `${id} (not there)`);
  const take = (id: string) => (chances.length === 1 && field.needed !== true ? remove(path) : remove([...path, id]));
  const place = pointer(path);
  return (
    <Frame pointer={place} label={field.label} help={field.help} group>
      {() => (
        <div class="lines">
          {chances.map((id) => (
            <div key={id} class="chance-row">
              <NumberInput path={[...path, id]} label={nameOf(id)} percent onEmpty={() => take(id)} />
              <Button slim kind="plain" label={`Take out: ${nameOf(id)}`} onClick={() => take(id)}>Take out</Button>
            </div>
          ))}
          {left.length > 0 && (
            <select aria-label={`Add: ${field.label}`} value="" onChange={(event) => event.currentTarget.value !== '' && set([...path, event.currentTarget.value], first)}>
              <option value="">Add …</option>
              {left.map((table) => <option key={textOf(table, 'id')} value={textOf(table, 'id')}>{textOf(table, 'name')}</option>)}
            </select>
          )}
        </div>
      )}
    </Frame>
  );
}

export function PartsInput({ path, field }: { path: Path; field: Field }) {
  const { at, edit, pointer, money, currency } = useEditing();
  const take = useTake(path);
  const value = at(path);
  const parts = isList(value) ? value : [];
  return (
    <Frame pointer={pointer(path)} label={field.label} group>
      {() => (
        <div class="lines">
          {parts.map((part, index) => {
            const here = [...path, index];
            const sku = isTable(part) ? textOf(part, 'sku') : '';
            return (
              <Entry key={index} name={sku || `part ${index + 1}`} pointer={pointer(here)} take={() => take(index)}>
                <div class="fields">
                  <TextInput path={[...here, 'sku']} field={{ label: 'Part', kind: 'text', needed: true }} />
                  <NumberInput path={[...here, 'count']} label="How many" otherwise="1" whole />
                  {money && <NumberInput path={[...here, 'price']} label="Price of one" unit={currency} otherwise="0" />}
                </div>
              </Entry>
            );
          })}
          <div><Button slim label={`Add: ${field.label}`} onClick={() => edit({ edit: 'insert', path, value: { sku: '' } })}>Add</Button></div>
        </div>
      )}
    </Frame>
  );
}

export function HarmInput({ path, field }: { path: Path; field: Field }) {
  const { at, edit, set, tree, pointer } = useEditing();
  const take = useTake(path);
  const value = at(path);
  const harms = isList(value) ? value : [];
  const first = textOf(tablesOf(tree, 'fault')[0], 'id');
  return (
    <Frame pointer={pointer(path)} label={field.label} group>
      {() => (
        <div class="lines">
          {harms.map((harm: Value, index) => {
            const here = [...path, index];
            const fault = isTable(harm) ? textOf(harm, 'fault') : '';
            return (
              <Entry key={index} name={`harm ${index + 1}`} pointer={pointer(here)} take={() => take(index)}>
                <div class="fields">
                  <Frame pointer={pointer([...here, 'fault'])} label="Brings the fault">
                    {(attributes) => (
                      <select {...attributes} value={fault} onChange={(event) => set([...here, 'fault'], event.currentTarget.value)}>
                        <Options list="fault" value={fault} />
                      </select>
                    )}
                  </Frame>
                  <NumberInput path={[...here, 'probability']} label="How often" percent otherwise="0" />
                </div>
                <Condition path={[...here, 'given']} label="Only if" empty="always" />
                <DeepProblems place={pointer([...here, 'given'])} />
              </Entry>
            );
          })}
          <div><Button slim label={`Add: ${field.label}`} why={first === '' ? 'There is no fault yet.' : undefined}
            onClick={() => edit({ edit: 'insert', path, value: { fault: first, probability: 0.01 } })}>Add</Button></div>
        </div>
      )}
    </Frame>
  );
}
