/** The shapes of a unit's state, drawn by us on a grid of 24: one stroke, no fill but where the shape says so. */
export type ShapeId =
  | 'incoming' | 'on-bench' | 'waiting' | 'mended' | 'proved' | 'sold' | 'as-is' | 'donor' | 'scrapped'
  | 'returned' | 'held-aside' | 'put-aside' | 'customer';

export interface Shape {
  /** Lines. */
  stroke: string;
  /** Filled areas. */
  fill?: string;
  /** The line is a row of dots. */
  dotted?: true;
  /** What a person sees, for those who cannot. */
  looks: string;
}

const kFrame = 'M5 5h14v14H5z';

export const kShapes: Record<ShapeId, Shape> = {
  incoming: { stroke: kFrame, looks: 'empty frame' },
  'on-bench': { stroke: kFrame, fill: 'M5 5h7v14H5z', looks: 'frame half filled from the left' },
  waiting: { stroke: `${kFrame}M12 7.5V10`, fill: 'M12 12a2 2 0 1 1 0 4 2 2 0 0 1 0-4z', looks: 'frame with a falling dot' },
  mended: { stroke: 'M5 3h14v14H5zM9 21h6', looks: 'frame with one bar under it' },
  proved: { stroke: 'M5 2h14v13H5zM8 18.5h8M8 22h8', looks: 'frame with two bars under it' },
  sold: { stroke: 'M12 5a7 7 0 1 1 0 14 7 7 0 0 1 0-14z', fill: 'M12 5a7 7 0 1 1 0 14 7 7 0 0 1 0-14z', looks: 'filled disc' },
  'as-is': { stroke: `${kFrame}M3 21 21 3`, looks: 'frame cut by a slanted line' },
  donor: { stroke: kFrame, dotted: true, looks: 'dotted frame' },
  scrapped: { stroke: 'M5 5h9l5 5v9H5zM14 5v5h5', looks: 'frame with the corner folded' },
  returned: { stroke: kFrame, fill: 'M12 8.5a3.5 3.5 0 1 1 0 7 3.5 3.5 0 0 1 0-7z', looks: 'disc inside a frame' },
  'held-aside': { stroke: 'M5 7h14v14H5zM4 2.8h16', looks: 'frame with a bar above it' },
  'put-aside': { stroke: 'M8.2 4.2 21.2 8.2 16.8 21.4 3.8 17.4z', looks: 'leaning frame' },
  customer: { stroke: 'M5 8h14v13H5zM9 8V6a3 3 0 0 1 6 0v2', looks: 'frame with a handle' },
};
