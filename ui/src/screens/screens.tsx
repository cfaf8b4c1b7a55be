/** Which component shows which route. A new screen is added here and in lib/route.ts. */
import type { ComponentChildren } from 'preact';

import type { Route } from '../lib/route';
import { Bench } from './bench/Bench';

export interface Screen {
  title: (route: Route) => string;
  show: (route: Route) => ComponentChildren;
}

const idOf = (route: Route) => ('id' in route ? route.id : '');

export const kScreens: Partial<Record<Route['screen'], Screen>> = {
  unit: { title: (route) => `Unit ${idOf(route)}`, show: (route) => <Bench key={idOf(route)} id={idOf(route)} /> },
};
