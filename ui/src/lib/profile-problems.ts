/** Where a problem of a profile is shown and how it reads. Pure. */
import { type TableId, kFields, kWordsOf, spotOf } from './profile-fields';
import { type Table, tablesOf, textOf } from './profile-tree';

export interface ProblemItem { severity?: string | undefined; what: string; advice?: string | undefined; pointer?: string | undefined; line?: number | undefined }

/** The place of the field concerned: what is missing is missing in its own field. */
export function missingKey(problem: ProblemItem): string {
  const pointer = problem.pointer ?? '';
  const key = /^the key "([^"]+)" is missing$/.exec(problem.what)?.[1];
  const table = /^the table \[([^\]]+)\] is missing$/.exec(problem.what)?.[1];
  const below = key ?? table;
  return below === undefined ? pointer : pointer === '' ? below : `${pointer}.${below}`;
}

/** "Check “Look into the port”, What each fault does to it". */
export function placeWords(tree: Table | null, pointer: string): string {
  const spot = spotOf(pointer);
  if (spot === null) return 'The text';
  const table: TableId = spot.table;
  const item = spot.index === null || tree === null ? undefined : tablesOf(tree, table)[spot.index];
  const name = item === undefined ? '' : ` “${textOf(item, 'name', textOf(item, 'id')) || spot.index! + 1}”`;
  const field = kFields[table].find((each) => each.key === spot.field);
  const rank = /\.rules\[(\d+)\]/.exec(pointer)?.[1];
  return [`${kWordsOf[table]}${name}`, rank !== undefined ? `rule ${Number(rank) + 1}` : field?.label ?? spot.field].filter(Boolean).join(', ');
}

/** What the server says, in the words of the forms: no names of keys, no hints on how TOML is written. */
export function plainWords(problem: ProblemItem): { what: string; todo: string } {
  const { what, advice = '' } = problem;
  const key = /^the key "([^"]+)" is missing$/.exec(what)?.[1];
  if (key !== undefined) return { what: 'This has to be given.', todo: '' };
  const sum = /^the probabilities of this row sum to ([-\d.e+]+), not to 1$/.exec(what)?.[1];
  if (sum !== undefined) {
    const share = Number((Number(sum) * 100).toPrecision(10));
    return { what: `These chances make ${share} %, not 100 %.`, todo: share < 100 ? 'Give the rest to one of them.' : 'Take some away.' };
  }
  if (what === 'this rule is never reached') return { what: 'This sentence never applies.', todo: 'An earlier one holds whenever it does: move it up, or take it out.' };
  if (what === 'otherwise is never reached') return { what: 'This never applies.', todo: 'An earlier sentence has no condition.' };
  const said = what.charAt(0).toUpperCase() + what.slice(1);
  return { what: /[.?]$/.test(said) ? said : `${said}.`, todo: advice === '' ? '' : `${advice.charAt(0).toUpperCase()}${advice.slice(1)}.` };
}
