/** One profile: everything in it to read in sentences, and to change in forms in the same place. */

import { useEffect, useMemo, useState } from 'preact/hooks';

import { type ProfileView, paths } from '../../api';
import { Failed, Loading, Stale } from '../../components/Hush';
import { when } from '../../lib/format';
import { type SectionId, kLists, kSections, spotOf } from '../../lib/profile-fields';
import { isTable, textOf } from '../../lib/profile-tree';
import { originWords } from '../../lib/profile-words';
import { useKeys } from '../../state/keyboard';
import { ProfileDraft } from '../../state/profile-draft';
import { useResource } from '../../state/resource';
import { showsMoney } from '../../state/settings';
import { DraftBar } from './DraftBar';
import { EditingContext, fieldId } from './editing';
import type { Opened } from './Items';
import { Checks, Device, Faults, Overview, Parts, Repairs, Sheet } from './Sections';
import { TextSection } from './TextSection';

export function Profile({ id }: { id: string }) {
  const { data: view, error, reload } = useResource<ProfileView>(paths.profile(id)).value;
  if (view === null) return error ? <Failed what="profile" error={error} again={reload} /> : <Loading what="the profile" />;
  return (
    <>
      {error && <Stale error={error} again={reload} />}
      <ProfileOf view={view} />
    </>
  );
}

/** Brings the field that a pointer means, or what stands nearest to it, into sight and under the keys. */
function focusOn(pointer: string): void {
  for (let at = pointer; at !== ''; at = at.replace(/(\.[^.[\]]+|\[\d+\])$/, '')) {
    const element = document.getElementById(fieldId(at));
    if (element !== null) {
      element.scrollIntoView({ block: 'center' });
      element.focus();
      return;
    }
    if (!/[.[]/.test(at)) return;
  }
}

function ProfileOf({ view }: { view: ProfileView }) {
  const draft = useMemo(() => new ProfileDraft(view.id, view), [view.id]);
  const [section, setSection] = useState<SectionId>('overview');
  const [opened, open] = useState<Opened | null>(null);
  useEffect(() => () => draft.close(), [draft]);
  useEffect(() => draft.see(view), [view]);
  useKeys({ escape: () => open(null) });
  const tree = draft.tree.value;
  const shown = kSections.filter(([id]) => id !== 'text' || showsMoney());
  const show = (pointer: string) => {
    const spot = spotOf(pointer);
    setSection(spot?.section ?? 'text');
    const list = kLists.find((each) => each === spot?.table);
    if (list !== undefined && spot?.index != null) open({ list, index: spot.index });
    setTimeout(() => focusOn(pointer), 50);
  };
  const device = isTable(tree?.device) ? tree.device : undefined;
  return (
    <div class="stack profile">
      <div class="heading">
        <h1>{textOf(device, 'name', view.name)}</h1>
        <p class="soft">version {view.version}{view.saved && `, saved by ${view.saved.who} ${when(view.saved.time, new Date())}`}
          {view.overrides.advised > 0 && ` · ${view.overrides.against} of ${view.overrides.advised} steps were taken against the advice`}</p>
      </div>
      {/* A line of its own, there before its words are: nothing moves when they come. */}
      <p class="soft">{tree === null ? '\u00a0' : `Numbers: ${originWords(tree)}`}</p>
      <DraftBar draft={draft} view={view} show={show} />
      <nav class="sections" aria-label="Parts of the profile">
        {shown.map(([id, words]) => (
          <button key={id} type="button" class="button" aria-pressed={section === id} onClick={() => setSection(id)}>{words}</button>
        ))}
      </nav>
      {section === 'text' ? <TextSection draft={draft} /> : tree === null
        ? draft.state.value === 'checked'
          ? <p class="panel">The text cannot be read, so there are no forms to show. {showsMoney() && <button type="button" class="linkish" onClick={() => setSection('text')}>Correct the text</button>}</p>
          : draft.state.value === 'away' ? <p class="panel" role="status">The server cannot be reached to read the profile. It is tried again by itself.</p> : <Loading what="the profile" />
        : (
          <EditingContext.Provider value={{ draft, view, tree, problems: draft.problems.value, money: showsMoney(), currency: textOf(device, 'currency', view.currency) }}>
            {section === 'overview' && <Overview go={setSection} />}
            {section === 'faults' && <Faults opened={opened} open={open} />}
            {section === 'checks' && <Checks opened={opened} open={open} />}
            {section === 'repairs' && <Repairs opened={opened} open={open} />}
            {section === 'parts' && <Parts opened={opened} open={open} />}
            {section === 'sheet' && <Sheet opened={opened} open={open} />}
            {section === 'device' && <Device />}
          </EditingContext.Provider>
        )}
    </div>
  );
}
