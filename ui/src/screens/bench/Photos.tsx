/** The unit's photos: small ones in a row, large on tap; added by file, drop or the key p; struck, erased. */
import './photos.css';

import { useEffect, useRef, useState } from 'preact/hooks';

import { type Photo, paths } from '../../api';
import { Panel } from '../../components/Panel';
import { PhotoPicker, PhotosOnTheWay } from '../../components/PhotoPicker';
import { allowedAction } from '../../lib/bench';
import { when } from '../../lib/format';
import { isPhotoFile, photoWords } from '../../lib/photos';
import { useBenchOpen } from '../../state/benches';
import { useKeys } from '../../state/keyboard';
import { say } from '../../state/notices';
import { takePhotos } from '../../state/photos';
import { LargePhoto } from './LargePhoto';
import { useWork } from './work';

export function Photos() {
  const { view } = useWork();
  const { unit, photos } = view;
  const me = { id: unit.id, number: unit.number };
  const [shown, show] = useState<string | null>(null);
  const chooser = useRef<(() => void) | null>(null);
  const { allowed, why } = allowedAction(view, 'photo-attached');
  const over = usePhotoDrop((files) => takePhotos(files, { to: 'unit', unit: me }), allowed);
  useBenchOpen(unit.id);
  useKeys({ letter: (letter) => letter === 'p' && shown === null && chooser.current?.() });
  return (
    <Panel title="Photos" aside={<PhotoPicker unit={me} keyed="p" why={allowed ? undefined : why} open={chooser} />}>
      {over && <p class="drop">Let go to store the photos with unit {unit.number}.</p>}
      <PhotosOnTheWay unit={me} />
      {photos.length === 0 && !over && (
        <p class="soft">None yet. Drop photos anywhere on this screen, or keep a phone open on <a href="/camera">its camera page</a>.</p>
      )}
      {photos.length > 0 && (
        <ul class="thumbs">
          {photos.map((photo, at) => (
            <li key={photo.entry}><Thumb photo={photo} words={photoWords(photo.caption, at + 1, unit.number)} open={() => show(photo.entry)} /></li>
          ))}
        </ul>
      )}
      {shown !== null && <LargePhoto photos={photos} number={unit.number} shown={shown} show={show} />}
    </Panel>
  );
}

function Thumb({ photo, words, open }: { photo: Photo; words: string; open: () => void }) {
  const [broken, setBroken] = useState(false);
  const { erased } = photo;
  return (
    <button type="button" class={erased ? 'thumb erased' : 'thumb'} onClick={open} aria-label={erased ? `${words}: erased by ${erased.who}` : words}>
      {erased
        ? <span class="small">erased by {erased.who}, {when(erased.time, new Date())}</span>
        : broken ? <span class="small">cannot be shown</span>
          : <img src={paths.picture(photo.attachment, 'thumb')} alt="" loading="lazy" decoding="async" onError={() => setBroken(true)} />}
      {photo.caption !== '' && <span class="small thumb-caption">{photo.caption}</span>}
    </button>
  );
}

/** Photos may be dropped anywhere on the screen; says whether some hover over it. Other files are left to others. */
function usePhotoDrop(take: (files: File[]) => void, allowed: boolean): boolean {
  const [over, setOver] = useState(false);
  const latest = useRef(take);
  latest.current = take;
  useEffect(() => {
    if (!allowed) return;
    const carries = (event: DragEvent) => [...(event.dataTransfer?.items ?? [])].some((item) => item.kind === 'file' && item.type.startsWith('image/'));
    const hover = (event: DragEvent) => {
      if (!carries(event)) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      setOver(true);
    };
    const leave = (event: DragEvent) => event.relatedTarget === null && setOver(false);
    const drop = (event: DragEvent) => {
      const all = [...(event.dataTransfer?.files ?? [])];
      const files = all.filter(isPhotoFile);
      setOver(false);
      if (files.length === 0) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      // What made itself ready for the files stands down.
      dispatchEvent(new DragEvent('dragleave'));
      if (files.length < all.length) say({ tone: 'bad', text: 'Only the photos were taken. Drop a meter log alone.' });
      latest.current(files);
    };
    // Before the others, as the meter log takes any file.
    const early = { capture: true };
    addEventListener('dragover', hover, early);
    addEventListener('dragleave', leave, early);
    addEventListener('drop', drop, early);
    return () => {
      removeEventListener('dragover', hover, early);
      removeEventListener('dragleave', leave, early);
      removeEventListener('drop', drop, early);
    };
  }, [allowed]);
  return over;
}
