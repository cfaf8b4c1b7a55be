/** Fields with one value: texts, numbers, ticks, choices. */
import { useEffect, useState } from 'preact/hooks';

import { parseNumber } from '../../lib/format';
import { type Field, type List } from '../../lib/profile-fields';
import { renamed } from '../../lib/profile-rename';
import { type Path, type Value, isList, isTable, tablesOf, takenIds, textOf } from '../../lib/profile-tree';
import { Button } from '../../components/Button';
import { useEditing } from './editing';
import { Frame } from './Frame';

export function TextInput({ path, field, label }: { path: Path; field: Pick<Field, 'label' | 'help' | 'needed' | 'otherwise' | 'kind'>; label?: string }) {
  const { at, set, remove, pointer } = useEditing();
  const value = at(path);
  const shown = typeof value === 'string' ? value : '';
  const put = (text: string) => (text === '' && field.needed !== true ? remove(path) : set(path, text));
  const placeholder = field.otherwise === undefined ? {} : { placeholder: field.otherwise };
  return (
    <Frame pointer={pointer(path)} label={label ?? field.label} help={field.help} wide={field.kind === 'long'}>
      {(attributes) => (field.kind === 'long'
        ? <textarea {...attributes} rows={Math.min(10, Math.max(2, Math.ceil(shown.length / 70) + shown.split('\n').length - 1))} value={shown}
            onInput={(event) => put(event.currentTarget.value)} />
        : <input {...attributes} {...placeholder} type="text" autocomplete="off" value={shown} onInput={(event) => put(event.currentTarget.value)} />)}
    </Frame>
  );
}

/** Share of one as a percentage, without the dust of binary fractions. */
const percentOf = (value: number): string => String(Number((value * 100).toPrecision(12)));
const shareOf = (percent: number): number => Number((percent / 100).toPrecision(12));

export interface NumberProps {
  path: Path;
  label: string;
  percent?: boolean;
  unit?: string | undefined;
  otherwise?: string | undefined;
  help?: string | undefined;
  whole?: boolean | undefined;
  /** An empty field: the key is taken out (otherwise what is needed is said to be missing). */
  onEmpty?: () => void;
}

/** A number; what is typed and is none yet stays in the field and keeps the profile from being saved. */
export function NumberInput({ path, label, percent = false, unit, otherwise, help, whole, onEmpty }: NumberProps) {
  const { at, set, remove, pointer, draft } = useEditing();
  const [typed, setTyped] = useState<string | null>(null);
  const value = at(path);
  const place = pointer(path);
  useEffect(() => () => draft.setUnread(place, null), [place]);
  const stored = typeof value === 'number' ? (percent ? percentOf(value) : String(value)) : '';
  const put = (text: string) => {
    setTyped(text);
    const number = parseNumber(text);
    const empty = text.trim() === '';
    const bad = !empty && (number === null || (whole === true && !Number.isInteger(number)));
    draft.setUnread(place, bad ? (whole === true ? 'A whole number, such as 2.' : 'A number, such as 12.5.') : null);
    if (empty) (onEmpty ?? (() => remove(path)))();
    else if (!bad && number !== null) set(path, percent ? shareOf(number) : number);
  };
  return (
    <Frame pointer={place} label={label} help={help}>
      {(attributes) => (
        <span class="with-unit">
          <input {...attributes} type="text" class="amount" inputMode="decimal" autocomplete="off" value={typed ?? stored} {...(otherwise === undefined ? {} : { placeholder: otherwise })}
            onInput={(event) => put(event.currentTarget.value)} onBlur={() => draft.unread.value[place] === undefined && setTyped(null)} />
          {(percent || unit !== undefined) && <span>{percent ? '%' : unit}</span>}
        </span>
      )}
    </Frame>
  );
}

export function FlagInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, remove, pointer, said } = useEditing();
  const value = at(path);
  const place = pointer(path);
  const checked = typeof value === 'boolean' ? value : field.usual === true;
  return (
    <div class="field">
      <label class="tick">
        <input type="checkbox" id={`at-${place}`} data-at={place} checked={checked} aria-invalid={said(place).length > 0 || undefined}
          onChange={(event) => (event.currentTarget.checked === (field.usual === true) ? remove(path) : set(path, event.currentTarget.checked))} />
        <span>{field.label}</span>
      </label>
      {field.help && <span class="small soft">{field.help}</span>}
      {said(place).map(({ what }) => <span key={what} class="problem">{what}</span>)}
    </div>
  );
}

