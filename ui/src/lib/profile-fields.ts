/** Every key of a profile as a field of a form: what it is called, what it takes, what it means. docs/profile-format.md is the reference. */
export type List = 'access' | 'assembly' | 'history' | 'fault' | 'check' | 'repair' | 'test' | 'grade';
export type TableId = 'device' | 'bench' | 'value' | 'assume' | 'meter' | List;

export interface Field {
  key: string;
  label: string;
  kind: 'id' | 'text' | 'long' | 'number' | 'percent' | 'flag' | 'origin' | 'one' | 'some' | 'texts' | 'gates' | 'harm' | 'parts'
    | 'chances' | 'outcomes' | 'rules' | 'readings' | 'slow';
  /** Of 'one', 'some' and 'chances': whose ids. */
  of?: List;
  unit?: string;
  /** Shown in an empty field: what counts where nothing is given. */
  otherwise?: string;
  help?: string;
  needed?: boolean;
  whole?: boolean;
  /** Prices: not for those who do not see money. */
  money?: boolean;
  /** Of 'flag': what it is when left out. */
  usual?: boolean;
}

const kMinutes = { kind: 'number', unit: 'min', otherwise: '0' } as const;
const kId: Field = { key: 'id', label: 'Id', kind: 'id', needed: true, help: 'The journal speaks of it by this. Change the name as you like; the id only before a unit met it.' };
const kName: Field = { key: 'name', label: 'Name', kind: 'text', needed: true };
const kHow: Field = { key: 'how', label: 'How it is done', kind: 'long', help: 'One or two sentences for the bench.' };
const kWeight: Field = { key: 'weight', label: 'Experience behind the numbers', kind: 'number', unit: 'units', otherwise: '10',
  help: 'How many units the numbers stand for. Less sure: a smaller number; what is seen here then moves them sooner.' };
const kOrigin: Field = { key: 'numbers_from', label: 'Where its numbers come from', kind: 'origin', otherwise: 'as the whole profile' };
const kTrained: Field = { key: 'trained', label: 'Only for people marked as trained', kind: 'flag', usual: false };
const kTools: Field = { key: 'tools', label: 'Tools', kind: 'texts' };
const kCautions: Field = { key: 'cautions', label: 'Cautions', kind: 'texts',
  help: 'They inform and defer to the maker’s data, local law and licensed practice. Never write that a step is without danger.' };
const kUnit: Field = { key: 'unit', label: 'Unit of the number', kind: 'text' };

/** What checks and repairs have in common, `kind` first. */
function step(middle: readonly Field[]): Field[] {
  return [
    kName, kHow, ...middle,
    { key: 'at', label: 'Done with the unit', kind: 'some', of: 'access', otherwise: 'as far open as you like', help: 'Where several fit, the nearest is taken.' },
    { key: 'minutes', label: 'Hands-on', ...kMinutes },
    { key: 'wait_minutes', label: 'Waiting', ...kMinutes },
    { key: 'attended', label: 'Somebody must be there while it waits', kind: 'flag', usual: false },
    { key: 'requires', label: 'Only after', kind: 'gates', help: 'What must be seen first. It limits what is advised; what was done anyway is recorded all the same.' },
    { key: 'may_cause', label: 'May do harm', kind: 'harm' },
    { key: 'parts', label: 'Parts', kind: 'parts' },
    kTools, kCautions, kTrained, kWeight, kOrigin, kId,
  ];
}

