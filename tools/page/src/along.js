// Plots along the log, and the map of what was seen.
import { KINDS } from './model.js';
import { drawing, html, line, node, path, text } from './svg.js';
import { bare, currentUnit, length, rulerStep } from './units.js';

const PLOT = 560;
const LEFT = 62;
const RIGHT = 62;
const SIZE = 19;

const across = (model) => (x) => LEFT + (x / model.length) * (PLOT - LEFT - RIGHT);

function baseline(svg, model, y) {
  const x = across(model);
  const step = rulerStep(model.length, PLOT / 120);
  svg.append(line(x(0), y, x(model.length), y, 'ruler'));
  for (let at = 0; at <= model.length + 0.1; at += step) {
    svg.append(line(x(at), y, x(at), y + 7, 'ruler'));
    svg.append(text(x(at), y + 8 + SIZE * 0.85, bare(at), { 'font-size': SIZE * 0.85, 'text-anchor': 'middle', class: 'quiet' }));
  }
  svg.append(text(4, y + 8 + SIZE * 0.85, currentUnit(), { 'font-size': SIZE * 0.85, class: 'quiet' }));
}

/** Curves over the length of the log: series are {name, values, className}, in millimetres. */
function plot(model, label, series, digits = 0) {
  const height = 300;
  const x = across(model);
  const all = series.flatMap((s) => s.values).filter(Number.isFinite);
  const step = rulerStep(Math.max(Math.max(...all) - Math.min(...all), digits ? 1 : 20), 5);
  const fine = digits ? 0.5 : step;
  const least = Math.floor(Math.min(...all) / fine) * fine;
  const most = Math.max(Math.ceil(Math.max(...all) / fine) * fine, least + fine);
  const y = (value) => 20 + ((most - value) / (most - least)) * (height - 40);
  const svg = drawing(PLOT, height + 60, label, 'plot');
  for (let value = least; value <= most + fine / 1e3; value += digits ? Math.max(0.5, Math.ceil((most - least) / 5 / 0.5) * 0.5) : step) {
    svg.append(line(LEFT, y(value), PLOT - RIGHT, y(value), 'grid'));
    svg.append(text(LEFT - 6, y(value) + SIZE * 0.35, bare(value, digits), { 'font-size': SIZE * 0.85, 'text-anchor': 'end', class: 'quiet' }));
  }
  series.forEach((s) => {
    const points = s.values.map((value, i) => [x(s.x ? s.x[i] : model.x[i]), y(value)]).filter(([, at]) => Number.isFinite(at));
    svg.append(node('path', { d: path(points, false), class: `curve ${s.className}` }));
  });
  series.forEach((s, i) => {
    const at = LEFT + i * 160;
    svg.append(line(at, height + 48, at + 30, height + 48, `curve ${s.className}`));
    svg.append(text(at + 36, height + 54, s.name, { 'font-size': SIZE * 0.9 }));
  });
  baseline(svg, model, height - 10);
  return svg;
}

export function diameterPlot(model) {
  const rows = model.x.map((_, i) => {
    const widths = [];
    for (let k = 0; k < model.angles / 2; k += 1) {
      widths.push(model.radius(KINDS.bark, i, k) + model.radius(KINDS.bark, i, (k + Math.floor(model.angles / 2)) % model.angles));
    }
    return { most: Math.max(...widths), least: Math.min(...widths), mean: widths.reduce((a, b) => a + b, 0) / widths.length };
  });
  return plot(model, 'Diameter over bark along the log: largest, mean, smallest', [
    { name: 'largest', values: rows.map((r) => r.most), className: 'c1 dashed' },
    { name: 'mean', values: rows.map((r) => r.mean), className: 'c1' },
    { name: 'smallest', values: rows.map((r) => r.least), className: 'c2 dashed' },
  ]);
}

export function centrelinePlot(model) {
  return plot(model, 'The centreline beside the straight line between its ends, as scanned', [
    { name: 'to the left', values: model.centres.map((c) => c[0]), className: 'c1' },
    { name: 'upwards', values: model.centres.map((c) => c[1]), className: 'c2' },
  ]);
}

/** Median distance of the shown points from the bark surface, a tenth of a metre of log at a time. */
export function residualPlot(model) {
  if (!model.points) return null;
  const stretch = 100;
  const bins = Array.from({ length: Math.ceil(model.length / stretch) }, () => []);
  const { places, count } = model.points;
  for (let p = 0; p < count; p += 1) {
    const above = aboveBark(model, places[3 * p], places[3 * p + 1], places[3 * p + 2]);
    if (above !== null && Math.abs(above) < 20) bins[Math.min(Math.floor(places[3 * p] / stretch), bins.length - 1)].push(Math.abs(above));
  }
  const median = (values) => (values.length < 5 ? NaN : values.sort((a, b) => a - b)[Math.floor(values.length / 2)]);
  const values = bins.map(median);
  if (!values.some(Number.isFinite)) return null;
  return plot(model, 'Distance of the points from the fitted bark: half of them lie nearer', [
    { name: 'half of the points lie nearer than this', values, x: bins.map((_, i) => Math.min((i + 0.5) * stretch, model.length)), className: 'c1' },
  ], 1);
}

/** Height of a point of the log frame above the bark; null beyond the ends. */
export function aboveBark(model, x, y, z) {
  if (x < 0 || x > model.length) return null;
  const { i, u } = model.between(x);
  const station = u < 0.5 ? i : i + 1;
  const [cy, cz] = model.centreAt(x);
  const turn = Math.atan2(z - cz, y - cy) / (2 * Math.PI);
  const k = Math.round((turn - Math.floor(turn)) * model.angles) % model.angles;
  return Math.hypot(y - cy, z - cz) - model.radius(KINDS.bark, station, k);
}

/** What the scan saw: the bark unrolled. Top in the middle, left side of the log above it. */
export function coverageMap(model) {
  const canvas = html('canvas', {
    width: model.x.length, height: model.angles, class: 'coverage', role: 'img',
    'aria-label': `The bark unrolled: ${Math.round(model.plan.log.seen_share * 100)} % of it was seen`,
  });
  const context = canvas.getContext('2d');
  const picture = context.createImageData(model.x.length, model.angles);
  for (let row = 0; row < model.angles; row += 1) {
    // Rows from the underside over the left side, the top and the right side back to the underside.
    const k = (((Math.round((3 * model.angles) / 4) - row) % model.angles) + model.angles) % model.angles;
    for (let i = 0; i < model.x.length; i += 1) {
      const at = (row * model.x.length + i) * 4;
      const colour = model.isSeen(i, k) ? [40, 104, 160] : [226, 170, 110];
      picture.data.set([...colour, 255], at);
    }
  }
  context.putImageData(picture, 0, 0);
  return html('div', { class: 'map' },
    html('div', { class: 'map-sides', 'aria-hidden': 'true' }, ...['under', 'left', 'top', 'right', 'under'].map((side) => html('span', {}, side))),
    html('div', {}, canvas, html('div', { class: 'map-ends', 'aria-hidden': 'true' }, html('span', {}, 'small end'),
      html('span', {}, length(model.length)), html('span', {}, 'large end'))));
}