/** The items of a list to choose from, with one that is not there shown as what it is. */
export function Options({ list, value, empty }: { list: List; value: string; empty?: string | undefined }) {
  const { tree } = useEditing();
  const items = tablesOf(tree, list).map((table) => ({ id: textOf(table, 'id'), name: textOf(table, 'name', textOf(table, 'id')) }));
  const known = value === '' || items.some(({ id }) => id === value);
  return (
    <>
      {empty !== undefined && <option value="">{empty}</option>}
      {!known && <option value={value}>{value} (not there)</option>}
      {items.map(({ id, name }) => <option key={id} value={id}>{name}</option>)}
    </>
  );
}

/** Faults and histories in one choice. */
export function SymbolOptions({ value, empty }: { value: string; empty?: string }) {
  const { tree } = useEditing();
  const groups = [['fault', 'Faults'], ['history', 'What may have happened']] as const;
  const known = value === '' || groups.some(([list]) => tablesOf(tree, list).some((table) => table.id === value));
  return (
    <>
      {empty !== undefined && <option value="">{empty}</option>}
      {!known && <option value={value}>{value} (not there)</option>}
      {groups.map(([list, words]) => (
        <optgroup key={list} label={words}>
          {tablesOf(tree, list).map((table) => <option key={textOf(table, 'id')} value={textOf(table, 'id')}>{textOf(table, 'name', textOf(table, 'id'))}</option>)}
        </optgroup>
      ))}
    </>
  );
}

export function OneInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, remove, pointer } = useEditing();
  const value = at(path);
  const chosen = typeof value === 'string' ? value : '';
  const empty = field.needed === true ? (chosen === '' ? 'choose' : undefined) : field.otherwise ?? 'none';
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help}>
      {(attributes) => (
        <select {...attributes} value={chosen} onChange={({ currentTarget: { value: next } }) => (next === '' ? remove(path) : set(path, next))}>
          <Options list={field.of ?? 'check'} value={chosen} empty={empty} />
        </select>
      )}
    </Frame>
  );
}

const kOriginChoices = [['authored', 'authored: counted or measured here'], ['memory', 'from memory'], ['invented', 'invented as an example']] as const;

export function OriginInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, remove, pointer } = useEditing();
  const value = at(path);
  const chosen = typeof value === 'string' ? value : '';
  return (
    <Frame pointer={pointer(path)} label={field.label}>
      {(attributes) => (
        <select {...attributes} value={chosen} onChange={({ currentTarget: { value: next } }) => (next === '' ? remove(path) : set(path, next))}>
          <option value="">{field.otherwise}</option>
          {kOriginChoices.map(([id, words]) => <option key={id} value={id}>{words}</option>)}
        </select>
      )}
    </Frame>
  );
}

/** Some of a list's items, ticked. */
export function SomeInput({ path, field }: { path: Path; field: Field }) {
  const { at, tree, pointer, edit, set } = useEditing();
  const value = at(path);
  const chosen = isList(value) ? value.map(String) : [];
  const list = field.of ?? 'fault';
  const items = tablesOf(tree, list).map((table) => ({ id: textOf(table, 'id'), name: textOf(table, 'name', textOf(table, 'id')) }));
  const strays = chosen.filter((id) => !items.some((item) => item.id === id)).map((id) => ({ id, name: `${id} (not there)` }));
  const toggle = (id: string, on: boolean) => {
    if (on) return value === undefined ? set(path, [id]) : edit({ edit: 'insert', path, value: id });
    if (chosen.length === 1) return edit({ edit: 'remove', path });
    edit({ edit: 'remove', path: [...path, chosen.indexOf(id)] });
  };
  const place = pointer(path);
  return (
    <Frame pointer={place} label={field.label} help={field.help} group>
      {() => (
        <>
          {chosen.length === 0 && field.otherwise !== undefined && <span class="soft">{field.otherwise}</span>}
          <div class="ticks">
            {[...items, ...strays].map(({ id, name }) => (
              <label key={id} class="tick slim">
                <input type="checkbox" checked={chosen.includes(id)} onChange={(event) => toggle(id, event.currentTarget.checked)} />
                <span>{name}</span>
              </label>
            ))}
          </div>
          <DeepProblems place={place} />
        </>
      )}
    </Frame>
  );
}

