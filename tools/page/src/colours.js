// Few colours, told apart by people who see no difference between red and green; marks differ in form or words as well.
const SPARE = [
  [0, [169, 48, 20]],
  [5, [224, 122, 70]],
  [10, [243, 214, 178]],
  [20, [150, 194, 222]],
  [40, [40, 104, 160]],
];
export const SPARE_STOPS = SPARE.map(([mm, rgb]) => ({ mm, css: `rgb(${rgb.join(',')})` }));

/** Red, green and blue from 0 to 255 for so many millimetres to spare. */
export function spareColour(mm) {
  const value = Math.min(Math.max(mm, SPARE[0][0]), SPARE[SPARE.length - 1][0]);
  let i = 0;
  while (i < SPARE.length - 2 && SPARE[i + 1][0] < value) i += 1;
  const u = (value - SPARE[i][0]) / (SPARE[i + 1][0] - SPARE[i][0]);
  return SPARE[i][1].map((from, c) => Math.round((1 - u) * from + u * SPARE[i + 1][1][c]));
}
export const css = (rgb) => `rgb(${rgb.join(',')})`;

export const STATUS = { ok: '#2868a0', packer: '#e69f00', relieve: '#d55e00', none: '#444444' };
export function statusColour(status) {
  if (status.startsWith('packer')) return STATUS.packer;
  if (status.startsWith('relieve')) return STATUS.relieve;
  return status.startsWith('no bearing') ? STATUS.none : STATUS.ok;
}
