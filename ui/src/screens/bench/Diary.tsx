import type { DiaryLine } from '../../api';
import { Button } from '../../components/Button';
import { ForOwner, Paid } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { when } from '../../lib/format';
import { useWork } from './work';

/** What happened, newest first. Nothing is erased: a struck line stays, crossed out, with who struck it. */
export function Diary() {
  const { view } = useWork();
  const lines = [...view.diary].reverse();
  return (
    <Panel title="What happened" aside={<Against />}>
      {lines.length === 0 && <p class="soft">Nothing yet.</p>}
      <ol class="hairlines diary">{lines.map((line) => <Line key={line.entry} line={line} />)}</ol>
    </Panel>
  );
}

/** How often the advice was not followed; said quietly, as it is welcome. */
function Against() {
  const { advised, against } = useWork().view.overrides;
  return against === 0 ? null : <span class="small soft">{against} of {advised} {advised === 1 ? 'step' : 'steps'} against the advice</span>;
}

function Line({ line }: { line: DiaryLine }) {
  const { strike, busy } = useWork();
  const now = new Date();
  return (
    <li class={line.struck ? 'line is-struck' : 'line'}>
      <span class="line-when small soft"><time dateTime={line.time}>{when(line.time, now)}</time> {line.who}{line.bench ? `, ${line.bench}` : ''}</span>
      <span class="line-words">{line.struck ? <s>{line.words}</s> : line.words}
        {line.advised && <span class="small soft against">against the advice: “{line.advised}”</span>}</span>
      <span class="line-side">
        {line.money && <ForOwner><Paid money={line.money} /></ForOwner>}
        {line.can_strike && !line.struck && (
          <Button slim kind="plain" why={busy ? 'Wait until the last entry is stored.' : undefined} label={`Strike: ${line.words}`}
            onClick={() => strike(line.entry, `strike “${line.words}”`)}>Strike</Button>
        )}
        {line.struck && line.kind !== 'struck' && (
          <Button slim kind="plain" label={`Put back: ${line.words}`}
            onClick={() => line.struck && strike(line.struck.entry, `put back “${line.words}”`)}>Put back</Button>
        )}
      </span>
      {line.struck && <span class="line-struck small soft">struck by {line.struck.who}, {when(line.struck.time, now)}
        {line.struck.reason !== '' && `: ${line.struck.reason}`}</span>}
    </li>
  );
}
