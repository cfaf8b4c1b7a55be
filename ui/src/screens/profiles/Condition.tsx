/** A condition: one of these and one of those. */
import { Button } from '../../components/Button';
import { membersOf } from '../../lib/profile-words';
import { type Path, isList } from '../../lib/profile-tree';
import { useEditing } from './editing';
import { Frame } from './Frame';
import { SymbolOptions } from './Plain';

export function Condition({ path, label, empty }: { path: Path; label: string; empty: string }) {
  const { at, set, edit, pointer, said } = useEditing();
  const value = at(path);
  const groups = isList(value) ? value.map(String) : [];
  const take = (index: number) => edit({ edit: 'remove', path: groups.length === 1 ? path : [...path, index] });
  const put = (index: number, members: string[]) => (members.length === 0 ? take(index) : set([...path, index], members.join('|')));
  return (
    <Frame pointer={pointer(path)} label={label} group>
      {() => (
        <div class="condition">
          {groups.length === 0 && <span class="soft">{empty}</span>}
          {groups.map((group, index) => {
            const members = membersOf(group);
            const place = pointer([...path, index]);
            return (
              <div key={index} class="group" id={`at-${place}`} data-at={place} tabIndex={-1} role="group" aria-label={index === 0 ? 'if' : 'and'}>
                {index > 0 && <span class="soft">and</span>}
                {members.map((member, rank) => (
                  <span key={rank} class="member">
                    {rank > 0 && <span class="soft">or</span>}
                    <select aria-label={rank === 0 ? 'fault or history' : 'or fault or history'} value={member}
                      onChange={(event) => put(index, event.currentTarget.value === '' ? members.filter((_, each) => each !== rank) : members.map((old, each) => (each === rank ? event.currentTarget.value : old)))}>
                      <SymbolOptions value={member} empty="– take out –" />
                    </select>
                  </span>
                ))}
                <select class="adds" aria-label="or: another one" value="" onChange={(event) => event.currentTarget.value !== '' && put(index, [...members, event.currentTarget.value])}>
                  <SymbolOptions value="" empty="or …" />
                </select>
                {said(place).map(({ what }) => <span key={what} class="problem">{what}</span>)}
              </div>
            );
          })}
          <div class="row">
            <select class="adds" aria-label={groups.length === 0 ? 'if' : 'and: another one'} value=""
              onChange={(event) => event.currentTarget.value !== '' && edit({ edit: 'insert', path, value: event.currentTarget.value })}>
              <SymbolOptions value="" empty={groups.length === 0 ? 'if …' : 'and …'} />
            </select>
            {groups.length > 1 && <Button slim kind="plain" onClick={() => edit({ edit: 'remove', path })}>No condition</Button>}
          </div>
        </div>
      )}
    </Frame>
  );
}
