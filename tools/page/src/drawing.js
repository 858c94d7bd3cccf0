// Paints the program's scenes (tools/report/scene/): what is where in millimetres; here it gets its place on the page.
import { css, spareColour } from './colours.js';
import { drawing, line, node, path, text } from './svg.js';

const SIZE = 17; // height of text, in units of the drawing
const HEAD = 10; // of an arrow
const LINE = 1.15;
const SMALL_PRINT = 0.85; // lines after the first
const KEEP = { dimension: 1.25, support: 1.1, board: 1.2 }; // roles whose first line is not as small as the others
const HIDDEN = new Set(['mark-name', 'support-note']); // the steps and tables say that
const PHONE_PX = 700;
const measure = document.createElement('canvas').getContext('2d');
const letters = getComputedStyle(document.body).fontFamily;

/** Places of a scene on paper, at so many units a millimetre. */
class Layout {
  constructor(scene, scale) {
    Object.assign(this, { scene, scale });
    this.texts = [];
    scene.dimensions.forEach((dimension) => this.place(this.figure(dimension)));
    scene.labels.forEach((label) => this.place(label));
  }
  at([x, y, right = 0, up = 0]) {
    return [x * this.scale + right * SIZE, -(y * this.scale * this.scene.heights + up * SIZE)];
  }
  lineSize(first, i) {
    return i === 0 ? first : Math.min(first, SMALL_PRINT * SIZE);
  }
  extent(lines, first) {
    const widths = lines.map((words, i) => {
      measure.font = `${i === 0 ? 650 : 400} ${this.lineSize(first, i)}px ${letters}`;
      return measure.measureText(words).width * 1.04;
    });
    return [Math.max(...widths), lines.reduce((sum, _, i) => sum + LINE * this.lineSize(first, i), 0)];
  }
  /** In the middle of its arrow, beyond it if it is too short, or beside it. */
  figure({ role, from, to, lines, side }) {
    const [a, b] = [from, to].map(([x, y, right = 0, up = 0]) => [x, y, right, up]);
    const middle = a.map((value, i) => (value + b[i]) / 2);
    if (side !== 0) return { role, at: [middle[0], middle[1], middle[2] + side * 0.6, middle[3]], align: -side, lines, yields: -1 };
    const way = this.at(b)[0] - this.at(a)[0];
    if (this.extent(lines, (KEEP[role] ?? 1) * SIZE)[0] + 2 * HEAD <= Math.abs(way)) return { role, at: middle, align: 0, lines };
    return { role, at: [b[0], b[1], b[2] + Math.sign(way) * 0.6, b[3]], align: -Math.sign(way), lines };
  }
  place({ role, at, align, lines, yields = 0, leader = [], most_height_m: most = 0 }) {
    if (HIDDEN.has(role)) return;
    const wanted = (KEEP[role] ?? 1) * SIZE;
    const first = most > 0 ? Math.min(wanted, most * 1000 * this.scale * this.scene.heights) : wanted;
    if (first < SIZE / 2) return;
    const [width, height] = this.extent(lines, first);
    const spot = this.at(at);
    const left = spot[0] - ((align + 1) / 2) * width;
    let top = spot[1] - height / 2;
    const over = (other) => left < other.left + other.width - 1 && other.left < left + width - 1
      && top < other.top + other.height - 1 && other.top < top + height - 1;
    for (let other; yields !== 0 && (other = this.texts.find(over));) top = yields > 0 ? other.top - height : other.top + other.height;
    this.texts.push({ role, align, lines, leader, first, left, top, width, height });
  }
  box() {
    const { shapes, dimensions } = this.scene;
    const points = [...shapes.filter((s) => !HIDDEN.has(s.role)).flatMap((s) => s.corners), ...dimensions.flatMap((d) => [d.from, d.to])]
      .map((p) => this.at(p));
    this.texts.forEach((t) => points.push([t.left, t.top], [t.left + t.width, t.top + t.height]));
    const [xs, ys] = [0, 1].map((c) => points.map((p) => p[c]));
    return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) };
  }
}

/** At the scale at which all of it is as wide as the drawing. */
function laidOut(scene, width) {
  let [least, most] = [0, width / 10];
  for (let i = 0; i < 20; i += 1) {
    const scale = (least + most) / 2;
    const box = new Layout(scene, scale).box();
    if (box.right - box.left <= width) least = scale;
    else most = scale;
  }
  return new Layout(scene, least);
}

function arrow(svg, layout, { role, from, to }) {
  const [a, b] = [layout.at(from), layout.at(to)];
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  svg.append(line(...a, ...b, role));
  if (length < 2 * HEAD) return;
  const [x, y] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  [[a, 1], [b, -1]].forEach(([tip, way]) => svg.append(node('path', {
    d: path([tip, ...[1, -1].map((side) => [tip[0] + HEAD * (way * x - side * 0.4 * y), tip[1] + HEAD * (way * y + side * 0.4 * x)])]),
    class: 'arrow',
  })));
}

function words(svg, layout, { role, align, lines, first, left, top, width }) {
  let base = top;
  lines.forEach((said, i) => {
    const size = layout.lineSize(first, i);
    svg.append(text(left + ((align + 1) / 2) * width, base + 0.93 * size, said, {
      'font-size': size, 'text-anchor': ['start', 'middle', 'end'][align + 1],
      class: role === 'board' ? 'on-board' : role === 'far-board' || i > 0 ? 'quiet' : 'figure',
    }));
    base += LINE * size;
  });
}

/** A drawing of a scene; boards in the colour of what they have to spare. */
export function sceneDrawing(scene, model) {
  const spare = new Map(model.boards.map((board, i) => [board.id, css(spareColour(model.boardSpare[i].tightest.spare))]));
  const long = scene.heights > 1;
  const layout = laidOut(scene, window.innerWidth < PHONE_PX ? 480 : long ? 1000 : 600);
  const { left, right, top, bottom } = layout.box();
  const pad = 3;
  const svg = drawing(right - left + 2 * pad, bottom - top + 2 * pad, scene.title);
  const group = node('g', { transform: `translate(${pad - left} ${pad - top})` });
  scene.shapes.forEach(({ role, corners, closed, board }) => group.append(node('path', {
    d: path(corners.map((spot) => layout.at(spot)), closed), class: `${role}${closed ? '' : ' open'}`, ...(role !== 'far-board' && board ? { fill: spare.get(board) } : {}),
  })));
  scene.dimensions.forEach((dimension) => arrow(group, layout, dimension));
  layout.texts.forEach((placed) => placed.leader.forEach((spot) => {
    const [x, y] = layout.at(spot);
    const held = (value, from, size) => Math.min(Math.max(value, from), from + size);
    group.append(line(x, y, held(x, placed.left, placed.width), held(y, placed.top, placed.height), 'leader'));
  }));
  layout.texts.forEach((placed) => words(group, layout, placed));
  svg.append(group);
  return svg;
}
