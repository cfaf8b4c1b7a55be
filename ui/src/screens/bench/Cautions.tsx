import { useState } from 'preact/hooks';

import { Button } from '../../components/Button';
import { isGateCaution } from '../../lib/bench';
import { cautionWasRead, markCautionsRead } from '../../state/settings';

/** Cautions stand open once a day for each person; swelling, wet and mains every time. */
export function Cautions({ texts }: { texts: readonly string[] }) {
  const [, redraw] = useState(0);
  const gates = texts.filter(isGateCaution);
  const others = texts.filter((text) => !isGateCaution(text));
  const fresh = others.filter((text) => !cautionWasRead(text));
  const read = others.filter((text) => cautionWasRead(text));
  if (texts.length === 0) return null;
  return (
    <div class="cautions" role="note" aria-label="Cautions">
      {[...gates, ...fresh].map((text, at) => (
        <p key={text} class="caution"><Warning />
          <span>{text}{at + 1 === gates.length + fresh.length && fresh.length > 0 && (
            <Button slim kind="plain" onClick={() => (markCautionsRead(fresh), redraw((n) => n + 1))}>Read for today</Button>
          )}</span></p>
      ))}
      {read.length > 0 && (
        <details class="small soft">
          <summary>{read.length === 1 ? '1 caution' : `${read.length} cautions`}, read today</summary>
          {read.map((text) => <p key={text}>{text}</p>)}
        </details>
      )}
    </div>
  );
}

export function Warning() {
  return (
    <svg class="shape" width="20" height="20" viewBox="0 0 20 20" aria-hidden="true">
      <path d="M10 2 18.5 17.5h-17zM10 8v4.5M10 14.2v1.6" fill="none" stroke="currentColor" stroke-width="1.7" stroke-linejoin="round" />
    </svg>
  );
}
