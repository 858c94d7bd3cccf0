// Cross-sections and end faces: bench frame, as someone sees them who stands before them.
import { crossing, distanceInside, extent } from './model.js';
import { css, spareColour } from './colours.js';
import { drawing, line, node, path, text } from './svg.js';
import { bare, currentUnit, length, rulerStep } from './units.js';

const PAD = 26;
const PHONE_PX = 700;
const LACKING_REACH = 40; // mm along the log to either side
const onPhone = () => window.innerWidth < PHONE_PX; // larger words there, as drawings are small

/** Maps bench [y, z] to paper for a view from the small end or, mirrored, from the large end. */
class Frame {
  constructor(points, fromLarge, room) {
    const box = extent(points);
    this.sign = fromLarge ? 1 : -1;
    this.width = box.most[0] - box.least[0] + 2 * room.side;
    this.height = box.most[1] - box.least[1] + room.top + room.bottom;
    this.middle = (box.most[0] + box.least[0]) / 2;
    this.high = box.most[1] + room.top;
    this.box = box;
  }
  x(y) {
    return this.width / 2 + this.sign * (y - this.middle);
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
  svg.append(node('path', { d: runs.seen, class: 'bark-edge' }), node('path', { d: runs.unseen, class: 'bark-edge unseen' }));
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
  const frame = new Frame(all, false, { side: PAD, top: PAD, bottom: PAD + 30 });
  const svg = drawing(frame.width, frame.height,
    `Cross-section ${length(x)} from the small end, seen from there: bark, wood, planes and boards`);
  const bark = face(model, svg, frame, x);
  const rows = boards(model, svg, frame, x, size);
  planes(model, svg, frame, x, bark);
  lackingMark(model, svg, frame, x, size);
  ruler(svg, frame, size);
  return { svg, rows };
}

function dimension(svg, x, from, to, words, side, size) {
  if (Math.abs(from - to) < 1) return;
  const [high, low] = [Math.min(from, to), Math.max(from, to)];
  const tip = size * 0.3;
  svg.append(line(x, high, x, low, 'dimension'));
  for (const [at, way] of [[high, 1], [low, -1]]) {
    svg.append(node('path', { d: path([[x, at], [x - tip, at + way * 2 * tip], [x + tip, at + way * 2 * tip]]), class: 'arrow' }));
  }
  const words2 = words.split('|');
  const middle = Math.max((high + low) / 2, size);
  svg.append(text(x + side * size * 0.5, middle, words2[0],
    { 'font-size': size * 1.25, 'text-anchor': side > 0 ? 'start' : 'end', class: 'figure' }));
  svg.append(text(x + side * size * 0.5, middle + size, words2[1],
    { 'font-size': size * 0.85, 'text-anchor': side > 0 ? 'start' : 'end', class: 'quiet' }));
}

/** One end face with its marks. `words` are the figures as the sheet writes them. */
export function endFace(model, large, words) {
  const x = large ? model.length : 0;
  const bark = model.bench(model.bark(x));
  const size = onPhone() ? 27 : 17;
  const mark = model.isPlan ? model.plan.setup[large ? 'large_end' : 'small_end'] : null;
  const pith = model.toBench(model.plan.log.pith[large ? 'large_end_mm' : 'small_end_mm']);
  const railLevel = mark ? pith[1] + mark.bracket_above_pith_mm : -Infinity;
  const railTop = mark ? railLevel + Math.max(model.data.kit.rail_height_mm, 40) : -Infinity;
  const inView = mark ? [...bark, [pith[0], railTop]] : bark;
  const frame = new Frame(inView, large, { side: mark ? size * 8.2 : PAD, top: PAD, bottom: PAD + size * 2 });
  const name = large ? 'large end' : 'small end';
  const svg = drawing(frame.width, frame.height, `The ${name} as you face it${mark ? ', log rolled, with its marks' : ''}`);
  face(model, svg, frame, x);
  if (mark) {
    model.boards.forEach((board) => {
      const corners = model.boardAt(board, large ? Math.min(x, Math.max(...board.corners_mm.map((p) => p[0])))
        : Math.max(x, Math.min(...board.corners_mm.map((p) => p[0]))));
      svg.append(node('path', { d: path(corners.map((c) => frame.to(model.toBench(c)))), class: 'board-ghost' }));
    });
    planes(model, svg, frame, x, bark);
    marks(model, svg, frame, { large, mark, pith, railLevel, words, size, bark });
  } else {
    plumb(svg, frame, pith, bark);
  }
  ruler(svg, frame, size);
  return svg;
}

function plumb(svg, frame, pith, bark) {
  const box = extent(bark);
  svg.append(line(frame.x(pith[0]), frame.y(box.most[1]), frame.x(pith[0]), frame.y(box.least[1]), 'plumb'));
  const [x, y] = frame.to(pith);
  svg.append(line(x - 8, y, x + 8, y, 'pith'), line(x, y - 8, x, y + 8, 'pith'));
}

function marks(model, svg, frame, { large, mark, pith, railLevel, words, size, bark }) {
  plumb(svg, frame, pith, bark);
  const cut = pith[1] + mark.above_pith_mm;
  const { kit } = model.data;
  const half = Math.max(kit.rail_width_mm, kit.bracket_width_mm) / 2;
  const at = [kit.rail_y_mm - half, kit.rail_y_mm + half].map((y) => frame.x(y)).sort((a, b) => a - b);
  svg.append(node('rect', {
    x: at[0], y: frame.y(railLevel + kit.rail_height_mm), width: at[1] - at[0], height: kit.rail_height_mm, class: 'rail',
  }));
  svg.append(line(size, frame.y(railLevel), frame.width - size, frame.y(railLevel), 'helper'));
  svg.append(line(size, frame.y(cut), frame.width - size, frame.y(cut), 'helper'));
  const left = Math.min(frame.x(frame.box.least[0]), frame.x(frame.box.most[0])) - size * 0.9;
  const right = frame.width - left;
  const top = cut + mark.below_top_mm;
  const bottom = cut - mark.above_bottom_mm;
  dimension(svg, left, frame.y(top), frame.y(cut), `${words.below_top}|${mark.below_top_mm < 0 ? 'above top' : 'below top'}`, -1, size);
  dimension(svg, left, frame.y(cut), frame.y(bottom), `${words.above_bottom}|above bottom`, -1, size);
  dimension(svg, right, frame.y(railLevel), frame.y(cut), `${words.rail_above_cut}|rail to cut`, 1, size);
  dimension(svg, right, frame.y(cut), frame.y(pith[1]),
    `${words.above_pith}|${mark.above_pith_mm < 0 ? 'below ' : 'above '}${words.pith_assumed ? 'middle' : 'pith'}`, 1, size);
  const sides = large ? ['half_width_right', 'half_width_left'] : ['half_width_left', 'half_width_right'];
  sides.forEach((side, i) => {
    const reach = mark[`${side}_mm`];
    if (!(reach > 0)) return;
    const outwards = i === 0 ? -1 : 1;
    svg.append(text(frame.x(pith[0]) + (outwards * reach) / 2, frame.y(cut) - size * 0.5, words[side],
      { 'font-size': size, 'text-anchor': 'middle', class: 'figure on-wood' }));
  });
}

/** What was level before the roll, and where the top goes; the small end after rolling. */
export function rollDrawing(model, words) {
  const bark = model.bench(model.bark(0));
  const size = 17;
  const frame = new Frame(bark, false, { side: 90, top: 44, bottom: 44 });
  const svg = drawing(frame.width, frame.height, 'The small end after rolling: the old level line and the new top');
  svg.append(node('path', { d: path(bark.map((p) => frame.to(p))), class: 'bark' }));
  const centre = model.toBench(model.centres[0]);
  const half = (frame.box.most[0] - frame.box.least[0]) / 2;
  const along = (direction, by) => frame.to([centre[0] + by * half * direction[0], centre[1] + by * half * direction[1]]);
  const level = model.toBench([1, 0]);
  const up = model.toBench([0, 1]);
  const draw = (from, to, name) => svg.append(line(from[0], from[1], to[0], to[1], name));
  draw(along(level, -1), along(level, 1), 'old-level');
  draw(along(up, 0), along(up, 1.05), 'helper');
  draw(along([0, 1], 0), along([0, 1], 1.05), 'opening');
  const old = along(up, 1.2);
  svg.append(text(old[0], old[1], 'old top', { 'font-size': size, 'text-anchor': 'middle', class: 'quiet' }));
  svg.append(text(frame.x(centre[0]), size * 1.2, 'new top', { 'font-size': size, 'text-anchor': 'middle', class: 'figure' }));
  svg.append(text(frame.width / 2, frame.height - size * 0.6, words, { 'font-size': size, 'text-anchor': 'middle', class: 'figure' }));
  return svg;
}
