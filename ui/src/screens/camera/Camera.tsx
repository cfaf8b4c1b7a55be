/** For a phone beside the bench: one large button; each photo says to which unit it went, and how it found it. */
import './camera.css';

import { useEffect, useRef } from 'preact/hooks';

import { Button } from '../../components/Button';
import { Choice } from '../../components/Field';
import { heard, kFreshMs, openAt, useBenches } from '../../state/benches';
import { sendPhotos, shots, takePhotos, unsent } from '../../state/photos';
import { change, settings } from '../../state/settings';
import { ShotRow } from './ShotRow';

export function Camera() {
  useBenches();
  useEffect(() => {
    // Above the large button.
    document.documentElement.style.setProperty('--notice-bottom', '11rem');
    return () => document.documentElement.style.removeProperty('--notice-bottom');
  }, []);
  const { bench } = settings.value;
  const open = openAt(bench, Date.now());
  const take = (files: FileList | null) => takePhotos([...(files ?? [])], { to: 'label', bench, open: openAt(bench, Date.now()) });
  return (
    <article class="camera">
      <h1 class="camera-title">Camera</h1>
      <section class="panel camera-aim" aria-label="Where photos go">
        <p class="camera-open" role="status">
          {open !== null
            ? <>Photos go to unit <b class="camera-number">{open.number}</b>, open at {bench}.</>
            : known() ? <>No unit is open at {bench}. You are asked for the number.</>
              : <>What {bench} has open is not known: the server cannot be reached.</>}
        </p>
        <p class="small soft">A label in the picture (QR or bars with the unit’s number or serial) goes before that.</p>
        <BenchChoice />
      </section>
      <Unsent />
      <ol class="shots" aria-label="Photos taken here">
        {shots.value.map((shot) => <ShotRow key={shot.id} shot={shot} />)}
      </ol>
      {shots.value.length === 0 && <p class="soft camera-none">Nothing taken yet.</p>}
      <Shutter take={take} />
    </article>
  );
}

function known(): boolean {
  return heard.value !== null && Date.now() - heard.value.at <= kFreshMs;
}

/** Which bench the phone lies at. */
function BenchChoice() {
  const { bench } = settings.value;
  const names = [...new Set([bench, ...(heard.value?.benches.map((one) => one.bench) ?? [])])].filter((name) => name !== '').sort();
  if (names.length < 2) return null;
  return <Choice label="This phone lies at" value={bench} options={names.map((name) => [name, name] as const)} onChange={(name) => change({ bench: name })} />;
}

function Unsent() {
  const waiting = unsent.value;
  const late = waiting.filter(({ state }) => state.at === 'waiting' && state.tries > 0);
  if (late.length === 0) return null;
  return (
    <div class="strip bad-strip row spread" role="status">
      <span><b>Not sent yet: {waiting.length === 1 ? '1 photo' : `${waiting.length} photos`}.</b> Kept on this phone and sent again by themselves.</span>
      <Button slim onClick={() => void sendPhotos()}>Send now</Button>
    </div>
  );
}

function Shutter({ take }: { take: (files: FileList | null) => void }) {
  const camera = useRef<HTMLInputElement>(null);
  const files = useRef<HTMLInputElement>(null);
  const taken = (input: HTMLInputElement) => {
    take(input.files);
    input.value = '';
  };
  return (
    <div class="shutter">
      <input ref={camera} type="file" class="unseen" tabIndex={-1} accept="image/*" capture="environment" aria-label="Take a photo"
        onChange={(event) => taken(event.currentTarget)} />
      <input ref={files} type="file" class="unseen" tabIndex={-1} accept="image/*,.heic,.heif" multiple aria-label="Choose several"
        onChange={(event) => taken(event.currentTarget)} />
      <button type="button" class="button main shutter-main" onClick={() => camera.current?.click()}>Take a photo</button>
      <Button onClick={() => files.current?.click()}>Choose several</Button>
    </div>
  );
}
