/** A profile while it is being changed: every edit is made here at once, and by the server in the profile's text. Kept in this browser
 * until it is saved as a new version or dropped. */
import { type Signal, signal } from '@preact/signals';

import { type ProfileDraft as Answer, type ProfileList, type ProfileView, editProfile, get, paths } from '../api';
import { ApiError } from '../lib/problem';
import { type Edit, type Table, edited, isTable, textOf, withEdit } from '../lib/profile-tree';
import { append } from './journal';
import { say } from './notices';

const kPauseMs = 250;
const kRetryMs = 3000;
const kKey = (id: string) => `lotwright.profile-draft.${id}`;

export type Problem = Answer['problems'][number];
type Base = { hash: string; version: number; toml: string };

/** What is kept of a draft: the text with the first `made` of its edits, or with all but the `waiting` ones when the text itself was
 * changed (`edits` null), so that single edits since the base are no longer known. */
interface Kept { base: Base; text: string; edits: Edit[] | null; made: number; waiting: Edit[] }

function readKept(id: string): Kept | null {
  try {
    return JSON.parse(localStorage.getItem(kKey(id)) ?? 'null') as Kept | null;
  } catch {
    return null;
  }
}

const baseOf = ({ hash, version, toml }: ProfileView): Base => ({ hash, version, toml });

export class ProfileDraft {
  readonly tree: Signal<Table | null> = signal(null);
  readonly text = signal('');
  readonly problems = signal<Problem[]>([]);
  readonly ok = signal(true);
  /** checking: the server has not yet said what it thinks of the last edit. away: it cannot be reached. */
  readonly state = signal<'checking' | 'checked' | 'away'>('checking');
  readonly changes = signal(0);
  readonly base: Signal<Base>;
  /** The version in force, when it is not the one that this draft changes. */
  readonly newer = signal<ProfileView | null>(null);
  /** What is typed in fields and is no value yet, by pointer; nothing is saved meanwhile. */
  readonly unread = signal<Readonly<Record<string, string>>>({});
  /** It was kept by this browser when the screen was opened. */
  fromBefore: boolean;
  readonly byText = signal(false);

  private edits: Edit[] | null = [];
  /** Edits after the text itself was changed by hand: only until they are in the text. */
  private waiting: Edit[] = [];
  /** Edits that the text holds already, and those that are on their way. */
  private made = 0;
  private sent = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private gone = false;

  constructor(readonly id: string, view: ProfileView) {
    const kept = readKept(id);
    this.fromBefore = kept !== null;
    this.base = signal(kept?.base ?? baseOf(view));
    this.text.value = kept?.text ?? view.toml;
    this.edits = kept === null ? [] : kept.edits;
    this.waiting = kept?.waiting ?? [];
    this.made = this.sent = kept?.made ?? 0;
    this.count();
    this.see(view);
    void this.send();
  }

  close(): void {
    this.gone = true;
    clearTimeout(this.timer);
  }

  /** The version in force was read anew. */
  see(view: ProfileView): void {
    if (view.toml === this.base.value.toml) {
      this.base.value = baseOf(view);
      this.newer.value = null;
    } else if (this.changes.value > 0) {
      this.newer.value = view;
    } else {
      this.begin(view);
    }
  }

  edit(...edits: Edit[]): void {
    let tree = this.tree.value;
    for (const next of edits) {
      const after = tree === null ? null : edited(tree, next);
      if (after === null) return;
      tree = after;
      this.edits = this.edits === null ? null : withEdit(this.edits, next, this.sent);
      if (this.edits === null) this.waiting.push(next);
    }
    this.tree.value = tree;
    this.changed();
  }

  setText(text: string): void {
    this.text.value = text;
    this.edits = null;
    this.waiting = [];
    this.byText.value = true;
    this.unread.value = {};
    this.changed();
  }

  setUnread(pointer: string, words: string | null): void {
    const { [pointer]: _, ...rest } = this.unread.value;
    this.unread.value = words === null ? rest : { ...rest, [pointer]: words };
  }

  /** Takes the last edit back. */
  async undo(): Promise<void> {
    if (this.edits === null || this.edits.length === 0) return;
    await this.remake(this.base.value, this.edits.slice(0, -1));
  }

  drop(view: ProfileView): void {
    this.begin(this.newer.value ?? view);
  }

  /** Makes the same edits in the version in force. False: one of them has no place there any more. */
  async carryOver(): Promise<boolean> {
    const view = this.newer.value;
    if (view === null || this.edits === null) return false;
    const done = await this.remake(baseOf(view), this.edits);
    if (done) this.newer.value = null;
    return done;
  }

  /** Goes on with this text as it is; the version in force is replaced by the next save. */
  keepMine(): void {
    if (this.newer.value === null) return;
    this.base.value = baseOf(this.newer.value);
    this.newer.value = null;
    this.edits = null;
    this.byText.value = true;
    this.keep();
  }

  get mayCarryOver(): boolean {
    return this.edits !== null;
  }

  /** The id that the text gives; another than this profile's means a profile of its own. */
  get ownId(): string {
    const device = this.tree.value?.device;
    return isTable(device) ? textOf(device, 'id', this.id) : this.id;
  }

