/** Which component shows which route. A new screen is added here and in lib/route.ts. */
import type { ComponentChildren } from 'preact';

import type { Route } from '../lib/route';
import { Bench } from './bench/Bench';
import { Camera } from './camera/Camera';
import { Lot } from './lots/Lot';
import { Lots } from './lots/Lots';
import { Money } from './money/Money';
import { Now } from './now/Now';
import { LazyProfile } from './profiles/LazyProfile';
import { Profiles } from './profiles/Profiles';

export interface Screen {
  title: (route: Route) => string;
  show: (route: Route) => ComponentChildren;
}

const idOf = (route: Route) => ('id' in route ? route.id : '');

export const kScreens: Partial<Record<Route['screen'], Screen>> = {
  now: { title: () => 'Now', show: () => <Now /> },
  lots: { title: () => 'Lots', show: () => <Lots /> },
  lot: { title: () => 'Lot', show: (route) => <Lot key={idOf(route)} id={idOf(route)} /> },
  camera: { title: () => 'Camera', show: () => <Camera /> },
  money: { title: () => 'Money', show: () => <Money /> },
  profiles: { title: () => 'Profiles', show: () => <Profiles /> },
  profile: { title: () => 'Profile', show: (route) => <LazyProfile key={idOf(route)} id={idOf(route)} /> },
  unit: { title: (route) => `Unit ${idOf(route)}`, show: (route) => <Bench key={idOf(route)} id={idOf(route)} /> },
};
