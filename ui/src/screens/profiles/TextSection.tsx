/** The profile's text itself: read, taken out as a file, replaced by one, changed by hand. */
import { Button } from '../../components/Button';
import { Panel } from '../../components/Panel';
import type { ProfileDraft } from '../../state/profile-draft';

export function TextSection({ draft }: { draft: ProfileDraft }) {
  const text = draft.text.value;
  const choose = async (file: File | undefined) => {
    if (file !== undefined) draft.setText(await file.text());
  };
  const fetchOut = () => {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([text], { type: 'application/toml' }));
    link.download = `${draft.id}.toml`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  };
  return (
    <Panel title="The profile as text" aside={<Button slim onClick={fetchOut}>Take out as a file</Button>}>
      <div class="stack">
        <p class="soft">Forms change only their own place in it: comments and order stay. It is TOML, as described in docs/profile-format.md.</p>
        <div class="field">
          <label for="profile-file">Replace it by a file</label>
          <input id="profile-file" type="file" accept=".toml,text/plain" onChange={(event) => void choose(event.currentTarget.files?.[0])} />
        </div>
        <div class="field">
          <label for="profile-toml">Text</label>
          <textarea id="profile-toml" class="toml" spellcheck={false} value={text} onInput={(event) => draft.setText(event.currentTarget.value)} />
        </div>
      </div>
    </Panel>
  );
}
