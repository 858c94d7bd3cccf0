'use strict';
const data = JSON.parse(document.getElementById('data').textContent);
const at = (id) => document.getElementById(id);

function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== undefined && value !== null) made.setAttribute(key, value);
  }
  made.append(...children.filter((child) => child !== undefined && child !== null && child !== ''));
  return made;
}

const counted = (count, noun) => `${count} ${noun}${count === 1 ? '' : 's'}`;
const is = (state) => (log) => log.state === state;
const trouble = (log) => log.state !== 'saw' && log.state !== 'keep';
const grouped = (number) => number.toLocaleString('en', { maximumFractionDigits: 3 }).replace(/,/g, '\u202f');

function showHead() {
  const short = data.lines.reduce((sum, line) => sum + line.short, 0);
  const saw = data.logs.filter(is('saw')).length;
  const order = short === 0 ? 'the order is met' : `${counted(short, 'board')} short of the order`;
  at('title').textContent = saw === 0 ? `No log to saw: ${order}` : `${counted(saw, 'log')} to saw: ${order}`;
  at('message').textContent = data.message;
  at('choice-proof').textContent = data.proof;
  const warnings = [...data.lines.filter((line) => line.missing).map((line) => line.missing), ...data.notes];
  for (const log of data.logs.filter(trouble)) warnings.push(`${log.name}: ${log.message || log.state}`);
  at('warning-box').hidden = warnings.length === 0;
  at('warning-box').open = warnings.length <= 8;
  at('warning-count').textContent = counted(warnings.length, 'thing') + ' to see to';
  at('warnings').append(...warnings.map((words) => element('li', {}, words)));
}

function coverage(line) {
  const whole = Math.max(line.ordered, 1);
  const share = (count) => `width: ${Math.max(0, Math.min(100, (100 * count) / whole))}%`;
  const onHand = Math.min(line.on_hand, line.ordered);
  const made = Math.min(line.made, line.ordered - onHand);
  const words = line.short > 0 ? `${line.short} short` : line.over > 0 ? `met, ${line.over} over` : 'met';
  return element('td', { class: 'cover' },
    element('span', { class: 'bar' }, element('span', { class: 'on-hand', style: share(onHand) }),
      element('span', { class: 'made', style: share(made) })),
    element('span', { class: line.short > 0 ? 'bar-words short' : 'bar-words' }, words));
}

function showOrder() {
  const titles = ['Boards', 'Coverage', 'Ordered', 'On hand', 'To be made', 'Due', 'Priority'];
  at('order').append(element('thead', {}, element('tr', {}, ...titles.map((words, i) =>
    element('th', { scope: 'col', class: i >= 2 && i !== 5 ? 'number' : null }, words)))));
  at('order').append(element('tbody', {}, ...data.lines.map((line) => element('tr', {},
    element('td', { class: 'name' }, `${line.target} mm`, line.use ? element('span', { class: 'small' }, line.use) : '',
      line.missing ? element('span', { class: 'small missing' }, line.missing) : ''),
    coverage(line),
    element('td', { class: 'number', 'data-label': 'Ordered' }, String(line.ordered)),
    element('td', { class: 'number', 'data-label': 'On hand' }, String(line.on_hand)),
    element('td', { class: 'number', 'data-label': 'To be made' }, String(line.made)),
    element('td', { 'data-label': line.due ? 'Due' : null }, line.due),
    element('td', { class: 'number', 'data-label': 'Priority' }, String(line.priority))))));
}

// What can be sorted by: words, the value of a log (undefined goes last), numbers from the largest or not.
const boards = (log) => (log.boards ? log.boards.reduce((sum, count) => sum + count, 0) : undefined);
const columns = [
  { key: 'picture', words: '' },
  { key: 'saw_as', words: 'Saw as', of: (log) => log.saw_as },
  { key: 'name', words: 'Log', of: (log) => log.name },
  { key: 'state', words: 'What', of: (log) => log.state },
  { key: 'becomes', words: 'Becomes', of: boards, down: true },
  { key: 'value', words: 'Value', of: (log) => log.value, down: true, number: true },
  { key: 'margin', words: 'Margin', of: (log) => log.margin_mm, down: true, number: true },
  { key: 'size', words: 'Size', of: (log) => log.volume_m3, down: true },
  { key: 'weight', words: 'Weight', of: (log) => log.weight_kg, down: true, number: true },
  { key: 'links', words: '' },
];
let sorted = { key: 'saw_as', down: false };

