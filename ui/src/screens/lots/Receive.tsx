import { useState } from 'preact/hooks';

import type { LotView } from '../../api';
import { Button } from '../../components/Button';
import { Choice, Field } from '../../components/Field';
import { receiptBodies, serialList, wholeNumber } from '../../lib/shop';
import { append, newId } from '../../state/journal';
import { say } from '../../state/notices';

/** Numbers units in one go: which line, how many, from which number; serials one below the other. */
export function Receive({ view, close }: { view: LotView; close: () => void }) {
  const open = view.lines.find((line) => line.missing > 0) ?? view.lines[0];
  const [line, setLine] = useState(open?.id ?? '');
  const chosen = view.lines.find((each) => each.id === line);
  const [count, setCount] = useState(String(Math.max(1, chosen?.missing ?? 1)));
  const [first, setFirst] = useState(String(view.next_number));
  const [serials, setSerials] = useState('');
  const [condition, setCondition] = useState('');

  const units = wholeNumber(count, 1);
  const from = wholeNumber(first, 1);
  const scanned = serialList(serials).length;
  const problems = {
    count: units === null || units > 500 ? 'A whole number from 1 to 500.' : undefined,
    first: from === null ? 'The number on the first strip of tape.' : undefined,
    serials: units !== null && scanned > units ? `${scanned} serials for ${units} units.` : undefined,
  };
  const wrong = Object.values(problems).some(Boolean);
  const last = (from ?? 0) + (units ?? 0) - 1;

  const receive = async () => {
    if (wrong || units === null || from === null) return;
    const drafts = receiptBodies(view.lot.id, line, from, units, serials, condition).map((body) => {
      const id = newId();
      return { id, subject: { kind: 'unit' as const, id }, kind: 'unit-received', body: { ...body } };
    });
    const words = units === 1 ? `unit ${from} received` : `units ${from} to ${last} received`;
    if ((await append(drafts, words)) === null) return;
    say({ tone: 'good', text: `Recorded: ${words}. Write the numbers on their tape.` });
    close();
  };

  return (
    <form class="panel stack" aria-label="Receive units" onSubmit={(event) => {
      event.preventDefault();
      void receive();
    }}>
      <h2>Receive units</h2>
      <div class="fields">
        <Choice label="Line of the manifest" value={line} onChange={setLine}
          options={view.lines.map((each) => [each.id, [each.model, each.revision].filter(Boolean).join(', ')] as const)} />
        <Field label="How many" value={count} onInput={setCount} problem={problems.count} focus />
        <Field label="First number" value={first} onInput={setFirst} problem={problems.first} />
        <Field label="What they look like" value={condition} onInput={setCondition} />
      </div>
      <Field label="Serials, one on a line, in the order of the numbers (scan or type; may be left out)" value={serials} onInput={setSerials}
        rows={3} problem={problems.serials} />
      <div class="row">
        <Button submit kind="main">{wrong || units === 1 ? `Receive ${units === 1 && !wrong ? `unit ${from}` : 'units'}` : `Receive units ${from} to ${last}`}</Button>
        <Button onClick={close}>Not now</Button>
      </div>
    </form>
  );
}
