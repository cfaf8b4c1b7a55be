/** A colour token of styles/tokens.css as a canvas takes it: for day or night, whichever is shown. */
export function tokenColour(name: string): string {
  const probe = document.createElement('i');
  probe.style.color = `var(${name})`;
  document.body.append(probe);
  const colour = getComputedStyle(probe).color;
  probe.remove();
  return colour;
}
