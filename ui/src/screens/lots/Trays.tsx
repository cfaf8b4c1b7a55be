import { Component } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

import type { LotView, Tray } from '../../api';
import { Button } from '../../components/Button';
import { Expected, ForOwner, Paid } from '../../components/Figures';
import { Panel } from '../../components/Panel';
import { Tally } from '../../components/Tally';
import { Tape } from '../../components/Tape';
import { minutes } from '../../lib/format';
import { traysShown } from '../../lib/shop';

/** Trays drawn at once and added when the end comes into sight: a lot of 500 stays quick. */
const kStep = 48;

/** The lot's units as numbered strips of tape, those of one state where one is chosen. */
export function Trays({ view }: { view: LotView }) {
  const [state, setState] = useState<string | null>(null);
  const [text, setText] = useState('');
  const [shown, setShown] = useState(kStep);
  const units = traysShown(view.units, state, text);
  const part = units.slice(0, shown);
  const choose = (next: string | null) => {
    setState(next);
    setShown(kStep);
  };
  return (
    <Panel title={view.units.length === 1 ? '1 unit' : `${view.units.length} units`} aside={<Tally tally={view.tally} chosen={state} onChoose={choose} />}>
      {view.units.length === 0 && <p>Nothing received yet. Receive the units: each gets a number for its strip of tape.</p>}
      {view.units.length > kStep && (
        <div class="row trays-search">
          <label for="trays-search" class="soft">Number or serial</label>
          <input id="trays-search" class="input" value={text} autocomplete="off" onInput={(event) => setText(event.currentTarget.value)} />
          {units.length > part.length && <Button onClick={() => setShown(units.length)}>Show all {units.length}</Button>}
        </div>
      )}
      <ul class="trays">{part.map((tray) => <li key={tray.id}><TrayCard tray={tray} currency={view.money.currency} /></li>)}</ul>
      {view.units.length > 0 && units.length === 0 && <p class="soft">No unit of this lot bears that number, serial or state.</p>}
      {units.length > part.length && <More key={part.length} shown={part.length} all={units.length} grow={() => setShown(shown + kStep)} />}
    </Panel>
  );
}

/** Adds trays when the end of those that are drawn comes near. */
function More({ shown, all, grow }: { shown: number; all: number; grow: () => void }) {
  const here = useRef<HTMLParagraphElement>(null);
  useEffect(() => {
    if (here.current === null) return;
    const watch = new IntersectionObserver((seen) => seen.some((each) => each.isIntersecting) && grow(), { rootMargin: '600px' });
    watch.observe(here.current);
    return () => watch.disconnect();
  }, []);
  return <p class="more soft" ref={here}>{shown} of {all}; the others come when you scroll.</p>;
}

interface CardProps {
  tray: Tray;
  currency: string;
}

/** Drawn anew only when something about its unit changed. */
class TrayCard extends Component<CardProps> {
  override shouldComponentUpdate(next: CardProps): boolean {
    return next.currency !== this.props.currency || JSON.stringify(next.tray) !== JSON.stringify(this.props.tray);
  }

  override render({ tray, currency }: CardProps) {
    const next = tray.next;
    return (
      <div class="tray">
        <Tape number={tray.number} name={tray.name} state={tray.state} />
        <div class="tray-line">
          <span class="grow">
            {tray.pending === true && <span class="soft">being worked out</span>}
            {next !== null && <>{next.name}, {minutes(next.minutes)}{next.wait_minutes > 0 && ` and ${minutes(next.wait_minutes)} of waiting`}</>}
            {tray.likely != null && <span class="soft"> · {tray.likely}</span>}
          </span>
          <ForOwner>
            {tray.expected !== null && <span class="sum"><span class="soft">expected</span> <Expected value={tray.expected} currency={currency} /></span>}
            {tray.realised != null && <span class="sum"><span class="soft">brought</span> <Paid money={tray.realised} /></span>}
          </ForOwner>
        </div>
      </div>
    );
  }
}
