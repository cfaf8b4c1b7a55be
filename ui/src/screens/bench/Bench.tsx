import { type UnitView, paths } from '../../api';
import { Failed, Loading, Stale } from '../../components/Hush';
import { Tape } from '../../components/Tape';
import { useResource } from '../../state/resource';

export function Bench({ id }: { id: string }) {
  const resource = useResource<UnitView>(paths.unit(id), (view) => ({ kind: 'unit', id: view.unit.id }));
  const { data: view, error, reload } = resource.value;
  if (view === null) return error ? <Failed what="unit" error={error} again={reload} /> : <Loading what="the unit" />;
  return (
    <div>
      {error && <Stale error={error} again={reload} />}
      <Tape number={view.unit.number} name={view.unit.model} state={view.unit.state} large here />
    </div>
  );
}
