import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';

import { Button } from '../components/Button';
import { nameWanted, notStored, sendAll } from '../state/journal';
import { finder, helpShown, keys } from '../state/keyboard';
import { route } from '../state/navigation';
import { notice, putAway } from '../state/notices';
import { settings } from '../state/settings';
import { connection, status } from '../state/stream';
import { Finder } from './Finder';
import { Help } from './Help';
import { NameStrip } from './NameStrip';
import { SettingsStrip } from './SettingsStrip';

const kPlaces = [['/now', 'Now', ['now']], ['/lots', 'Lots', ['lots', 'lot', 'unit']],
  ['/profiles', 'Profiles', ['profiles', 'profile']], ['/money', 'Money', ['money']], ['/camera', 'Camera', ['camera']]] as const;

export function Shell({ children }: { children: ComponentChildren }) {
  const [open, setOpen] = useState(false);
  const named = settings.value.who !== '';
  return (
    <div class="shell">
      <a class="skip" href="#main" onClick={(event) => {
        event.preventDefault();
        document.getElementById('main')?.focus();
      }}>Skip to the screen</a>
      <header class="top">
        <a class="mark" href="/now" aria-label="Lotwright, now"><Mark /><span>Lotwright</span></a>
        <nav aria-label="Screens">
          {kPlaces.filter(([path]) => path !== '/money' || settings.value.role === 'owner').map(([path, name, screens]) => (
            <a key={path} class="place" href={path}
              {...((screens as readonly string[]).includes(route.value.screen) ? { 'aria-current': 'page' as const } : {})}>{name}</a>
          ))}
        </nav>
        {/* Its place is kept until it is known, so that nothing moves then. */}
        <span class={status.value?.demo === true ? 'link demo' : 'link demo is-not'}><b>Invented demo</b></span>
        <Connected />
        <Button slim kind="plain" onClick={() => (finder.value = finder.value === null ? { text: '' } : null)}
          label="Find a unit, key slash"><span class="key">/</span> Find</Button>
        <Button slim kind="plain" expanded={open} onClick={() => setOpen(!open)}><span class="who">{named ? settings.value.who : 'Who?'}</span></Button>
        <Button slim kind="plain" onClick={() => (helpShown.value = !helpShown.value)} label="Keys">
          <span class="key">?</span></Button>
      </header>
      {finder.value !== null && <Finder text={finder.value.text} />}
      {open && <SettingsStrip close={() => setOpen(false)} />}
      {helpShown.value && <Help />}
      <NotStored />
      <main class="page" id="main" tabIndex={-1}>{children}</main>
      {nameWanted.value !== null && <NameStrip wanted={nameWanted.value} />}
      <NoticeLine />
    </div>
  );
}

function Mark() {
  return (
    <svg viewBox="0 0 32 32" aria-hidden="true">
      <path d="M1 9.5 3 8h27l1 1.5-1 2 1 2-1 2.5 1 2-1 2 1 2L30 24H2l-1-1.5 1-2-1-2 1-2-1-2.5 1-2z" fill="var(--tape)" />
      <path d="M8 11.5v9h6M19 11.5v9M17 12.5l2-1" fill="none" stroke="var(--tape-ink)" stroke-width="2.6"
        stroke-linecap="round" stroke-linejoin="round" />
    </svg>
  );
}

const kConnectionWords = { connecting: 'connecting', live: 'live', reconnecting: 'reconnecting' } as const;

function Connected() {
  return (
    <span class={`link ${connection.value}`} role="status"
      title={connection.value === 'live' ? 'Changes show by themselves.' : 'Until the server answers, what you see may be old.'}>
      <i aria-hidden="true" /><span>{kConnectionWords[connection.value]}</span>
    </span>
  );
}

/** What waits for the server; nothing that was recorded is lost meanwhile. */
function NotStored() {
  const late = notStored.value.filter((batch) => batch.tries > 0);
  if (late.length === 0) return null;
  return (
    <div class="strip bad-strip" role="status">
      <div class="row spread">
        <span><b>Not stored yet: {late.length === 1 ? late[0]?.words : `${late.length} records`}.</b>{' '}
          Kept in this browser and sent again by itself.</span>
        <Button slim onClick={() => void sendAll()}>Send now</Button>
      </div>
    </div>
  );
}

/** What the digits typed so far would do; empty while one digit may still be an outcome. */
function typedWords(typed: string): string {
  if (/^\d+[.,]/.test(typed)) return 'Enter records this reading';
  return /^\d{2,}$/.test(typed) ? 'Enter opens this unit; a step’s letter opens it there' : '';
}

function NoticeLine() {
  const typed = keys.value.typed;
  const words = typedWords(typed);
  return (
    <div aria-live="polite">
      {words !== '' && <div class="notice"><span class="typed">{typed}</span> {words}</div>}
      {notice.value !== null && words === '' && (
        <div class={`notice ${notice.value.tone}-notice`}>
          <span class="grow">{notice.value.text}</span>
          {notice.value.offer && (
            <Button slim onClick={() => {
              notice.value?.offer?.go();
              putAway();
            }}>{notice.value.offer.label}</Button>
          )}
          <Button slim kind="plain" onClick={putAway} label="Close this line">Close</Button>
        </div>
      )}
    </div>
  );
}
