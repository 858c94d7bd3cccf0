// Small helpers to write SVG.
const SPACE = 'http://www.w3.org/2000/svg';

export function node(name, attributes = {}, ...children) {
  const made = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  for (const child of children) made.append(child);
  return made;
}
export const number = (value) => (Math.round(value * 100) / 100).toString();
export function path(points, closed = true) {
  return `M${points.map(([x, y]) => `${number(x)} ${number(y)}`).join('L')}${closed ? 'Z' : ''}`;
}
/** A drawing with words for those who do not see it. */
export function drawing(width, height, label, className = '') {
  return node('svg', {
    viewBox: `0 0 ${number(width)} ${number(height)}`, role: 'img', 'aria-label': label, class: `drawing ${className}`,
  });
}
export function text(x, y, words, attributes = {}) {
  return node('text', { x: number(x), y: number(y), ...attributes }, words);
}
export function line(x1, y1, x2, y2, className) {
  return node('line', { x1: number(x1), y1: number(y1), x2: number(x2), y2: number(y2), class: className });
}
/** HTML element. */
export function html(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) made.addEventListener(key.slice(2), value);
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value === true ? '' : value);
  }
  for (const child of children) made.append(child);
  return made;
}
/** A table with a caption; columns are {title, right}, cells strings or nodes. */
export function table(caption, columns, rows, className = '') {
  const cell = (name, column, content, more = {}) =>
    html(name, { class: column.right ? 'number' : null, ...more }, content);
  return html('div', { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': caption },
    html('table', { class: className },
      html('caption', {}, caption),
      html('thead', {}, html('tr', {}, ...columns.map((c) => cell('th', c, c.title, { scope: 'col' })))),
      html('tbody', {}, ...rows.map((row) => html('tr', {},
        ...row.map((content, i) => (i === 0
          ? cell('th', columns[i], content, { scope: 'row' }) : cell('td', columns[i], content))))))));
}
