/** A profile as the tree that its TOML text says, and edits to it. The server makes the same edits in the text. Pure. */
export type Value = string | number | boolean | null | Value[] | Table;
export interface Table { [key: string]: Value }
/** A key of a table, a position in a list, or the id of a table in a list. */
export type Path = (string | number)[];

export type Edit =
  | { edit: 'set'; path: Path; value: Value }
  | { edit: 'remove'; path: Path }
  | { edit: 'insert'; path: Path; value: Value; at?: number; comment?: string }
  | { edit: 'move'; path: Path; at: number };

export const isTable = (value: Value | undefined): value is Table => typeof value === 'object' && value !== null && !Array.isArray(value);
export const isList = (value: Value | undefined): value is Value[] => Array.isArray(value);

function stepIn(value: Value | undefined, step: string | number): Value | undefined {
  if (isList(value)) return typeof step === 'number' ? value[step] : value.find((item) => isTable(item) && item.id === step);
  return isTable(value) ? value[step] : undefined;
}

export function valueAt(tree: Table, path: Path): Value | undefined {
  return path.reduce<Value | undefined>(stepIn, tree);
}

/** The tables of a list of the profile: `tablesOf(tree, 'fault')`. */
export function tablesOf(tree: Table | Value | undefined, key: string): Table[] {
  const list = isTable(tree) ? tree[key] : undefined;
  return isList(list) ? list.filter(isTable) : [];
}

export const textOf = (table: Table | undefined, key: string, otherwise = ''): string => {
  const value = table?.[key];
  return typeof value === 'string' ? value : otherwise;
};
export const numberOf = (table: Table | undefined, key: string, otherwise = 0): number => {
  const value = table?.[key];
  return typeof value === 'number' ? value : otherwise;
};
export const textsOf = (table: Table | undefined, key: string): string[] => {
  const value = table?.[key];
  return isList(value) ? value.map((each) => (typeof each === 'string' ? each : '')) : [];
};

/** How the server points at a place in its problems: "check[2].rules[0].gives". */
export function pointerOf(tree: Table, path: Path): string {
  let pointer = '';
  let at: Value | undefined = tree;
  for (const step of path) {
    if (isList(at) || typeof step === 'number') {
      const position: number = typeof step === 'number' ? step : (at as Value[]).findIndex((item) => isTable(item) && item.id === step);
      pointer += `[${position}]`;
    } else {
      pointer += pointer === '' ? step : `.${step}`;
    }
    at = stepIn(at, step);
  }
  return pointer;
}

/** The path of a table in one of the profile's lists: by its id, so that it stays right whatever is added before it; by its position
 * where the id is missing or taken twice. */
export function itemPath(tree: Table, list: string, index: number): Path {
  const tables = tablesOf(tree, list);
  const id = tables[index]?.id;
  const once = typeof id === 'string' && id !== '' && tables.filter((table) => table.id === id).length === 1;
  return [list, once ? id : index];
}

/** The tree after an edit; the given one is not changed. Null when the path leads nowhere. */
export function edited(tree: Table, edit: Edit): Table | null {
  const copy = structuredClone(tree);
  return apply(copy, edit) ? copy : null;
}

function apply(tree: Table, edit: Edit): boolean {
  const { path } = edit;
  if (edit.edit === 'insert') return insert(tree, edit);
  const parent = edit.edit === 'set' ? parentFor(tree, path) : valueAt(tree, path.slice(0, -1));
  const last = path[path.length - 1];
  if (last === undefined || parent === undefined) return false;
  if (isList(parent)) {
    const index = typeof last === 'number' ? last : parent.findIndex((item) => isTable(item) && item.id === last);
    if (index < 0 || index >= parent.length) return false;
    if (edit.edit === 'set') parent[index] = edit.value;
    else {
      const [item] = parent.splice(index, 1);
      if (edit.edit === 'move' && item !== undefined) parent.splice(edit.at, 0, item);
    }
    return true;
  }
  if (!isTable(parent) || edit.edit === 'move' || typeof last === 'number') return false;
  if (edit.edit === 'set') parent[last] = edit.value;
  else if (last in parent) delete parent[last];
  else return false;
  return true;
}

function insert(tree: Table, edit: Extract<Edit, { edit: 'insert' }>): boolean {
  const list = valueAt(tree, edit.path);
  if (isList(list)) {
    list.splice(Math.min(edit.at ?? list.length, list.length), 0, edit.value);
    return true;
  }
  const parent = parentFor(tree, edit.path);
  const last = edit.path[edit.path.length - 1];
  if (list !== undefined || !isTable(parent) || typeof last !== 'string') return false;
  parent[last] = [edit.value];
  return true;
}

/** The table or list that holds the last step; tables that are missing above it are made. */
function parentFor(tree: Table, path: Path): Value | undefined {
  let at: Value | undefined = tree;
  for (const step of path.slice(0, -1)) {
    const next: Value | undefined = stepIn(at, step);
    if (next === undefined && isTable(at) && typeof step === 'string') {
      at[step] = {};
      at = at[step];
    } else {
      at = next;
    }
  }
  return at;
}

const samePath = (a: Path, b: Path) => a.length === b.length && a.every((step, index) => step === b[index]);

/** The edits with one more; typing on in one place stays one edit. `from`: edits before it are on their way and stay as they are. */
export function withEdit(edits: readonly Edit[], next: Edit, from = 0): Edit[] {
  const last = edits.length > from ? edits[edits.length - 1] : undefined;
  const again = last !== undefined && last.edit === 'set' && next.edit === 'set' && samePath(last.path, next.path);
  return again ? [...edits.slice(0, -1), next] : [...edits, next];
}

/** An id made of a name, free among `taken`: "Port torn off" → "port-torn-off". */
export function idFrom(name: string, taken: readonly string[], otherwise: string): string {
  const plain = name.normalize('NFKD').replace(/[\u0300-\u036f]/g, '').toLowerCase()
    .replace(/[^a-z0-9]+/g, '-').replace(/^-+|-+$/g, '').slice(0, 40).replace(/-+$/, '') || otherwise;
  let id = plain;
  for (let count = 2; taken.includes(id); ++count) id = `${plain}-${count}`;
  return id;
}

/** Ids that are taken in the space of names of a list; faults and histories share one. */
export function takenIds(tree: Table, list: string): string[] {
  const lists = list === 'fault' || list === 'history' ? ['fault', 'history'] : [list];
  return lists.flatMap((each) => tablesOf(tree, each).map((table) => textOf(table, 'id')));
}
