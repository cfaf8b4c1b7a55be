/** One photo as large as the screen; arrows go to the others, Escape back. */
import { useEffect, useRef, useState } from 'preact/hooks';

import { type Photo, paths } from '../../api';
import { Button } from '../../components/Button';
import { Field } from '../../components/Field';
import { when } from '../../lib/format';
import { photoWords } from '../../lib/photos';
import { useWork } from './work';

export function LargePhoto({ photos, number, shown, show }: {
  photos: readonly Photo[]; number: number; shown: string; show: (entry: string | null) => void;
}) {
  const { strike } = useWork();
  const dialog = useRef<HTMLDialogElement>(null);
  const [erasing, setErasing] = useState(false);
  const at = photos.findIndex(({ entry }) => entry === shown);
  const photo = photos[at];
  useEffect(() => {
    const element = dialog.current;
    element?.showModal();
    return () => element?.close();
  }, []);
  useEffect(() => {
    if (photo === undefined) show(null);
  }, [photo === undefined]);
  if (photo === undefined) return null;
  const words = photoWords(photo.caption, at + 1, number);
  const go = (by: number) => {
    const next = photos[(at + by + photos.length) % photos.length];
    setErasing(false);
    if (next !== undefined) show(next.entry);
  };
  return (
    <dialog ref={dialog} class="large-photo" aria-label={words} onClose={() => show(null)}
      onKeyDown={(event) => {
        // The bench behind it must not take these keys for outcomes.
        event.stopPropagation();
        if (event.target instanceof HTMLInputElement) return;
        if (event.key === 'ArrowLeft') go(-1);
        if (event.key === 'ArrowRight') go(1);
      }}>
      <header class="large-head">
        <span><b>{words}</b> <span class="small soft">{photo.who}{photo.bench !== '' && `, ${photo.bench}`}, {when(photo.time, new Date())} · {at + 1} of {photos.length}</span></span>
        <Button slim onClick={() => show(null)}>Close</Button>
      </header>
      {photo.erased
        ? <p class="erased-words">Erased by {photo.erased.who}, {when(photo.erased.time, new Date())}{photo.erased.reason !== '' && `: ${photo.erased.reason}`}.
          The picture is gone for good; that it was here is kept.</p>
        : <img key={photo.attachment} src={paths.picture(photo.attachment, 'screen')} alt={words} />}
      {erasing ? <Erase photo={photo} done={() => setErasing(false)} /> : (
        <footer class="row spread">
          <span class="row">
            {photos.length > 1 && <Button onClick={() => go(-1)} label="Photo before">←</Button>}
            {photos.length > 1 && <Button onClick={() => go(1)} label="Next photo">→</Button>}
          </span>
          <span class="row">
            {!photo.erased && <a class="button" href={paths.attachment(photo.attachment)} download={`unit-${number}-photo-${at + 1}`}>Original file</a>}
            <Button onClick={() => strike(photo.entry, `strike “${words}”`)}>Not of this unit: strike</Button>
            {!photo.erased && <Button onClick={() => setErasing(true)}>Erase …</Button>}
          </span>
        </footer>
      )}
    </dialog>
  );
}

/** Erasing cannot be undone, so it takes a second press. */
function Erase({ photo, done }: { photo: Photo; done: () => void }) {
  const { record, busy } = useWork();
  const [reason, setReason] = useState('');
  const erase = () => {
    if (busy) return;
    const body = { attachment: photo.attachment, ...(reason.trim() === '' ? {} : { reason: reason.trim() }) };
    void record([{ kind: 'photo-erased', body }], 'photo erased', 'stay').then((taken) => taken && done());
  };
  return (
    <form class="stack" onSubmit={(event) => {
      event.preventDefault();
      erase();
    }}>
      <p>The picture goes for good, also the original, from this and any other unit. The diary keeps that there was one and who erased it.</p>
      <div class="row erase-row">
        <Field label="Why (may stay empty)" value={reason} onInput={setReason} focus />
        <Button submit why={busy ? 'Wait until the last entry is stored.' : undefined}>Erase for good</Button>
        <Button onClick={done}>Keep it</Button>
      </div>
    </form>
  );
}
