// Styles are bundled for their effect.
declare module '*.css';
