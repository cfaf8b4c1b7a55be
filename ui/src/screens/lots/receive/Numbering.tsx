import { useState } from 'preact/hooks';

import type { LotView } from '../../../api';
import { Button } from '../../../components/Button';
import { Choice, Field } from '../../../components/Field';
import { receiptBodies, serialList, wholeNumber } from '../../../lib/shop';
import { append, newId } from '../../../state/journal';
import { say } from '../../../state/notices';

const kMostAtOnce = 500;

/** Numbers units in one go: which line, how many, from which number. What each of them is comes after, unit by unit;
 * a list of serials that is at hand can be pasted here. `numbered`: the numbers that were given out. */
export function Numbering({ view, numbered, close }: { view: LotView; numbered: (first: number, last: number) => void; close: () => void }) {
  const open = view.lines.find((line) => line.missing > 0) ?? view.lines[0];
  const [line, setLine] = useState(open?.id ?? '');
  const missing = (id: string) => Math.max(1, view.lines.find((each) => each.id === id)?.missing ?? 1);
  const [typedCount, setCount] = useState<string | null>(null);
  const [first, setFirst] = useState(String(view.next_number));
  const [serials, setSerials] = useState('');
  const [condition, setCondition] = useState('');
  const [busy, setBusy] = useState(false);

  const count = typedCount ?? String(missing(line));
  const units = wholeNumber(count, 1);
  const from = wholeNumber(first, 1);
  const scanned = serialList(serials).length;
  const problems = {
    count: units === null || units > kMostAtOnce ? `A whole number from 1 to ${kMostAtOnce}.` : undefined,
    first: from === null ? 'The number on the first strip of tape.' : undefined,
    serials: units !== null && scanned > units ? `${scanned} serials for ${units} units.` : undefined,
  };
  const wrong = Object.values(problems).some(Boolean);
  const last = (from ?? 0) + (units ?? 0) - 1;

  const receive = async () => {
    if (busy || wrong || units === null || from === null) return;
    const drafts = receiptBodies(view.lot.id, line, from, units, serials, condition).map((body) => {
      const id = newId();
      return { id, subject: { kind: 'unit' as const, id }, kind: 'unit-received', body: { ...body } };
    });
    const words = units === 1 ? `unit ${from} received` : `units ${from} to ${last} received`;
    setBusy(true);
    const accepted = await append(drafts, words);
    setBusy(false);
    if (accepted === null) return;
    say({ tone: 'good', text: `Recorded: ${words}. Write the numbers on their tape.` });
    if (scanned === units) close();
    else numbered(from, last);
  };

  return (
    <form class="panel stack" aria-label="Receive units" aria-busy={busy} onSubmit={(event) => {
      event.preventDefault();
      void receive();
    }}>
      <h2>Receive units: number them</h2>
      <div class="fields">
        <Choice label="Line of the manifest" value={line} onChange={setLine}
          options={view.lines.map((each) => [each.id, lineWords(each)] as const)} />
        <Field label="How many" value={count} onInput={setCount} problem={problems.count} focus />
        <Field label="First number" value={first} onInput={setFirst} problem={problems.first} />
      </div>
      <details>
        <summary>A list of serials, or the same look for all</summary>
        <div class="stack after-summary">
          <Field label="Serials, one on a line, in the order of the numbers" value={serials} onInput={setSerials} rows={3} problem={problems.serials} />
          <Field label="What they look like" value={condition} onInput={setCondition} />
        </div>
      </details>
      <div class="row">
        <Button submit kind="main">{wrong || units === 1 ? `Receive ${units === 1 && !wrong ? `unit ${from}` : 'units'}` : `Receive units ${from} to ${last}`}</Button>
        <Button onClick={close}>Not now</Button>
      </div>
    </form>
  );
}

function lineWords(line: LotView['lines'][number]): string {
  const name = [line.model, line.revision].filter(Boolean).join(', ');
  return line.missing > 0 ? `${name} (${line.missing} to come)` : name;
}
