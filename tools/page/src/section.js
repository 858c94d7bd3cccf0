// Cross-sections anywhere along the log: bench frame, seen from the small end.
import { crossing, distanceInside, extent } from './model.js';
import { css, spareColour } from './colours.js';
import { drawing, line, node, path, text } from './svg.js';
import { bare, currentUnit, length, rulerStep } from './units.js';

const PAD = 26;
const LACKING_REACH = 40; // mm along the log to either side

/** Maps bench [y, z] to paper. */
class Frame {
  constructor(points, room) {
    const box = extent(points);
    this.width = box.most[0] - box.least[0] + 2 * room.side;
    this.height = box.most[1] - box.least[1] + room.top + room.bottom;
    this.middle = (box.most[0] + box.least[0]) / 2;
    this.high = box.most[1] + room.top;
    this.box = box;
  }
  x(y) {
    return this.width / 2 - (y - this.middle);
  }
  y(z) {
    return this.high - z;
  }
  to([y, z]) {
    return [this.x(y), this.y(z)];
  }
}

function ruler(svg, frame, size) {
  const span = frame.box.most[0] - frame.box.least[0];
  const step = rulerStep(span, 6);
  const count = Math.floor(span / step);
  const from = frame.width / 2 - (count * step) / 2;
  const level = frame.height - size * 1.7;
  svg.append(line(from, level, from + count * step, level, 'ruler'));
  for (let i = 0; i <= count; i += 1) {
    const at = from + i * step;
    svg.append(line(at, level - size * 0.4, at, level + size * 0.4, 'ruler'));
    svg.append(text(at, level + size * 1.35, `${bare(i * step)}${i === count ? ` ${currentUnit()}` : ''}`,
      { 'font-size': size * 0.85, 'text-anchor': 'middle', class: 'quiet' }));
  }
}

/** The bark as arcs: full where it was seen, dotted where not. */
function barkEdge(model, svg, frame, x, bark) {
  const { i, u } = model.between(x);
  const station = u < 0.5 ? i : i + 1;
  const runs = { seen: '', unseen: '' };
  for (let k = 0; k < model.angles; k += 1) {
    const next = (k + 1) % model.angles;
    runs[model.isSeen(station, k) ? 'seen' : 'unseen'] += path([frame.to(bark[k]), frame.to(bark[next])], false);
  }
  svg.append(node('path', { d: runs.seen, class: 'bark-edge' }), node('path', { d: runs.unseen, class: 'unseen-edge' }));
}

function face(model, svg, frame, x) {
  const bark = model.bench(model.bark(x));
  const paper = (outline) => path(model.bench(outline).map((p) => frame.to(p)));
  svg.append(node('path', { d: path(bark.map((p) => frame.to(p))), class: 'bark' }));
  svg.append(node('path', { d: paper(model.wood(x)), class: 'wood' }));
  svg.append(node('path', {
    d: paper(model.wood(x, model.data.sigmas)) + paper(model.planning(x)), class: 'band', 'fill-rule': 'evenodd',
  }));
  barkEdge(model, svg, frame, x, bark);
  return bark;
}

function planes(model, svg, frame, x, bark) {
  model.planes.forEach((_, index) => {
    const z = model.planeAt(index, x);
    const ends = crossing(bark, z);
    if (!ends) return;
    const opening = index === model.data.opening_plane;
    svg.append(line(frame.x(ends[0]), frame.y(z), frame.x(ends[1]), frame.y(z), opening ? 'opening' : 'plane'));
  });
}

/** Shorter boards that come out of what the plan's boards leave. */
function shortBoards(model, svg, frame, x, size) {
  model.shortBoards.forEach((board) => {
    const corners = model.boardAt(board, x);
    if (!corners) return;
    const onPaper = corners.map((corner) => frame.to(model.toBench(corner)));
    svg.append(node('path', { d: path(onPaper), class: 'short-board' }));
    const middle = [0, 1].map((c) => onPaper.reduce((sum, p) => sum + p[c], 0) / 4);
    svg.append(text(middle[0], middle[1] + size * 0.35, board.id, { 'font-size': size, 'text-anchor': 'middle', class: 'on-board' }));
  });
}

/** Board sections with the least that they have to spare; returns a row a board. */
function boards(model, svg, frame, x, size) {
  const wood = model.planning(x);
  const rows = [];
  model.boards.forEach((board) => {
    const corners = model.boardAt(board, x);
    if (!corners) return;
    const spare = corners.map((corner) => distanceInside(wood, corner));
    const least = Math.min(...spare);
    const onPaper = corners.map((corner) => frame.to(model.toBench(corner)));
    svg.append(node('path', { d: path(onPaper), class: 'board', fill: css(spareColour(least)) }));
    onPaper.forEach((at, i) => svg.append(node('circle', {
      cx: at[0], cy: at[1], r: size * 0.28, fill: css(spareColour(spare[i])), class: 'corner',
    })));
    const middle = [0, 1].map((c) => onPaper.reduce((sum, p) => sum + p[c], 0) / 4);
    svg.append(text(middle[0], middle[1] + size * 0.35, `${board.id}  ${bare(least)}`,
      { 'font-size': size, 'text-anchor': 'middle', class: 'on-board' }));
    rows.push({ board, least });
  });
  shortBoards(model, svg, frame, x, size);
  return rows;
}

export const lacksHere = ({ lacking }, x) => lacking !== null && Math.abs(x - lacking.x) <= LACKING_REACH;

/** The spot that keeps the next board away, at the cross-sections next to it. */
function lackingMark(model, svg, frame, x, size) {
  if (!lacksHere(model, x)) return;
  const { lacking } = model;
  const [cx, cy] = frame.to(model.toBench(lacking.at));
  const r = size * 0.7;
  svg.append(node('path', { d: path([[cx - r, cy], [cx, cy - r], [cx + r, cy], [cx, cy + r]]), class: 'lacking' }));
}

/** The cross-section at x seen from the small end, and what each board has to spare there. */
export function crossSection(model, x) {
  // One scale for the whole log, so that the picture stands still while the slider moves.
  const all = [0, model.length / 4, model.length / 2, (3 * model.length) / 4, model.length]
    .flatMap((at) => model.bench(model.bark(at)));
  const size = 15;
  const frame = new Frame(all, { side: PAD, top: PAD, bottom: PAD + 30 });
  const svg = drawing(frame.width, frame.height,
    `Cross-section ${length(x)} from the small end, seen from there: bark, wood, planes and boards`);
  const bark = face(model, svg, frame, x);
  const rows = boards(model, svg, frame, x, size);
  planes(model, svg, frame, x, bark);
  lackingMark(model, svg, frame, x, size);
  ruler(svg, frame, size);
  return { svg, rows };
}
