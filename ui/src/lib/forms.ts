/** The bench's small forms as tables: fields, what they start with, and the entry that they make. Pure. */
import type { UnitView } from '../api';
import type { Body } from './events';
import { amountText, type Money, exactMoney, minutes, parseMoney, parseNumber } from './format';

export type Values = Record<string, string>;

export interface FormField {
  id: string;
  label: string;
  kind: 'text' | 'money' | 'minutes' | 'date' | 'time' | 'choice' | 'long';
  start: string;
  optional?: boolean;
  options?: readonly (readonly [string, string])[];
}

export interface Form {
  title: string;
  fields: FormField[];
  /** The button. */
  does: string;
  /** What follows a field that was changed, where the person has not typed something else. */
  follow?: (before: Values, after: Values) => Values;
  /** Reads the checked values: money and minutes are valid, required texts are not empty. */
  make: (read: Read) => { body: Body; words: string };
}

export interface Read {
  text: (id: string) => string;
  /** Member left out when the field is empty. */
  maybe: (id: string) => Body;
  money: (id: string) => Money;
  minutes: (id: string) => Body;
  time: (id: string) => string;
}

/** Local time as <input type="datetime-local"> holds it. */
export function localTime(at: Date): string {
  const two = (value: number) => String(value).padStart(2, '0');
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}T${two(at.getHours())}:${two(at.getMinutes())}`;
}

const money = (id: string, label: string, start: string): FormField => ({ id, label, kind: 'money', start });
const text = (id: string, label: string, optional = false): FormField => ({ id, label, kind: 'text', start: '', optional });
const spent = (start = ''): FormField => ({ id: 'minutes', label: 'Minutes of hands', kind: 'minutes', start, optional: true });

/** The price that a sale starts with: what was asked, else what is suggested for such a sale. */
function salePrice({ unit, suggested }: UnitView, as: string | undefined): string {
  const price = unit.offered ?? (as === 'as-is' ? suggested?.as_is_price : suggested?.working_price);
  return price ? amountText(price) : '';
}

/** The fee of a price by the outlet's rate, to the minor unit. */
function saleFee({ unit, suggested }: UnitView, price: string | undefined): string {
  const amount = parseMoney(price ?? '', unit.currency);
  return amountText({ minor: Math.round((amount?.minor ?? 0) * (suggested?.fee_rate ?? 0)), currency: unit.currency });
}

function saleFields(view: UnitView, asIs: boolean): FormField[] {
  const as = asIs ? 'as-is' : 'working';
  const price = salePrice(view, as);
  const postage = view.suggested?.postage ?? { minor: 0, currency: view.unit.currency };
  return [
    { id: 'as', label: 'Sold', kind: 'choice', start: as, options: [['working', 'working'], ['as-is', 'as is']] },
    money('price', 'Price', price), money('fee', 'Fee', saleFee(view, price)), money('postage', 'Postage', amountText(postage)), spent('10'),
  ];
}

/** The price follows how it is sold, the fee follows the price, unless they were typed. */
function saleFollow(view: UnitView, before: Values, after: Values): Values {
  const next = { ...after };
  if (before.as !== after.as && before.price === salePrice(view, before.as)) next.price = salePrice(view, after.as);
  if (before.price !== next.price && before.fee === saleFee(view, before.price)) next.fee = saleFee(view, next.price);
  return next;
}

/** The form of an entry kind for a unit; null where the kind has none. `asIs`: the sale starts as is. */
export function formOf(kind: string, view: UnitView, now: Date, asIs: boolean): Form | null {
  const zero = amountText({ minor: 0, currency: view.unit.currency });
  const today = localTime(now).slice(0, 10);
  const asking = asIs ? view.suggested?.as_is_price : view.suggested?.working_price;
  switch (kind) {
    case 'mended': return { title: 'It passed a basic check', does: 'Mended', fields: [spent()],
      make: (read) => ({ body: read.minutes('minutes'), words: 'mended' }) };
    case 'graded': return { title: 'Grade', does: 'Grade it',
      fields: [{ id: 'grade', label: 'Grade', kind: 'choice', start: view.unit.grade ?? view.grades[0]?.id ?? '',
        options: view.grades.map((grade) => [grade.id, grade.name] as const) }],
      make: (read) => ({ body: { grade: read.text('grade') }, words: `grade ${read.text('grade')}` }) };
    case 'offered': return { title: 'Put up for sale', does: 'Offer it',
      fields: [money('price', 'Asking price', asking ? amountText(asking) : ''), text('where', 'Where', true)],
      make: (read) => ({ body: { price: read.money('price'), ...read.maybe('where') }, words: `offered at ${exactMoney(read.money('price'))}` }) };
    case 'sold': return { title: 'Sold', does: 'Sold', fields: saleFields(view, asIs),
      follow: (before, after) => saleFollow(view, before, after),
      make: (read) => ({ body: { as: read.text('as'), price: read.money('price'), fee: read.money('fee'), postage: read.money('postage'),
        ...read.minutes('minutes') }, words: `sold ${read.text('as') === 'as-is' ? 'as is' : 'working'}` }) };
    case 'returned': return { title: 'The buyer sent it back', does: 'Take it back',
      fields: [money('refund', 'Refund', amountText(view.money.income)), money('cost', 'Cost of the return', zero), text('reason', 'Reason', true)],
      make: (read) => ({ body: { refund: read.money('refund'), cost: read.money('cost'), ...read.maybe('reason') }, words: 'taken back' }) };
    case 'scrapped': return { title: 'Scrap it', does: 'Scrap it', fields: [money('proceeds', 'Proceeds (negative: disposal)', zero)],
      make: (read) => ({ body: { proceeds: read.money('proceeds') }, words: 'scrapped' }) };
    case 'held-aside': return { title: 'Hold it aside: it must not be sold', does: 'Hold it aside',
      fields: [text('reason', 'Reason'), text('check', 'What was checked'), { id: 'date', label: 'Date of the check', kind: 'date', start: today },
        text('reference', 'Reference', true)],
      make: (read) => ({ body: { reason: read.text('reason'), check: read.text('check'), date: read.text('date'), ...read.maybe('reference') },
        words: `held aside: ${read.text('reason')}` }) };
    case 'released': return { title: 'It may be sold again', does: 'Release it', fields: [text('reference', 'Reference', true)],
      make: (read) => ({ body: read.maybe('reference'), words: 'released' }) };
    case 'put-aside': return { title: 'Put it aside: too hard or not worth it now', does: 'Put it aside', fields: [text('reason', 'Reason')],
      make: (read) => ({ body: { reason: read.text('reason') }, words: `put aside: ${read.text('reason')}` }) };
    case 'wait-started': return { title: 'It has to wait', does: 'Start waiting',
      fields: [text('what', 'What for (charging, drying, curing …)'),
        { id: 'due', label: 'Due', kind: 'time', start: localTime(new Date(now.getTime() + 3_600_000)) }],
      make: (read) => ({ body: { what: read.text('what'), due: read.time('due') }, words: `waiting: ${read.text('what')}` }) };
    case 'note': return { title: 'Note', does: 'Note it', fields: [{ id: 'text', label: 'Text', kind: 'long', start: '' }],
      make: (read) => ({ body: { text: read.text('text') }, words: 'a note' }) };
    case 'assembly-absent': return { title: 'An assembly is missing', does: 'It is missing',
      fields: [{ id: 'absent', label: 'Assembly', kind: 'choice', start: view.belief?.assemblies[0]?.id ?? '',
        options: (view.belief?.assemblies ?? []).map((each) => [each.id, each.name] as const) }],
      make: (read) => ({ body: { event: { absent: read.text('absent') } }, words: `missing: ${read.text('absent')}` }) };
    case 'cost-added': return { title: 'A cost of this unit', does: 'Add the cost', fields: [text('what', 'What'), money('amount', 'Amount', '')],
      make: (read) => ({ body: { what: read.text('what'), amount: read.money('amount') }, words: `cost: ${read.text('what')}` }) };
    case 'identified': return { title: 'Serial and condition', does: 'Correct it',
      fields: [{ ...text('serial', 'Serial', true), start: view.unit.serial }, { ...text('condition', 'Condition', true), start: view.unit.condition }],
      make: (read) => ({ body: { ...read.maybe('serial'), ...read.maybe('condition') }, words: 'serial and condition' }) };
    default: return null;
  }
}

/** What is wrong with each field; empty when the form can be recorded. */
export function formProblems(form: Form, values: Values, currency: string): Record<string, string> {
  const problems: Record<string, string> = {};
  for (const field of form.fields) {
    const value = (values[field.id] ?? '').trim();
    if (value === '') {
      if (field.optional !== true) problems[field.id] = 'This has to be given.';
    } else if (field.kind === 'money' && parseMoney(value, currency) === null) {
      problems[field.id] = `An amount in ${currency}, such as ${amountText({ minor: 1250, currency })}.`;
    } else if (field.kind === 'minutes' && !((parseNumber(value) ?? -1) >= 0)) {
      problems[field.id] = 'A number of minutes.';
    } else if (field.kind === 'time' && Number.isNaN(new Date(value).getTime())) {
      problems[field.id] = 'A date and a time.';
    }
  }
  return problems;
}

/** Reads values that formProblems found nothing wrong with. */
export function reader(values: Values, currency: string): Read {
  const plain = (id: string) => (values[id] ?? '').trim();
  return {
    text: plain,
    maybe: (id) => (plain(id) === '' ? {} : { [id]: plain(id) }),
    money: (id) => parseMoney(plain(id), currency) ?? { minor: 0, currency },
    minutes: (id) => {
      const value = parseNumber(plain(id));
      return value === null ? {} : { [id]: value };
    },
    time: (id) => new Date(plain(id)).toISOString(),
  };
}

/** What a closed unit brought, each line with its sign. */
export function broughtLines(view: UnitView): readonly (readonly [string, Money])[] {
  const { money: sums } = view;
  const less = (amount: Money): Money => ({ ...amount, minor: -amount.minor });
  const lines: readonly (readonly [string, Money])[] = [
    ['Income', sums.income], ['Its share of the lot', less(sums.cost_share)], ['Parts', less(sums.parts)], ['Costs', less(sums.costs)],
    ['Fees', less(sums.fees)], ['Postage', less(sums.postage)], ['Refunds', less(sums.refunds)],
  ];
  return lines.filter(([, amount], at) => at < 2 || amount.minor !== 0);
}

export const handsOn = (view: UnitView): string => `${minutes(view.money.minutes)} of hands`;
