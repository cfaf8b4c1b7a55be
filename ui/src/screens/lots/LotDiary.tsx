import { useState } from 'preact/hooks';

import type { LotView } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { ForOwner, Paid } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { parseMoney, when } from '../../lib/format';
import { append, strike } from '../../state/journal';

/** What happened to the lot as a whole: its purchase, added costs, notes. */
export function LotDiary({ view }: { view: LotView }) {
  const subject = { kind: 'lot' as const, id: view.lot.id };
  const now = new Date();
  return (
    <Panel title="What happened to the lot">
      <AddCost subject={subject} currency={view.lot.price.currency} />
      <ol class="diary-plain hairlines">
        {[...view.diary].reverse().map((line) => (
          <li key={line.entry} class={line.struck === null ? '' : 'is-struck'}>
            <div>
              <span class="said">{line.words}</span>
              {line.money != null && <ForOwner> <Paid money={line.money} /></ForOwner>}
              <div class="small soft">{line.who}, {when(line.time, now)}
                {line.struck !== null && ` · struck by ${line.struck.who}, ${when(line.struck.time, now)}${line.struck.reason ? `: ${line.struck.reason}` : ''}`}</div>
            </div>
            {line.can_strike && line.struck === null && (
              <Button slim kind="plain" label={`Strike: ${line.words}`} onClick={() => void strike(subject, line.entry, `strike “${line.words}”`)}>Strike</Button>
            )}
          </li>
        ))}
      </ol>
    </Panel>
  );
}

function AddCost({ subject, currency }: { subject: { kind: 'lot'; id: string }; currency: string }) {
  const [what, setWhat] = useState('');
  const [typed, setTyped] = useState('');
  const [tried, setTried] = useState(false);
  const amount = parseMoney(typed, currency);
  const problems = {
    what: what.trim() === '' ? 'What it was for.' : undefined,
    amount: amount === null ? 'An amount such as 12.50.' : undefined,
  };
  const add = async () => {
    setTried(true);
    if (problems.what || amount === null) return;
    if ((await append([{ subject, kind: 'cost-added', body: { what: what.trim(), amount } }], `cost of ${what.trim()}`)) === null) return;
    setWhat('');
    setTyped('');
    setTried(false);
  };
  return (
    <form onSubmit={(event) => {
      event.preventDefault();
      void add();
    }}>
      <div class="fields">
        <Field label="A cost of the whole lot" value={what} onInput={setWhat} problem={tried ? problems.what : undefined} />
        <Field label="Amount" kind="amount" unit={currency} value={typed} onInput={setTyped} problem={tried ? problems.amount : undefined} />
        <div class="field"><span class="label" aria-hidden="true">&nbsp;</span><Button submit>Add the cost</Button></div>
      </div>
    </form>
  );
}
