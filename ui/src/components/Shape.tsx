import { type ShapeId, kShapes } from '../lib/shapes';

/** Dots of a dotted frame, whose sides are 56 long together: as many as can be told apart at the size. */
const kDots = { 16: 12, 24: 16 } as const;

/** The shape of a state. Always stands beside its words, so it is hidden from screen readers. */
export function Shape({ state, size = 16 }: { state: ShapeId; size?: 16 | 24 }) {
  const shape = kShapes[state];
  // One stroke width on the screen, whatever the size.
  const width = (1.75 * 24) / size;
  return (
    <svg class="shape" width={size} height={size} viewBox="0 0 24 24" aria-hidden="true" data-shape={state}>
      {shape.fill && <path d={shape.fill} fill="currentColor" />}
      <path d={shape.stroke} fill="none" stroke="currentColor" stroke-width={width} stroke-linejoin="round"
        {...(shape.dotted ? { 'stroke-linecap': 'round', 'stroke-dasharray': `0.01 ${56 / kDots[size]}` } : {})} />
    </svg>
  );
}
