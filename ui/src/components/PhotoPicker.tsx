/** Takes photos of one unit: by the phone's camera or from files. What is on its way stands beside it. */
import { useRef } from 'preact/hooks';

import type { UnitRef } from '../lib/photos';
import { type Shot, discardPhoto, sendPhotos, shots, takePhotos } from '../state/photos';
import { Button } from './Button';

interface PickerProps {
  unit: UnitRef;
  words?: string;
  keyed?: string;
  why?: string | undefined;
  /** Opens the camera at once where there is one; else files are chosen, several at once. */
  camera?: boolean;
  /** Set to a function that opens the chooser, for a key. */
  open?: { current: (() => void) | null };
}

const kAccept = 'image/jpeg,image/png,image/webp,image/heic,image/heif,image/avif,.heic,.heif,image/*';

/** The button alone, with its hidden file input. */
export function PhotoPicker({ unit, words = 'Add photos', keyed, why, camera = false, open }: PickerProps) {
  const input = useRef<HTMLInputElement>(null);
  const choose = () => input.current?.click();
  if (open !== undefined) open.current = why === undefined ? choose : null;
  return (
    <>
      <input ref={input} type="file" class="unseen" tabIndex={-1} accept={kAccept} aria-label={`${words}, unit ${unit.number}`}
        {...(camera ? { capture: 'environment' as const } : { multiple: true })}
        onChange={(event) => {
          takePhotos([...(event.currentTarget.files ?? [])], { to: 'unit', unit });
          event.currentTarget.value = '';
        }} />
      <Button slim {...(keyed === undefined ? {} : { keyed })} why={why} onClick={choose}>{words}</Button>
    </>
  );
}

const concerns = (unit: UnitRef) => (shot: Shot) => shot.aim.to === 'unit' && shot.aim.unit.id === unit.id;

/** What is on its way to the unit, and what was refused. */
export function PhotosOnTheWay({ unit }: { unit: UnitRef }) {
  const mine = shots.value.filter(concerns(unit));
  const going = mine.filter(({ state }) => state.at === 'waiting' || state.at === 'sending' || state.at === 'recording');
  const late = going.some(({ state }) => state.at === 'waiting' && state.tries > 0);
  return (
    <>
      {going.length > 0 && (
        <p role="status" class="row small">
          <span>{going.length === 1 ? '1 photo is' : `${going.length} photos are`} being stored …
            {late && ' The server cannot be reached; they are kept here and sent again by themselves.'}</span>
          {late && <Button slim onClick={() => void sendPhotos()}>Send now</Button>}
        </p>
      )}
      {mine.map((shot) => shot.state.at === 'refused' && (
        <p key={shot.id} role="alert" class="row bad small">
          <span>{shot.name}: {shot.state.why}</span>
          <Button slim label={`Put away: ${shot.name}`} onClick={() => void discardPhoto(shot.id)}>Put away</Button>
        </p>
      ))}
    </>
  );
}
