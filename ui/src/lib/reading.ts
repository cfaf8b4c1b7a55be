/** A reading typed with its unit: "0.412", "4.7k", "412.m", "0.2V". Pure. */
import { parseNumber } from './format';

const kPrefixes: Readonly<Record<string, number>> = { u: 1e-6, µ: 1e-6, m: 1e-3, '': 1, k: 1e3, M: 1e6 };
/** Signs that a keyboard has for a unit. */
const kSigns: Readonly<Record<string, readonly string[]>> = { ohm: ['o', 'r', 'ohm', 'ω', 'ohms'], V: ['v'], A: ['a'], '%': ['%'], '°C': ['c'], min: ['min'], mm: ['mm'] };

/** The value in the check's own unit, or what is wrong with the text. A prefix is read only where the unit takes one. */
export function parseReading(text: string, unit: string): { value: number } | { problem: string } {
  const parts = /^(\d+[.,]?\d*|[.,]\d+)\s*(.*)$/.exec(text.trim());
  const value = parts?.[1] === undefined ? null : parseNumber(parts[1].replace(/[.,]$/, ''));
  if (parts === null || value === null) return { problem: 'Type the number that you read, such as 0.412.' };
  const factor = factorOf(parts[2] ?? '', unit);
  return factor === null ? { problem: `“${parts[2] ?? ''}” is no unit of this check: it is read in ${unit}.` } : { value: rounded(value * factor) };
}

function factorOf(suffix: string, unit: string): number | null {
  if (suffix === '') return 1;
  const signs = [unit.toLowerCase(), ...(kSigns[unit] ?? [])];
  if (signs.includes(suffix.toLowerCase())) return 1;
  const scales = unit === 'ohm' || unit === 'V' || unit === 'A';
  const prefix = suffix[0] ?? '';
  const rest = suffix.slice(1).toLowerCase();
  return scales && prefix in kPrefixes && (rest === '' || signs.includes(rest)) ? kPrefixes[prefix] ?? null : null;
}

/** Without what the multiplication by a power of ten adds. */
const rounded = (value: number) => Number(value.toPrecision(12));
