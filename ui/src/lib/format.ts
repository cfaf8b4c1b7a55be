/** Numbers, money, chances and times as people read them. Pure; the language is English, the figures plain. */

export interface Money {
  minor: number;
  currency: string;
}

const kThin = '\u202f';
const kMinus = '\u2212';

function grouped(digits: string): string {
  return digits.replace(/\B(?=(\d{3})+(?!\d))/g, kThin);
}

/** 1234.5 → "1 234.5": at most `digits` decimals, none that only say zero. */
export function number(value: number, digits = 1): string {
  if (!Number.isFinite(value)) return '–';
  const [whole = '0', part] = Math.abs(value).toFixed(digits).split('.');
  const tail = part?.replace(/0+$/, '') ?? '';
  const sign = value < 0 && (Number(whole) !== 0 || tail !== '') ? kMinus : '';
  return sign + grouped(whole) + (tail ? `.${tail}` : '');
}

/** How many decimals a currency's minor unit has (ISO 4217; two where the browser does not know it). */
export function minorDigits(currency: string): number {
  try {
    return new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ?? 2;
  } catch {
    return 2;
  }
}

/** Paid or received money to the last minor unit: "−1 250.00 USD". */
export function exactMoney(money: Money): string {
  const digits = minorDigits(money.currency);
  const [whole = '0', part] = (Math.abs(money.minor) / 10 ** digits).toFixed(digits).split('.');
  return `${money.minor < 0 ? kMinus : ''}${grouped(whole)}${part ? `.${part}` : ''} ${money.currency}`;
}

/** Expected money in whole units of its currency: "71 USD". */
export function wholeMoney(value: number, currency: string): string {
  const rounded = Math.round(value);
  return `${rounded < 0 ? kMinus : ''}${grouped(String(Math.abs(rounded)))} ${currency}`;
}

/** A typed amount ("12.5", "12,50", "1 200") as minor units; null when it is no amount. */
export function parseMoney(text: string, currency: string): Money | null {
  const digits = minorDigits(currency);
  const plain = text.trim().replace(/[\s\u202f\u00a0]/g, '').replace(kMinus, '-').replace(',', '.');
  if (!/^-?\d+(\.\d*)?$/.test(plain) && !/^-?\.\d+$/.test(plain)) return null;
  const minor = Number(plain) * 10 ** digits;
  const whole = Math.round(minor);
  return Math.abs(whole - minor) < 1e-6 && Number.isSafeInteger(whole) ? { minor: whole, currency } : null;
}

/** A typed number ("4,12" or "4.12"); null when it is none. */
export function parseNumber(text: string): number | null {
  const plain = text.trim().replace(/[\s\u202f\u00a0]/g, '').replace(kMinus, '-').replace(',', '.');
  return /^-?(\d+(\.\d*)?|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** What a field shows for an amount, so that parseMoney reads it back: "12.50". */
export function amountText(money: Money): string {
  return (money.minor / 10 ** minorDigits(money.currency)).toFixed(minorDigits(money.currency));
}

/** 1.5 → "1.5 min", 75 → "1 h 15 min", 1440 → "24 h". */
export function minutes(value: number): string {
  if (!(value >= 60)) return `${number(value, value < 10 ? 1 : 0)} min`;
  const whole = Math.round(value);
  const rest = whole % 60;
  return rest === 0 ? `${number(Math.floor(whole / 60), 0)} h` : `${number(Math.floor(whole / 60), 0)} h ${rest} min`;
}

/** 95 → "1:35", 3725 → "1:02:05": seconds of a log. */
export function clock(seconds: number): string {
  const whole = Math.round(seconds);
  const two = (value: number) => String(value).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const rest = `${hours > 0 ? two(Math.floor((whole % 3600) / 60)) : Math.floor(whole / 60)}:${two(whole % 60)}`;
  return hours > 0 ? `${hours}:${rest}` : rest;
}

/** The exact percentage, with a decimal only where it tells something, as the server words it (src/base/words.h): "76 %", "3.4 %". */
export function percent(probability: number): string {
  const value = probability * 100;
  if (value > 0 && value < 0.1) return '<0.1 %';
  if (value < 100 && value > 99.9) return '>99.9 %';
  return `${number(value, value < 10 || value > 99 ? 1 : 0)} %`;
}

/** "09:14" today, "24 Nov 09:14" this year, "24 Nov 2025 09:14" before. */
export function when(time: string, now: Date): string {
  const at = new Date(time);
  if (Number.isNaN(at.getTime())) return time;
  const hours = at.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  if (at.toDateString() === now.toDateString()) return hours;
  const day = at.toLocaleDateString('en-GB', at.getFullYear() === now.getFullYear()
    ? { day: 'numeric', month: 'short' } : { day: 'numeric', month: 'short', year: 'numeric' });
  return `${day} ${hours}`;
}

/** How long until (or since) a time: "in 2 h 10 min", "12 min ago". */
export function fromNow(time: string, now: Date): string {
  const gap = (new Date(time).getTime() - now.getTime()) / 60_000;
  if (Number.isNaN(gap)) return '';
  return gap >= 0 ? `in ${minutes(Math.max(1, Math.round(gap)))}` : `${minutes(Math.max(1, Math.round(-gap)))} ago`;
}
