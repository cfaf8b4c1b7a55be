import { Button } from '../../components/Button';
import { useWork } from './work';

/** A finding that fits badly with all the others: said once, quietly, with the two ways out of it. */
export function Surprise() {
  const { view, choose, strike, busy } = useWork();
  const { surprise } = view;
  if (surprise === null || view.unit.closed) return null;
  const { check } = surprise;
  const wait = busy ? 'Wait until the last entry is stored.' : undefined;
  return (
    <section class="surprise" aria-label="A second look">
      <p>{surprise.told} Worth a second look.</p>
      <div class="row">
        {check !== null && <Button slim onClick={() => choose(`check/${check}`)}>Look again</Button>}
        <Button slim kind="plain" why={wait} label={`Strike: ${surprise.words}`} onClick={() => strike(surprise.entry, `strike “${surprise.words}”`)}>Strike it</Button>
      </div>
    </section>
  );
}
