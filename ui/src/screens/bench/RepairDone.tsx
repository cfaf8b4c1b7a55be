import { useState } from 'preact/hooks';

import type { RepairView } from '../../api';
import { ForOwner } from '../../components/Figures';
import { Field } from '../../components/Field';
import { amountText, minutes, number, parseMoney, parseNumber, percent } from '../../lib/format';
import { useKeys } from '../../state/keyboard';
import { plannedMinutes, repairOf } from './record';
import { SupposedNext, WhatIfButton } from './Supposed';
import { Target } from './Target';
import { useWork } from './work';

interface PartRow {
  sku: string;
  count: string;
  price: string;
}

/** A repair: parts and minutes stand as planned and can be changed; one key records it. */
export function RepairDone({ repair }: { repair: RepairView }) {
  const { view, record, busy, whatIf } = useWork();
  const [parts, setParts] = useState<PartRow[]>(() => repair.parts.map((part) => (
    { sku: part.sku, count: number(part.count, 0), price: amountText(part.price) })));
  const [spent, setSpent] = useState(() => plannedMinutes(repair));
  const [problems, setProblems] = useState<Record<string, string>>({});
  const { currency } = view.unit;

  const done = () => {
    if (busy) return;
    const found: Record<string, string> = {};
    const used = parts.flatMap((part, at) => {
      const count = parseNumber(part.count);
      const price = parseMoney(part.price, currency);
      if (count === null || count < 0 || !Number.isInteger(count)) found[`count${at}`] = 'A whole number, 0 when none was used';
      if (price === null) found[`price${at}`] = `An amount in ${currency}`;
      return count && price ? [{ sku: part.sku, count, price }] : [];
    });
    const took = parseNumber(spent);
    if (took === null || took < 0) found.minutes = 'Minutes of hands';
    setProblems(found);
    if (Object.keys(found).length > 0) return;
    const { words, ...entry } = repairOf(repair, took ?? 0, used);
    void record([entry], words);
  };

  const press = () => (whatIf.on ? whatIf.suppose({ repair: repair.id, words: repair.name }) : done());
  useKeys({
    choose: (digit) => digit === 1 && press(), enter: press,
    letter: (letter) => letter === 'i' && whatIf.toggle(),
    minutes: (text) => setSpent(text.replace(/[.,]$/, '')),
  });
  const edit = (at: number, part: Partial<PartRow>) => setParts(parts.map((row, each) => (each === at ? { ...row, ...part } : row)));
  return (
    <div class={whatIf.on ? 'stack what-if' : 'stack'}>
      <div class="targets">
        <Target digit={1} onPress={press} busy={busy}>Done, {minutes(parseNumber(spent) ?? 0)}</Target>
      </div>
      {repair.mends.length > 0 && (
        <p class="small soft">Where it is the fault, this mends {repair.mends.map((mend) => `${mend.name} (${percent(mend.probability)})`).join(', ')}.
          {repair.tries_left < 1 && <b class="bad"> All its tries were used.</b>}</p>
      )}
      <div class="tools">
        <WhatIfButton />
        {!whatIf.on && <span class="minutes-field"><Field label="Counts" kind="amount" unit="min" value={spent} onInput={setSpent} problem={problems.minutes} /></span>}
      </div>
      {whatIf.on && <SupposedNext />}
      {parts.map((part, at) => (
        <div key={part.sku} class="part">
          <b class="grow">{part.sku}</b>
          <Field label="Used" kind="amount" value={part.count} problem={problems[`count${at}`]} onInput={(count) => edit(at, { count })} />
          <ForOwner>
            <Field label="Price of one" kind="amount" unit={currency} value={part.price} problem={problems[`price${at}`]}
              onInput={(price) => edit(at, { price })} />
          </ForOwner>
        </div>
      ))}
    </div>
  );
}
