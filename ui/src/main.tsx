import './styles/tokens.css';
import './styles/base.css';

import { render } from 'preact';

import { App } from './App';
import { startKeyboard } from './state/keyboard';
import { startStream } from './state/stream';

startStream();
startKeyboard();

/** The first picture waits for its type (asked for by index.html with the script), so that nothing moves when it comes; but
 * not long, as a page in another type is better than none. */
const kFaces = ['400 1em Next', '700 1em Next', '400 1em NextMono', '700 1em NextMono'];
const kPatienceMs = 500;
const late = new Promise((done) => setTimeout(done, kPatienceMs));
void Promise.race([Promise.allSettled(kFaces.map((face) => document.fonts.load(face))), late]).then(() => {
  const root = document.getElementById('app');
  if (root !== null) render(<App />, root);
});
