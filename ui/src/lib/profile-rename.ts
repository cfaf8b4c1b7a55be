/** New ids with everything that refers to them. Pure. */
import { gateParts, gateText, membersOf } from './profile-words';
import { type Edit, type Path, type Table, type Value, isList, isTable, itemPath, tablesOf, textOf } from './profile-tree';

const moved = (path: Path, table: Value | undefined, from: string, to: string): Edit[] =>
  isTable(table) && table[from] !== undefined
    ? [{ edit: 'set', path: [...path, to], value: table[from] ?? null }, { edit: 'remove', path: [...path, from] }] : [];

const same = (path: Path, value: Value | undefined, from: string, to: string): Edit[] =>
  value === from ? [{ edit: 'set', path, value: to }] : [];

function each(path: Path, list: Value | undefined, change: (text: string) => string): Edit[] {
  return (isList(list) ? list : []).flatMap((item, index) => {
    const after = typeof item === 'string' ? change(item) : item;
    return after === item ? [] : [{ edit: 'set' as const, path: [...path, index], value: after }];
  });
}

const member = (from: string, to: string) => (group: string) =>
  (membersOf(group).includes(from) ? membersOf(group).map((id) => (id === from ? to : id)).join('|') : group);

type Step = { path: Path; table: Table; list: 'check' | 'repair' };

function steps(tree: Table): Step[] {
  return (['check', 'repair'] as const).flatMap((list) =>
    tablesOf(tree, list).map((table, index) => ({ list, table, path: itemPath(tree, list, index) })));
}

/** Every list of gates with its path. */
function gateLists(tree: Table): { path: Path; gates: Value | undefined }[] {
  const value = isTable(tree.value) ? tree.value : {};
  return [{ path: ['value', 'working_requires'], gates: value.working_requires },
    ...steps(tree).map(({ path, table }) => ({ path: [...path, 'requires'], gates: table.requires }))];
}

function conditions(tree: Table, change: (group: string) => string): Edit[] {
  return steps(tree).flatMap(({ path, table }) => [
    ...tablesOf(table, 'rules').flatMap((rule, index) => each([...path, 'rules', index, 'present'], rule.present, change)),
    ...tablesOf(table, 'may_cause').flatMap((harm, index) => each([...path, 'may_cause', index, 'given'], harm.given, change)),
  ]);
}

function references(tree: Table, list: string, from: string, to: string): Edit[] {
  const items = (key: string) => tablesOf(tree, key).map((table, index) => ({ table, path: itemPath(tree, key, index) }));
  const swap = (text: string) => (text === from ? to : text);
  switch (list) {
    case 'assembly': return [
      ...items('fault').flatMap(({ table, path }) => same([...path, 'assembly'], table.assembly, from, to)),
      ...items('repair').flatMap(({ table, path }) => same([...path, 'replaces'], table.replaces, from, to))];
    case 'access': return [
      ...items('access').flatMap(({ table, path }) => same([...path, 'from'], table.from, from, to)),
      ...steps(tree).flatMap(({ table, path }) => each([...path, 'at'], table.at, swap))];
    case 'history': return [
      ...conditions(tree, member(from, to)),
      ...items('fault').flatMap(({ table, path }) => moved([...path, 'causes'], table.causes, from, to))];
    case 'fault': return [
      ...conditions(tree, member(from, to)),
      ...items('repair').flatMap(({ table, path }) => moved([...path, 'fixes'], table.fixes, from, to)),
      ...steps(tree).flatMap(({ table, path }) => tablesOf(table, 'may_cause')
        .flatMap((harm, index) => same([...path, 'may_cause', index, 'fault'], harm.fault, from, to))),
      ...items('test').flatMap(({ table, path }) => each([...path, 'reveals'], table.reveals, swap))];
    case 'check': return [
      ...gateLists(tree).flatMap(({ path, gates }) => each(path, gates, (gate) => {
        const { check, outcomes } = gateParts(gate);
        return check === from ? gateText(to, outcomes) : gate;
      })),
      ...same(['device', 'test_check'], isTable(tree.device) ? tree.device.test_check : undefined, from, to)];
    default: return [];
  }
}

/** Gives the item of a list another id, everywhere. */
export function renamed(tree: Table, list: string, index: number, to: string): Edit[] {
  const from = textOf(tablesOf(tree, list)[index], 'id');
  const path = itemPath(tree, list, index);
  return [...(from === '' ? [] : references(tree, list, from, to)), { edit: 'set', path: [...path, 'id'], value: to }];
}

/** Gives an outcome of a check another id, everywhere. */
export function renamedOutcome(tree: Table, index: number, from: string, to: string): Edit[] {
  const check = tablesOf(tree, 'check')[index];
  const path = itemPath(tree, 'check', index);
  if (check === undefined) return [];
  return [
    ...each([...path, 'outcomes'], check.outcomes, (outcome) => (outcome === from ? to : outcome)),
    ...moved([...path, 'outcome_names'], check.outcome_names, from, to),
    ...tablesOf(check, 'rules').flatMap((rule, at) => moved([...path, 'rules', at, 'gives'], rule.gives, from, to)),
    ...moved([...path, 'otherwise'], check.otherwise, from, to),
    ...tablesOf(check, 'reading').flatMap((reading, at) => same([...path, 'reading', at, 'outcome'], reading.outcome, from, to)),
    ...gateLists(tree).flatMap((gates) => each(gates.path, gates.gates, (gate) => {
      const parts = gateParts(gate);
      return parts.check === textOf(check, 'id') ? gateText(parts.check, parts.outcomes.map((outcome) => (outcome === from ? to : outcome))) : gate;
    })),
  ];
}

/** Takes an outcome out of a check: its name and its share of each row, too. Gates and readings that speak of it are left, to be seen. */
export function withoutOutcome(tree: Table, index: number, outcome: string): Edit[] {
  const check = tablesOf(tree, 'check')[index];
  const path = itemPath(tree, 'check', index);
  const outcomes = check?.outcomes;
  const at = isList(outcomes) ? outcomes.indexOf(outcome) : -1;
  if (check === undefined || at < 0) return [];
  const gone = (below: Path, table: Value | undefined): Edit[] =>
    isTable(table) && table[outcome] !== undefined ? [{ edit: 'remove', path: [...path, ...below, outcome] }] : [];
  return [
    ...gone(['outcome_names'], check.outcome_names),
    ...tablesOf(check, 'rules').flatMap((rule, rank) => gone(['rules', rank, 'gives'], rule.gives)),
    ...gone(['otherwise'], check.otherwise),
    { edit: 'remove', path: [...path, 'outcomes', at] },
  ];
}
