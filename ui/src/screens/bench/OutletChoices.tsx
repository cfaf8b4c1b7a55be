import type { UnitView } from '../../api';
import type { OutletId } from '../../lib/bench';
import { allowedAction } from '../../lib/bench';
import { useKeys } from '../../state/keyboard';
import { showsMoney } from '../../state/settings';
import { Target } from './Target';
import { type FormId, useWork } from './work';

const kChoices: Record<OutletId, readonly (readonly [FormId, string])[]> = {
  'sell-working': [['offered', 'Put it up for sale'], ['sold', 'It is sold'], ['graded', 'Grade it']],
  'sell-as-is': [['offered', 'Put it up for sale'], ['sold', 'It is sold as is']],
  donor: [['parted-out', 'Part it out']],
  scrap: [['scrapped', 'Scrap it']],
};

/** Kinds whose forms are about money; hands do not see them. */
export const kOfMoney: ReadonlySet<string> = new Set<FormId>(['offered', 'sold', 'returned', 'scrapped', 'cost-added']);

/** The first form of a way to stop that this person may fill in now; null for none. */
export function firstForm(view: UnitView, outlet: OutletId): FormId | null {
  const found = kChoices[outlet].find(([form]) => (showsMoney() || !kOfMoney.has(form)) && allowedAction(view, form).allowed);
  return found?.[0] ?? null;
}

/** What ends the work on a unit: each opens its few fields, prefilled. */
export function OutletChoices({ outlet }: { outlet: OutletId }) {
  const { view, openForm, busy } = useWork();
  const choices = kChoices[outlet].filter(([form]) => showsMoney() || !kOfMoney.has(form));
  useKeys({
    choose: (digit) => {
      const form = choices[digit - 1]?.[0];
      if (form !== undefined && allowedAction(view, form).allowed) openForm(form);
    },
  });
  if (choices.length === 0) return <p>The owner records this, as it is about money. Put the unit with the others for sale.</p>;
  return (
    <div class="targets">
      {choices.map(([form, words], at) => {
        const { allowed, why } = allowedAction(view, form);
        return <Target key={form} digit={at + 1} busy={busy} why={allowed ? undefined : why} onPress={() => openForm(form)}>{words}</Target>;
      })}
    </div>
  );
}