/** Problems of the parts of a field that have no place of their own on the screen. */
export function DeepProblems({ place }: { place: string }) {
  const { problems } = useEditing();
  const below = problems.filter(({ pointer = '' }) => pointer.startsWith(`${place}[`) || pointer.startsWith(`${place}.`));
  return <>{below.map(({ what, advice }, index) => <span key={index} class="problem">{what}{advice ? `: ${advice}` : ''}</span>)}</>;
}

/** Texts, one to a line of its own. */
export function TextsInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, edit, pointer } = useEditing();
  const value = at(path);
  const texts = isList(value) ? value : [];
  const label = field.label.replace(/s$/, '');
  const take = (index: number) => edit({ edit: 'remove', path: texts.length === 1 ? path : [...path, index] });
  const long = field.key === 'cautions';
  return (
    <Frame pointer={pointer(path)} label={field.label} help={field.help} group>
      {() => (
        <div class="lines">
          {texts.map((text, index) => {
            const place = pointer([...path, index]);
            const shared = {
              id: `at-${place}`, 'data-at': place, 'aria-label': `${label} ${index + 1}`, value: String(text ?? ''),
              onInput: (event: { currentTarget: { value: string } }) => set([...path, index], event.currentTarget.value),
            };
            return (
              <div key={index} class="line-row">
                {long ? <textarea {...shared} rows={2} /> : <input {...shared} type="text" autocomplete="off" />}
                <Button slim kind="plain" label={`Take out: ${String(text)}`} onClick={() => take(index)}>Take out</Button>
              </div>
            );
          })}
          <div><Button slim label={`Add: ${field.label}`} onClick={() => edit({ edit: 'insert', path, value: '' })}>Add</Button></div>
        </div>
      )}
    </Frame>
  );
}

/** The two ends of slow charging. */
export function SlowInput({ path, field }: { path: Path; field: Field }) {
  const { at, set, pointer, remove } = useEditing();
  const there = isList(at(path));
  const place = pointer(path);
  return (
    <Frame pointer={place} label={field.label} group>
      {() => (there
        ? (
          <div class="row">
            <NumberInput path={[...path, 0]} label="from" unit="A" />
            <NumberInput path={[...path, 1]} label="to" unit="A" />
            <Button slim kind="plain" onClick={() => remove(path)}>As usual</Button>
          </div>
        )
        : <div class="row"><span class="soft">as usual: 0.30 to 0.60 A</span><Button slim onClick={() => set(path, [0.3, 0.6])}>Set it</Button></div>)}
    </Frame>
  );
}

/** An id: given anew only by intent, and then everywhere. */
export function IdInput({ path, list, index, field }: { path: Path; list: List | null; index: number; field: Field }) {
  const { at, set, edit, tree, pointer } = useEditing();
  const value = at(path);
  const id = typeof value === 'string' ? value : '';
  const [typed, setTyped] = useState<string | null>(null);
  const place = pointer(path);
  const taken = list === null ? [] : takenIds(tree, list).filter((each) => each !== id);
  const wish = (typed ?? id).trim();
  const wrong = wish === '' ? 'An id has at least one letter.' : /\s/.test(wish) ? 'An id has no blanks.' : taken.includes(wish) ? 'This id is taken.' : null;
  const put = () => {
    setTyped(null);
    if (typed === null || wrong !== null || wish === id) return;
    if (list === null) set(path, wish);
    else edit(...renamed(tree, list, index, wish));
  };
  return (
    <Frame pointer={place} label={field.label} help={typed !== null && wrong !== null ? wrong : field.help}>
      {(attributes) => (
        <input {...attributes} type="text" class="mono" autocomplete="off" value={typed ?? id} onInput={(event) => setTyped(event.currentTarget.value)} onBlur={put}
          onKeyDown={(event) => event.key === 'Enter' && (event.preventDefault(), put())} />
      )}
    </Frame>
  );
}

/** True where a value stands. */
export const isThere = (value: Value | undefined): boolean => value !== undefined && !(isTable(value) && Object.keys(value).length === 0);