export const kFields: Readonly<Record<TableId, readonly Field[]>> = {
  device: [
    kName,
    { key: 'about', label: 'About it', kind: 'long', help: 'What it covers, where the numbers come from.' },
    { key: 'numbers_from', label: 'Where the numbers come from', kind: 'origin', otherwise: 'authored here' },
    { key: 'currency', label: 'Currency', kind: 'text', needed: true, help: 'Three capital letters, such as USD.' },
    { key: 'test_check', label: 'The full function test is the check', kind: 'one', of: 'check', otherwise: 'none', help: 'It needs the outcomes “pass” and “fail”.' },
    { ...kId, help: 'Units and lots refer to it. With another id this is saved as a profile of its own, and the first stays as it was.' },
  ],
  bench: [
    { key: 'rate_per_hour', label: 'An hour of hands is worth', kind: 'number', money: true, needed: true },
    { key: 'hold_per_hour', label: 'An hour of waiting costs', kind: 'number', money: true, otherwise: '0', help: 'Shelf and delay.' },
  ],
  value: [
    { key: 'working_price', label: 'Proved, usual grade, sells at', kind: 'number', money: true, needed: true },
    { key: 'as_is_price', label: 'As it is, sells at', kind: 'number', money: true, needed: true },
    { key: 'scrap_value', label: 'Scrap brings', kind: 'number', money: true, otherwise: '0', help: 'Negative: disposal costs.' },
    { key: 'return_cost', label: 'A unit sent back costs', kind: 'number', money: true, otherwise: '0' },
    { key: 'fee_rate', label: 'Fees, part of the price', kind: 'percent', otherwise: '0', money: true },
    { key: 'postage', label: 'Postage', kind: 'number', money: true, otherwise: '0' },
    { key: 'sell_minutes', label: 'Selling, hands-on', ...kMinutes, help: 'Photographs, text, packing.' },
    { key: 'working_requires', label: 'Sold as working only after', kind: 'gates', help: 'Each reading must stand, with no repair since, and be sure.' },
  ],
  assume: [{ key: 'at_most_one_fault', label: 'A unit starts with one fault at most', kind: 'flag', usual: false, help: 'Nothing is learned with it.' }],
  meter: [
    { key: 'idle_below', label: 'Idle below', kind: 'number', unit: 'A', otherwise: '0.03' },
    { key: 'slow', label: 'Slow charging', kind: 'slow', unit: 'A', otherwise: '0.30 to 0.60' },
    { key: 'fast_from', label: 'Fast charging from', kind: 'number', unit: 'A', otherwise: '1.2' },
    { key: 'unsteady_sd', label: 'Unsteady above a spread of', kind: 'number', unit: 'A', otherwise: '0.02' },
    { key: 'blank_below_V', label: 'The supply counts as gone below', kind: 'number', unit: 'V', otherwise: '3.0' },
    { key: 'nominal_wh', label: 'Battery, nominal energy', kind: 'number', unit: 'Wh' },
  ],
  assembly: [
    kName,
    { key: 'harvest_value', label: 'A good one is worth on the shelf', kind: 'number', money: true, otherwise: '0' },
    { key: 'harvest_minutes', label: 'Taking it out of a donor', ...kMinutes },
    { key: 'variants', label: 'Variants that do not fit everywhere', kind: 'texts' },
    kId,
  ],
  access: [
    { ...kName, needed: false, otherwise: 'the id' },
    { key: 'from', label: 'Opened from', kind: 'one', of: 'access', otherwise: 'nothing: the unit is closed' },
    { key: 'open_minutes', label: 'Opening', ...kMinutes },
    { key: 'close_minutes', label: 'Closing again', ...kMinutes },
    kTools, kCautions, kTrained, kId,
  ],
  history: [kName, { key: 'probability', label: 'How often', kind: 'percent', otherwise: '0' }, kWeight, kOrigin, kId],
  fault: [
    kName,
    { key: 'assembly', label: 'Assembly that is then not good', kind: 'one', of: 'assembly', needed: true },
    { key: 'probability', label: 'How often, by itself', kind: 'percent', needed: true, help: 'When nothing of what may have happened to the unit did.' },
    { key: 'causes', label: 'More often after', kind: 'chances', of: 'history', help: 'The chance that this history brings the fault.' },
    { key: 'blocks_sale', label: 'A unit with it cannot be sold as working', kind: 'flag', usual: true },
    kWeight, kOrigin, kId,
  ],
  check: step([
    { key: 'outcomes', label: 'What it can show', kind: 'outcomes', needed: true, help: 'Their digits at the bench follow this order: keep to six, nine at most.' },
    { key: 'rules', label: 'What each fault does to it', kind: 'rules', help: 'The first sentence that holds applies: the fault that hides the others goes first. 0 says “never”; a small number is kinder.' },
    { key: 'reading', label: 'What gives an outcome without a key', kind: 'readings', help: 'The phases of a meter log in their order, or a number. The first that fits is taken.' },
    { key: 'repeatable', label: 'Doing it again is a new reading', kind: 'flag', usual: false },
  ]),
  repair: step([
    { key: 'fixes', label: 'It mends', kind: 'chances', of: 'fault', needed: true, help: 'The chance that the fault is gone, if it was there.' },
    { key: 'max_tries', label: 'Tried on one unit at most', kind: 'number', whole: true, unit: 'times', otherwise: '1' },
    { key: 'replaces', label: 'A new one takes the place of', kind: 'one', of: 'assembly', otherwise: 'nothing' },
  ]),
  test: [
    kName, kHow,
    { key: 'minutes', label: 'Hands-on', ...kMinutes },
    { key: 'wait_minutes', label: 'Waiting', ...kMinutes },
    { key: 'attended', label: 'Somebody must be there while it waits', kind: 'flag', usual: false },
    { key: 'min', label: 'At least', kind: 'number', help: 'With either limit the item takes a number.' },
    { key: 'max', label: 'At most', kind: 'number' },
    kUnit,
    { key: 'required', label: 'Needed to pass', kind: 'flag', usual: true },
    { key: 'reveals', label: 'A failure speaks of', kind: 'some', of: 'fault' },
    kId,
  ],
  grade: [kName, { key: 'price_factor', label: 'Its price, part of the working price', kind: 'percent', otherwise: '100', money: true }, kId],
};

