// Drawings along the log: rail from the side, flitches from above, plots, and the map of what was seen.
import { extent, KINDS } from './model.js';
import { css, spareColour, statusColour } from './colours.js';
import { drawing, html, line, node, path, text } from './svg.js';
import { bare, currentUnit, length, rulerStep, weight } from './units.js';

// Units of the drawings: few on a phone, so that their text stays readable.
const PHONE_PX = 700;
const wide = () => (window.innerWidth < PHONE_PX ? 480 : 1000);
const PLOT = 560;
const LEFT = 62;
const RIGHT = 62;
const SIZE = 19;

function across(model, width, from = 0, to = model.length) {
  return (x) => LEFT + ((x - from) / (to - from)) * (width - LEFT - RIGHT);
}

function baseline(svg, model, width, y, from = 0, to = model.length) {
  const x = across(model, width, from, to);
  const step = rulerStep(to - from, width / 120);
  svg.append(line(x(from), y, x(to), y, 'ruler'));
  for (let at = Math.ceil(from / step) * step; at <= to + 0.1; at += step) {
    svg.append(line(x(at), y, x(at), y + 7, 'ruler'));
    svg.append(text(x(at), y + 8 + SIZE * 0.85, bare(at), { 'font-size': SIZE * 0.85, 'text-anchor': 'middle', class: 'quiet' }));
  }
  svg.append(text(4, y + 8 + SIZE * 0.85, currentUnit(), { 'font-size': SIZE * 0.85, class: 'quiet' }));
}

/** Highest and lowest bark of every station, bench frame. */
function silhouette(model) {
  return model.x.map((x) => {
    const box = extent(model.bench(model.bark(x)));
    return { x, low: box.least[1], high: box.most[1] };
  });
}

/** The log from its right side with one position of the rail. Heights are drawn twice as large as lengths. */
export function railSide(model, position) {
  const { plan } = model;
  const rail = plan.setup.rail_positions[position];
  const from = Math.min(0, rail.start_x_mm);
  const to = Math.max(model.length, rail.end_x_mm);
  const width = wide();
  const x = across(model, width, from, to);
  const scale = (2 * (width - LEFT - RIGHT)) / (to - from);
  const shape = silhouette(model);
  const top = Math.max(...shape.map((s) => s.high), model.railUnderside(0) + model.data.kit.rail_height_mm,
    model.railUnderside(to) + model.data.kit.rail_height_mm);
  const y = (z) => SIZE * 2 + (top - z) * scale;
  const bottom = y(Math.min(...shape.map((s) => s.low)));
  const svg = drawing(width, bottom + 50, `The log from its right, small end at the left, with rail position ${position + 1}`);
  svg.append(node('path', {
    d: path([...shape.map((s) => [x(s.x), y(s.high)]), ...shape.map((s) => [x(s.x), y(s.low)]).reverse()]), class: 'bark',
  }));
  model.planes.forEach((plane, i) => svg.append(line(x(0), y(model.planeAt(i, 0)), x(model.length),
    y(model.planeAt(i, model.length)), i === model.data.opening_plane ? 'opening' : 'plane')));
  const under = (at) => model.railUnderside(at);
  const height = model.data.kit.rail_height_mm;
  svg.append(node('path', {
    d: path([[rail.start_x_mm, 0], [rail.end_x_mm, 0], [rail.end_x_mm, height], [rail.start_x_mm, height]]
      .map(([at, up]) => [x(at), y(under(at) + up)])), class: 'rail',
  }));
  plan.supports.filter((s) => s.rail_position === position + 1).forEach((support) => {
    const at = x(support.x_mm);
    const gap = support.gap_right_mm ?? support.gap_left_mm ?? 0;
    svg.append(node('line', {
      x1: at, x2: at, y1: y(under(support.x_mm)), y2: y(under(support.x_mm) - gap), class: 'screw', stroke: statusColour(support.status),
    }));
    svg.append(text(at, y(under(support.x_mm) + height) - 6, `${support.support}`,
      { 'font-size': SIZE, 'text-anchor': 'middle', class: 'figure' }));
  });
  plan.setup.high_spots.filter((s) => s.x_mm >= rail.start_x_mm && s.x_mm <= rail.end_x_mm).forEach((spot) => {
    const at = [x(spot.x_mm), y(under(spot.x_mm))];
    svg.append(node('path', { d: path([at, [at[0] - 8, at[1] - 15], [at[0] + 8, at[1] - 15]]), class: 'high-spot' }));
  });
  baseline(svg, model, width, bottom + 12, from, to);
  return svg;
}