  /** Saves it as a new version, or under another id as a profile of its own. */
  async save(): Promise<boolean> {
    const id = this.ownId;
    const text = this.text.value;
    if (id !== this.id) return this.saveCopy(id, text);
    const saved = this.edits?.length ?? null;
    const words = `profile “${id}” saved as a new version`;
    const taken = await append([{ subject: { kind: 'profile', id }, kind: 'profile-saved',
      body: { toml: text, based_on: this.base.value.hash } }], words);
    if (taken === null) return false;
    say({ tone: 'good', text: `Recorded: ${words}.` });
    // The view that comes next has this text; what was changed while it was on its way goes on from it.
    this.base.value = { hash: '', version: this.base.value.version + 1, toml: text };
    if (this.edits !== null && saved !== null) {
      this.edits = this.edits.slice(saved);
      this.made -= saved;
      this.sent -= saved;
    } else if (this.text.value === text && this.waiting.length === 0) {
      this.edits = [];
      this.made = this.sent = 0;
    }
    this.fromBefore = false;
    this.count();
    this.keep();
    return true;
  }

  private async saveCopy(id: string, text: string): Promise<boolean> {
    const words = `profile “${id}” saved as one of its own`;
    const known = await get<ProfileList>(paths.profiles).catch(() => null);
    if (known === null || known.profiles.some((profile) => profile.id === id)) {
      say({ tone: 'bad', text: known === null ? 'Not saved: the server cannot be reached.' : `Not saved: there is a profile “${id}” already. Choose another id.` });
      return false;
    }
    const taken = await append([{ subject: { kind: 'profile', id }, kind: 'profile-saved', body: { toml: text } }], words);
    if (taken === null) return false;
    say({ tone: 'good', text: `Recorded: ${words}. “${this.id}” is as it was.` });
    this.edits = [];
    this.changes.value = 0;
    this.forget();
    return true;
  }

  private begin(view: ProfileView): void {
    clearTimeout(this.timer);
    this.fromBefore = false;
    this.base.value = baseOf(view);
    this.text.value = view.toml;
    this.edits = [];
    this.waiting = [];
    this.made = this.sent = 0;
    this.byText.value = false;
    this.newer.value = null;
    this.unread.value = {};
    this.count();
    this.forget();
    void this.send();
  }

  private async remake(base: Base, edits: Edit[]): Promise<boolean> {
    try {
      const answer = await editProfile(base.toml, edits);
      this.base.value = base;
      this.edits = edits;
      this.made = this.sent = edits.length;
      this.take(answer);
      this.count();
      this.keep();
      return true;
    } catch (error) {
      say({ tone: 'bad', text: error instanceof Error ? error.message : String(error) });
      return false;
    }
  }

  private changed(): void {
    this.state.value = 'checking';
    this.count();
    this.keep();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.send(), kPauseMs);
  }

  private count(): void {
    this.changes.value = this.edits === null ? Math.max(1, this.waiting.length) : this.edits.length;
    this.byText.value = this.edits === null;
  }

  private pending(): Edit[] {
    return this.edits === null ? this.waiting : this.edits.slice(this.made);
  }

  private async send(): Promise<void> {
    const text = this.text.value;
    const edits = this.pending();
    this.sent = this.edits === null ? 0 : this.edits.length;
    try {
      const answer = await editProfile(text, edits);
      if (this.gone || this.text.value !== text) return;
      if (this.edits === null) this.waiting = this.waiting.slice(edits.length);
      else this.made += edits.length;
      this.text.value = answer.toml;
      this.keep();
      if (this.pending().length > 0) {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => void this.send(), 0);
        return;
      }
      this.take(answer);
    } catch (error) {
      if (!this.gone) this.failed(error, edits);
    }
  }

  private take(answer: Answer): void {
    this.text.value = answer.toml;
    if (answer.toml === this.base.value.toml) {
      // Changed and changed back: there is nothing to save.
      this.edits = [];
      this.made = this.sent = 0;
      this.count();
      this.forget();
    }
    this.tree.value = answer.tree as Table | null;
    this.problems.value = answer.problems;
    this.ok.value = answer.ok;
    this.state.value = 'checked';
  }

  /** An edit that cannot be made is taken out again; everything else is sent once more. */
  private failed(error: unknown, edits: Edit[]): void {
    if (!(error instanceof ApiError) || error.status !== 422) {
      this.state.value = 'away';
      this.timer = setTimeout(() => void this.send(), kRetryMs);
      return;
    }
    say({ tone: 'bad', text: `Not changed: ${error.message}` });
    if (this.edits === null) this.waiting = [];
    else this.edits = this.edits.slice(0, this.edits.length - edits.length);
    this.count();
    this.keep();
    void this.send();
  }

  private keep(): void {
    if (this.changes.value === 0) return this.forget();
    const kept: Kept = { base: this.base.value, text: this.text.value, edits: this.edits, made: this.made, waiting: this.waiting };
    try {
      localStorage.setItem(kKey(this.id), JSON.stringify(kept));
    } catch {
      // Kept in memory until the window is closed.
    }
  }

  private forget(): void {
    try {
      localStorage.removeItem(kKey(this.id));
    } catch {
      // Nothing was kept.
    }
  }
}