export const kLists: readonly List[] = ['access', 'assembly', 'history', 'fault', 'check', 'repair', 'test', 'grade'];
export const kPhaseKinds = ['blank', 'idle', 'low', 'slow', 'middle', 'fast', 'taper', 'unsteady', 'pulsing'] as const;

/** The sections of the screen and the tables that each one shows. */
export type SectionId = 'overview' | 'faults' | 'checks' | 'repairs' | 'parts' | 'sheet' | 'device' | 'text';
export const kSections: readonly (readonly [SectionId, string, readonly TableId[]])[] = [
  ['overview', 'Overview', []],
  ['faults', 'Faults', ['history', 'fault']],
  ['checks', 'Checks', ['check']],
  ['repairs', 'Repairs', ['repair']],
  ['parts', 'Assemblies and opening', ['assembly', 'access']],
  ['sheet', 'Test sheet and grades', ['test', 'grade']],
  ['device', 'Device and money', ['device', 'bench', 'value', 'meter', 'assume']],
  ['text', 'Text', []],
];

export const kWordsOf: Readonly<Record<TableId, string>> = {
  device: 'Device', bench: 'The bench', value: 'What it is worth', assume: 'Assumption', meter: 'Meter log', access: 'Access level',
  assembly: 'Assembly', history: 'History', fault: 'Fault', check: 'Check', repair: 'Repair', test: 'Test', grade: 'Grade',
};

const isTableId = (key: string): key is TableId => key in kFields;

export interface Spot { section: SectionId; table: TableId; index: number | null; field: string | null }

/** Which section, item and field a problem's pointer means: "check[2].rules[0].gives". Null: the text as a whole. */
export function spotOf(pointer: string): Spot | null {
  const [, table = '', index, field] = /^([a-z]+)(?:\[(\d+)\])?(?:\.([A-Za-z_]+))?/.exec(pointer) ?? [];
  if (!isTableId(table)) return null;
  const section = kSections.find(([, , tables]) => tables.includes(table))?.[0] ?? 'text';
  return { section, table, index: index === undefined ? null : Number(index), field: field === undefined ? null : fieldKey(table, field) };
}

/** Some keys are edited in the field of another one. */
function fieldKey(table: TableId, key: string): string {
  const within: Readonly<Record<string, string>> = { outcome_names: 'outcomes', otherwise: 'rules' };
  return table === 'check' ? within[key] ?? key : key;
}