export function pieceName(model, layout) {
  const cant = model.boards.some((board) => board.flitch === layout.flitch && board.on_edge);
  return `${cant ? 'Cant' : 'Flitch'} ${layout.flitch}`;
}

/** A flitch from above as it lay in the log: small end at the left, the log's left upwards; widths twice as large. */
export function flitchDrawing(model, layout) {
  const points = (name) => layout.x_mm.map((x, i) => [x, layout[name][i]]).filter(([, value]) => value !== null);
  const edges = ['upper_left_mm', 'upper_right_mm', 'lower_left_mm', 'lower_right_mm'].flatMap(points);
  const box = extent(edges);
  const width = wide();
  const x = across(model, width);
  const scale = (2 * (width - LEFT - RIGHT)) / model.length;
  const y = (value) => SIZE * 2 + (box.most[1] - value) * scale;
  const bottom = y(box.least[1]);
  const svg = drawing(width, bottom + 50, `${pieceName(model, layout)} from above with its boards`);
  const faceOf = (side) => path([...points(`${side}_left_mm`), ...points(`${side}_right_mm`).reverse()]
    .map(([at, value]) => [x(at), y(value)]));
  svg.append(node('path', { d: faceOf('lower'), class: 'face-lower' }), node('path', { d: faceOf('upper'), class: 'face-upper' }));
  model.boards.forEach((board, index) => {
    if (board.flitch !== layout.flitch) return;
    const corners = [3, 2, 6, 7].map((i) => {
      const [px, py, pz] = board.corners_mm[i];
      return [x(px), y(model.toBench([py, pz])[0])];
    });
    const spare = model.boardSpare[index].tightest.spare;
    svg.append(node('path', { d: path(corners), class: `board${board.on_edge ? ' on-edge' : ''}`, fill: css(spareColour(spare)) }));
    const middle = [0, 1].map((c) => corners.reduce((sum, p) => sum + p[c], 0) / 4);
    svg.append(text(middle[0], middle[1] + SIZE * 0.35, `${board.id}`, { 'font-size': SIZE * 1.2, 'text-anchor': 'middle', class: 'on-board' }));
  });
  model.plan.setup.edging.filter((window) => window.flitch === layout.flitch).forEach((window) => {
    const left = (at) => interpolate(layout.x_mm, layout.upper_left_mm, at);
    window.lines_at_start_mm.forEach((start, i) => {
      const from = left(window.start_x_mm) - start;
      const to = left(window.end_x_mm) - window.lines_at_end_mm[i];
      svg.append(line(x(window.start_x_mm), y(from), x(window.end_x_mm), y(to), 'edging'));
      svg.append(text(x(window.start_x_mm) - 4, y(from) + SIZE * 0.35, bare(start), { 'font-size': SIZE, 'text-anchor': 'end', class: 'figure' }));
      svg.append(text(x(window.end_x_mm) + 4, y(to) + SIZE * 0.35, bare(window.lines_at_end_mm[i]), { 'font-size': SIZE, class: 'figure' }));
    });
  });
  svg.append(text(LEFT, SIZE, `${pieceName(model, layout)}, about ${weight(layout.weight_kg)}`, { 'font-size': SIZE, class: 'figure' }));
  baseline(svg, model, width, bottom + 12);
  return svg;
}

function interpolate(xs, values, at) {
  const known = xs.map((x, i) => [x, values[i]]).filter(([, value]) => value !== null);
  let i = 0;
  while (i < known.length - 2 && known[i + 1][0] < at) i += 1;
  const [a, b] = [known[i], known[i + 1] ?? known[i]];
  return b[0] === a[0] ? a[1] : a[1] + ((b[1] - a[1]) * (at - a[0])) / (b[0] - a[0]);
}

/** Curves over the length of the log: series are {name, values, className}, in millimetres. */
function plot(model, label, series, digits = 0) {
  const height = 300;
  const x = across(model, PLOT);
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
  baseline(svg, model, PLOT, height - 10);
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