function badge(log) {
  const kind = log.state === 'saw' ? 'saw' : trouble(log) ? 'trouble' : 'keep';
  return element('span', { class: `badge ${kind}` }, log.state);
}

function picture(log) {
  const cell = element('td', { class: 'picture' });
  if (log.picture) {
    const parsed = new DOMParser().parseFromString(`<body>${log.picture}</body>`, 'text/html');
    for (const svg of [...parsed.body.children]) {
      svg.setAttribute('role', 'img');
      svg.setAttribute('aria-label', 'A section of the log with its boards');
      cell.append(document.importNode(svg, true));
    }
  }
  return cell;
}

function logRow(log) {
  const has = log.length_mm !== undefined;
  const plan = log.state === 'saw';
  return element('tr', { class: log.state === 'keep' ? 'keep' : null },
    picture(log),
    element('td', { class: 'number turn', 'data-label': plan ? 'Saw as number' : null }, plan ? String(log.saw_as) : ''),
    element('td', { class: 'name' }, log.name, log.file ? element('span', { class: 'small' }, log.file) : ''),
    element('td', {}, badge(log)),
    element('td', {}, log.becomes || '', log.first ? element('span', { class: 'small' }, `First ${log.first}.`) : '',
      log.could_become ? element('span', { class: 'small' }, `Could become ${log.could_become}.`) : '',
      log.message ? element('span', { class: 'small' }, log.message) : ''),
    element('td', { class: 'number', 'data-label': plan ? 'Value' : null }, plan ? grouped(log.value) : ''),
    element('td', { class: 'number', 'data-label': plan ? 'Margin' : null }, plan ? `${log.margin_mm} mm` : ''),
    element('td', {}, has ? `${grouped(log.length_mm)} mm, ${log.small_end_mm} to ${log.large_end_mm} mm thick` : '',
      has ? element('span', { class: 'small' }, `${log.volume_m3.toFixed(3)} m\u00b3`) : ''),
    element('td', { class: 'number', 'data-label': has ? 'Weight' : null }, has ? `${grouped(log.weight_kg)} kg` : ''),
    element('td', { class: 'plan-links' }, ...(log.links || []).map((link) =>
      element('a', { href: link.to.split('/').map(encodeURIComponent).join('/') }, link.words))));
}

function shownLogs() {
  const words = at('find').value.trim().toLowerCase();
  const state = at('state').value;
  const target = at('target').value;
  const column = columns.find((one) => one.key === sorted.key);
  const sign = sorted.down ? -1 : 1;
  const text = (log) => [log.name, log.file, log.state, log.becomes, log.could_become, log.message].join(' ').toLowerCase();
  const shown = data.logs.filter((log) => (words === '' || text(log).includes(words)) &&
    (state === '' || log.state === state) && (target === '' || (log.boards && log.boards[Number(target)] > 0)));
  return shown.map((log, place) => ({ log, place, value: column.of(log) })).sort((a, b) => {
    if (a.value === undefined || b.value === undefined) {
      return a.value === b.value ? a.place - b.place : a.value === undefined ? 1 : -1;
    }
    if (a.value === b.value) return a.place - b.place;
    return sign * (typeof a.value === 'string' ? a.value.localeCompare(b.value, 'en', { numeric: true }) : a.value - b.value);
  }).map((one) => one.log);
}

