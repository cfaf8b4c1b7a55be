import type { ComponentChildren } from 'preact';

import { type Money, exactMoney, percent, wholeMoney } from '../lib/format';
import { showsMoney } from '../state/settings';

/** Shown to those who see money. */
export function ForOwner({ children }: { children: ComponentChildren }) {
  return showsMoney() ? <>{children}</> : null;
}

/** Money that was paid or received, to the minor unit; right-aligned. */
export function Paid({ money }: { money: Money }) {
  return <span class="money">{exactMoney(money)}</span>;
}

/** Expected money in whole units, its range below it in smaller type. */
export function Expected({ value, currency, low, high }: { value: number; currency: string; low?: number; high?: number }) {
  return (
    <span class="money">
      {wholeMoney(value, currency)}
      {low !== undefined && high !== undefined && (
        <span class="range">{wholeMoney(low, currency)} to {wholeMoney(high, currency)}</span>
      )}
    </span>
  );
}

/** "about 3 in 4 (76 %)"; the server words the chance. */
export function Chance({ p, words }: { p: number; words: string }) {
  return <span class="chance">{words} <span class="exact">({percent(p)})</span></span>;
}
