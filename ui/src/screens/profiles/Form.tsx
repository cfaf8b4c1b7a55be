/** The form of one table of a profile, from lib/profile-fields.ts. */
import { type Field, type TableId, kFields, kLists } from '../../lib/profile-fields';
import { type Path, isTable } from '../../lib/profile-tree';
import { useEditing } from './editing';
import { ProblemLine } from './Frame';
import { ChancesInput, GatesInput, HarmInput, PartsInput } from './Lists';
import { FlagInput, IdInput, NumberInput, OneInput, OriginInput, SlowInput, SomeInput, TextInput, TextsInput } from './Plain';
import { ReadingsInput } from './Readings';
import { OutcomesInput, RulesInput } from './Rules';

/** Fields that stand side by side; the others take a line each. */
const kSmall: ReadonlySet<Field['kind']> = new Set(['text', 'number', 'percent', 'one', 'origin', 'id']);

export function Form({ table, path, index }: { table: TableId; path: Path; index: number }) {
  const { money, said, pointer } = useEditing();
  const fields = kFields[table].filter((field) => money || field.money !== true);
  const groups: Field[][] = [];
  for (const field of fields) {
    const last = groups[groups.length - 1];
    if (last !== undefined && kSmall.has(field.kind) && kSmall.has(last[0]?.kind ?? 'long')) last.push(field);
    else groups.push([field]);
  }
  return (
    <div class="profile-form">
      {said(pointer(path)).map((problem, at) => <ProblemLine key={at} problem={problem} />)}
      {groups.map((group) => (group.length > 1 || kSmall.has(group[0]?.kind ?? 'long')
        ? <div key={group[0]?.key} class="fields">{group.map((field) => <One key={field.key} table={table} path={path} index={index} field={field} />)}</div>
        : group.map((field) => <One key={field.key} table={table} path={path} index={index} field={field} />)))}
      <Unknown table={table} path={path} />
    </div>
  );
}

function One({ table, path, index, field }: { table: TableId; path: Path; index: number; field: Field }) {
  const { at, currency } = useEditing();
  const here = [...path, field.key];
  const item = at(path);
  const check = isTable(item) ? item : {};
  switch (field.kind) {
    case 'id': return <IdInput path={here} list={kLists.find((list) => list === table) ?? null} index={index} field={field} />;
    case 'text': case 'long': return <TextInput path={here} field={field} />;
    case 'number': return <NumberInput path={here} label={field.label} unit={field.money === true ? currency : field.unit} otherwise={field.otherwise} help={field.help} whole={field.whole} />;
    case 'percent': return <NumberInput path={here} label={field.label} percent otherwise={field.otherwise} help={field.help} />;
    case 'flag': return <FlagInput path={here} field={field} />;
    case 'origin': return <OriginInput path={here} field={field} />;
    case 'one': return <OneInput path={here} field={field} />;
    case 'some': return <SomeInput path={here} field={field} />;
    case 'texts': return <TextsInput path={here} field={field} />;
    case 'gates': return <GatesInput path={here} field={field} />;
    case 'harm': return <HarmInput path={here} field={field} />;
    case 'parts': return <PartsInput path={here} field={field} />;
    case 'chances': return <ChancesInput path={here} field={field} />;
    case 'outcomes': return <OutcomesInput item={path} index={index} check={check} field={field} />;
    case 'rules': return <RulesInput item={path} check={check} field={field} />;
    case 'readings': return <ReadingsInput item={path} check={check} field={field} />;
    case 'slow': return <SlowInput path={here} field={field} />;
  }
}

/** What the text says and no field is for: it stays as it is. */
function Unknown({ table, path }: { table: TableId; path: Path }) {
  const { at } = useEditing();
  const item = at(path);
  const known = new Set([...kFields[table].map((field) => field.key), ...(table === 'check' ? ['outcome_names', 'otherwise'] : [])]);
  const strange = isTable(item) ? Object.keys(item).filter((key) => !known.has(key)) : [];
  return strange.length === 0 ? null : <p class="small doubt">Kept as it is, no field for it: <span class="mono">{strange.join(', ')}</span></p>;
}