function showLogs() {
  const shown = shownLogs();
  for (const heading of at('logs').querySelectorAll('th[data-key]')) {
    const here = heading.dataset.key === sorted.key;
    heading.setAttribute('aria-sort', here ? (sorted.down ? 'descending' : 'ascending') : 'none');
  }
  at('sort').value = sorted.key;
  at('logs').querySelector('tbody').replaceChildren(...shown.map(logRow));
  const kg = shown.reduce((sum, log) => sum + (log.weight_kg || 0), 0);
  at('log-count').textContent = `${counted(shown.length, 'log')}, ${grouped(kg)} kg`;
}

function sortBy(key) {
  const column = columns.find((one) => one.key === key);
  sorted = sorted.key === key ? { key, down: !sorted.down } : { key, down: Boolean(column.down) };
  showLogs();
}

function makeLogTools() {
  const states = [...new Set(data.logs.map((log) => log.state))];
  at('state').append(element('option', { value: '' }, 'all'), ...states.map((state) => element('option', { value: state }, state)));
  at('target').append(element('option', { value: '' }, 'of any size'),
    ...data.lines.map((line, i) => element('option', { value: String(i) }, line.target)));
  at('sort').append(...columns.filter((one) => one.of).map((one) => element('option', { value: one.key }, one.words)));
  const headings = columns.map((one) => {
    if (!one.of) return element('td', {});
    const button = element('button', { type: 'button' }, one.words);
    button.addEventListener('click', () => sortBy(one.key));
    return element('th', { scope: 'col', 'data-key': one.key, class: one.number ? 'number' : null }, button);
  });
  at('logs').append(element('thead', {}, element('tr', {}, ...headings)), element('tbody'));
  for (const id of ['find', 'state', 'target']) at(id).addEventListener('input', showLogs);
  at('sort').addEventListener('input', () => { sorted.key = ''; sortBy(at('sort').value); });
}

function drawn(name, attributes, words) {
  const made = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words !== undefined) made.textContent = words;
  return made;
}

// Metres, x to the right and y up as on a map.
function showMap(map) {
  const points = map.places.flatMap((place) => [place.small, place.large]);
  const most = [0, 1].map((k) => Math.max(...points.map((point) => point[k])));
  const room = Math.max(1, 0.06 * Math.max(...most));
  const width = most[0] + 2 * room;
  const height = most[1] + 2.6 * room;
  const svg = drawn('svg', { class: 'yard-map', viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': map.title });
  const place = (point) => [point[0] + room, most[1] + room - point[1]];
  const size = Math.max(width, height) / 42;
  for (const one of map.places) {
    const log = data.logs[one.log];
    const [x1, y1] = place(one.small);
    const [x2, y2] = place(one.large);
    const kind = log.state === 'saw' ? 'saw' : log.state === 'keep' ? 'keep' : 'other';
    svg.append(drawn('line', { x1, y1, x2, y2, class: kind, 'stroke-width': (log.small_end_mm + log.large_end_mm) / 2000 }));
    svg.append(drawn('text', { x: (x1 + x2) / 2, y: (y1 + y2) / 2 + size / 3, 'font-size': size, 'stroke-width': size / 4, 'text-anchor': 'middle' },
      log.state === 'saw' ? `${log.saw_as}: ${log.name}` : log.name));
  }
  const step = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000].find((one) => one >= width / 12) || 2000;
  const y = height - 0.5 * room;
  svg.append(drawn('line', { x1: room, y1: y, x2: room + step, y2: y, class: 'scale', 'stroke-width': size / 8 }));
  svg.append(drawn('text', { x: room + step + size / 2, y: y + size / 3, 'font-size': size, 'stroke-width': size / 4 }, `${step} m`));
  at('maps').append(element('section', { class: 'wide' }, element('h2', {}, map.title), svg,
    element('p', { class: 'quiet' }, 'Blue: to be sawn, with its place in the order of sawing. Brown: kept. y of the scan is up.')));
}

at('theme').addEventListener('input', () => { document.documentElement.dataset.theme = at('theme').value; });
showHead();
showOrder();
makeLogTools();
showLogs();
data.maps.forEach(showMap);
