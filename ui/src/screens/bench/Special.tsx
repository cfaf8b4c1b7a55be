/** Units that need something else than a next step. */
import type { UnitView } from '../../api';
import { Button } from '../../components/Button';
import { ForOwner, Paid } from '../../components/Figures';
import { allowedAction } from '../../lib/bench';
import { pathOf } from '../../lib/route';
import { broughtLines, handsOn } from '../../lib/forms';
import { sentence } from '../../lib/problem';
import { fromNow, when } from '../../lib/format';
import { useKeys } from '../../state/keyboard';
import { Target } from './Target';
import { useWork } from './work';

/** Readings that cannot all be true under the profile: strike one of them, or go on with small chances. One key each. */
export function Conflict() {
  const { view, strike, record, busy } = useWork();
  const { allowed, why } = view.conflict_chance === ''
    ? { allowed: false, why: 'Not even with small chances: they exclude each other.' } : allowedAction(view, 'zeros-small');
  const goOn = () => void record([{ kind: 'zeros-small', body: {} }], 'going on with small chances');
  const strikeIt = (clash: UnitView['conflict'][number]) => strike(clash.entry, `strike “${clash.words}”`);
  useKeys({
    choose: (digit) => {
      const clash = view.conflict[digit - 1];
      if (busy || digit === 0) return;
      if (clash !== undefined) strikeIt(clash);
      else if (digit === view.conflict.length + 1 && allowed) goOn();
    },
  });
  return (
    <section class="do conflict" role="alert" aria-label="Readings that clash">
      <h2 class="do-name">These readings cannot all be true</h2>
      <p class="do-why">Nothing that the profile knows gives {view.conflict.length === 2 ? 'both' : `all ${view.conflict.length} of them`}{view.conflict_chance === '' ? '' : `; with small chances where it says never they come together ${view.conflict_chance}`}.
        Strike the one that you trust least, or go on where you trust them all.</p>
      <div class="targets">
        {view.conflict.map((clash, at) => (
          <Target key={clash.entry} digit={at < 9 ? at + 1 : null} busy={busy} aside={clash.leaves} onPress={() => strikeIt(clash)}>
            Strike “{clash.words}”
          </Target>
        ))}
        <Target digit={view.conflict.length < 9 ? view.conflict.length + 1 : null} busy={busy} quiet why={allowed ? undefined : why} onPress={goOn}
          aside="what the profile calls impossible counts as hardly possible">They are all true</Target>
      </div>
      {view.unit.profile !== null && <p class="small soft">Where it is the profile that is wrong: <a href={pathOf('profiles', view.unit.profile)}>look at its rules</a>.</p>}
    </section>
  );
}

/** A unit that waits, is held aside or put aside: why, and how it comes back. */
export function Standing() {
  const { view, record, openForm } = useWork();
  const { unit } = view;
  const now = new Date();
  if (unit.waiting) {
    return (
      <section class="standing row spread" aria-label="It waits">
        <span><b>It waits.</b> Due {when(unit.waiting.due, now)} ({fromNow(unit.waiting.due, now)}).</span>
        <Button onClick={() => void record([{ kind: 'wait-ended', body: {} }], 'waiting is over')}>Waiting is over</Button>
      </section>
    );
  }
  if (unit.held) {
    return (
      <section class="standing row spread" aria-label="Held aside">
        <span><b class="bad">{sentence(`It must not be sold: ${unit.held.reason}`)}</b>{' '}
          Checked: {unit.held.check}, {unit.held.date}{unit.held.reference !== '' && `, ${unit.held.reference}`}. Check again before a sale.</span>
        <Button onClick={() => openForm('released')}>Release it</Button>
      </section>
    );
  }
  if (unit.state.id !== 'put-aside') return null;
  return (
    <section class="standing row spread" aria-label="Put aside">
      <b>It is put aside.</b>
      <Button onClick={() => void record([{ kind: 'taken-up', body: {} }], 'taken up')}>Take it up</Button>
    </section>
  );
}

export function Closed() {
  const { view } = useWork();
  return (
    <section class="do" aria-label="What it brought">
      <p class="do-kicker">Closed</p>
      <h2 class="do-name">{sentence(view.unit.state.words).replace(/\.$/, '')}</h2>
      <p>{handsOn(view)}. To work on it again, take it back or strike what closed it.</p>
      <ForOwner>
        <table class="sums">
          <tbody>
            {broughtLines(view).map(([name, money]) => <tr key={name}><th scope="row">{name}</th><td class="num"><Paid money={money} /></td></tr>)}
            <tr class="total"><th scope="row">It brought</th><td class="num"><Paid money={view.money.realised} /></td></tr>
          </tbody>
        </table>
      </ForOwner>
    </section>
  );
}

export function NoModel() {
  const { view } = useWork();
  return (
    <section class="do" aria-label="What to do">
      <h2 class="do-name">Nothing is known of this model yet</h2>
      <p>{view.advice_problem ?? `The lot’s line “${view.unit.model}” has no device profile.`}</p>
      <p>It can be noted about, held aside, sold or scrapped as it is. Device profiles stand under <a href="/profiles">Profiles</a>;
        its line is one of <a href={pathOf('lots', view.unit.lot)}>{view.unit.lot_name}</a>.</p>
    </section>
  );
}
