import type { ComponentChildren } from 'preact';

import { keys } from '../../state/keyboard';

/** A large target with its digit. While the digit is held (it may still become a unit's number), it fills. `marked`: a pedal
 * stands on it. `supposed`: a what-if speaks of it. */
export function Target({ digit, onPress, children, aside = '', then = '', mark = '', busy = false, quiet = false, marked = false, supposed = false, why }: {
  digit: number | null; onPress: () => void; children: ComponentChildren; aside?: string; then?: string; mark?: string;
  busy?: boolean; quiet?: boolean; marked?: boolean; supposed?: boolean; why?: string | undefined;
}) {
  const armed = digit !== null && keys.value.typed === String(digit);
  const off = busy || why !== undefined;
  const kind = ['target', armed && 'armed', quiet && 'quiet', marked && 'marked', supposed && 'supposed-one'].filter(Boolean).join(' ');
  return (
    <button type="button" class={kind} aria-disabled={off || undefined}
      {...(why === undefined ? {} : { title: why })} onClick={off ? undefined : onPress}>
      <span class="digit" aria-hidden="true">{digit ?? ''}</span>
      <span class="grow">
        <span class="what">{children}{marked && <span class="unseen">, marked</span>}{supposed && <span class="unseen">, supposed</span>}</span>
        {(aside !== '' || mark !== '' || why !== undefined) && (
          <span class="aside">{[why, aside, mark].filter(Boolean).join(' · ')}</span>
        )}
        {then !== '' && <span class="aside then" title={`likely next: ${then}`}>likely next: {then}</span>}
      </span>
    </button>
  );
}
