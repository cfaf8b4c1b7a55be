import './styles/tokens.css';
import './styles/base.css';

import { render } from 'preact';

import { App } from './App';
import { startKeyboard } from './state/keyboard';
import { startStream } from './state/stream';

startStream();
startKeyboard();
const root = document.getElementById('app');
if (root !== null) render(<App />, root);
