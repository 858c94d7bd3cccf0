// The 3D view. Metres; the world's z is up and x runs along the log. What belongs to the log turns with it.
import {
  AmbientLight, BufferAttribute, BufferGeometry, CanvasTexture, Color, CylinderGeometry, DirectionalLight, DoubleSide, Group,
  Line, LineBasicMaterial, LineLoop, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial, OctahedronGeometry, PerspectiveCamera, Points,
  PointsMaterial, Scene, SphereGeometry, BoxGeometry, ConeGeometry, Sprite, SpriteMaterial, SRGBColorSpace, Vector3, WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { KINDS } from './model.js';
import { aboveBark } from './along.js';
import { spareColour, statusColour } from './colours.js';

const M = 1 / 1000;
const ON_LOG_MM = 30; // points nearer to the bark than this are the log's own
const FIELD_DEG = 32;

/** Layers in the order of their switches; `on` at the start. */
export const LAYERS = [
  { name: 'points', label: 'Scan points', on: true },
  { name: 'around', label: 'Ground and bearers', on: true, scannedOnly: true },
  { name: 'surface', label: 'Bark surface', on: false },
  { name: 'wood', label: 'Wood surface', on: false },
  { name: 'unseen', label: 'Not seen', on: true },
  { name: 'centreline', label: 'Centreline', on: false },
  { name: 'pith', label: 'Pith', on: false },
  { name: 'knots', label: 'Knots', on: true },
  { name: 'planes', label: 'Cut planes', on: true, plan: true },
  { name: 'boards', label: 'Boards', on: true, plan: true },
  { name: 'tight', label: 'Tightest spots', on: false, plan: true },
  { name: 'lacking', label: 'Where the next board fails', on: false, plan: true },
  { name: 'rail', label: 'Rail and supports', on: true, plan: true },
  { name: 'section', label: 'Cross-section ring', on: true },
];

const linear = (byte) => {
  const s = byte / 255;
  return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
};

function geometry(positions, indices, colours) {
  const made = new BufferGeometry();
  made.setAttribute('position', new BufferAttribute(new Float32Array(positions), 3));
  if (colours) made.setAttribute('color', new BufferAttribute(new Float32Array(colours), 3));
  if (indices) made.setIndex(indices);
  return made;
}

function pointClouds(model) {
  const own = { places: [], colours: [] };
  const around = { places: [], colours: [] };
  const { places, colours, count } = model.points;
  for (let p = 0; p < count; p += 1) {
    const at = [places[3 * p], places[3 * p + 1], places[3 * p + 2]];
    const above = aboveBark(model, ...at);
    const beyond = Math.min(Math.max(at[0], 0), model.length);
    const near = above !== null ? above < ON_LOG_MM : aboveBark(model, beyond, at[1], at[2]) < ON_LOG_MM;
    const into = near ? own : around;
    into.places.push(at[0] * M, at[1] * M, at[2] * M);
    const grey = [150, 140, 125];
    for (let c = 0; c < 3; c += 1) into.colours.push(linear(colours ? colours[3 * p + c] : grey[c]));
  }
  return [own, around].map((cloud) => new Points(geometry(cloud.places, null, cloud.colours),
    new PointsMaterial({ size: 0.009, vertexColors: true })));
}

/** Triangles between neighbouring stations where `shown(station, angle)`. */
function surface(model, kind, lift, shown) {
  const positions = [];
  const indices = [];
  const n = model.angles;
  model.x.forEach((x, i) => {
    for (let k = 0; k < n; k += 1) {
      const r = model.radius(kind, i, k) + lift;
      positions.push(x * M, (model.centres[i][0] + r * Math.cos(model.angle(k))) * M, (model.centres[i][1] + r * Math.sin(model.angle(k))) * M);
    }
  });
  for (let i = 0; i + 1 < model.x.length; i += 1) {
    for (let k = 0; k < n; k += 1) {
      if (!shown(i, k)) continue;
      const [a, b, c, d] = [i * n + k, i * n + ((k + 1) % n), (i + 1) * n + k, (i + 1) * n + ((k + 1) % n)];
      indices.push(a, b, c, b, d, c);
    }
  }
  const made = geometry(positions, indices);
  made.computeVertexNormals();
  return made;
}

function lineOf(points, colour) {
  return new Line(geometry(points.flat()), new LineBasicMaterial({ color: colour, depthTest: false }));
}

function boardMesh(model, index) {
  const { rows } = model.boardSpare[index];
  const step = Math.max(1, Math.floor(rows.length / 40));
  const kept = rows.filter((_, i) => i % step === 0 || i === rows.length - 1);
  const positions = [];
  const colours = [];
  kept.forEach((row) => row.corners.forEach(({ at, spare }) => {
    positions.push(row.x * M, at[0] * M, at[1] * M);
    colours.push(...spareColour(spare).map(linear));
  }));
  const indices = [0, 1, 2, 0, 2, 3];
  const last = (kept.length - 1) * 4;
  indices.push(last, last + 2, last + 1, last, last + 3, last + 2);
  for (let i = 0; i + 1 < kept.length; i += 1) {
    for (let c = 0; c < 4; c += 1) {
      const [a, b] = [i * 4 + c, i * 4 + ((c + 1) % 4)];
      indices.push(a, a + 4, b, b, a + 4, b + 4);
    }
  }
  const flat = geometry(positions, indices, colours).toNonIndexed();
  flat.computeVertexNormals();
  const mesh = new Mesh(flat, new MeshLambertMaterial({ vertexColors: true, side: DoubleSide }));
  mesh.add(boardEdges(model.boards[index], 0x1c2a38));
  return mesh;
}

function boardEdges(board, colour) {
  const corner = (i) => board.corners_mm[i].map((v) => v * M);
  const edges = [[0, 1], [1, 2], [2, 3], [3, 0], [4, 5], [5, 6], [6, 7], [7, 4], [0, 4], [1, 5], [2, 6], [3, 7]]
    .flatMap(([a, b]) => [...corner(a), ...corner(b)]);
  return new LineSegments(geometry(edges), new LineBasicMaterial({ color: colour }));
}

function label(words, size, colour = '#16202a', ground = 'rgba(255,255,255,0.86)') {
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d');
  context.font = '600 48px system-ui, sans-serif';
  canvas.width = Math.ceil(context.measureText(words).width) + 36;
  canvas.height = 72;
  context.font = '600 48px system-ui, sans-serif';
  context.fillStyle = ground;
  context.beginPath();
  context.roundRect(0, 0, canvas.width, canvas.height, 20);
  context.fill();
  context.fillStyle = colour;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  context.fillText(words, canvas.width / 2, canvas.height / 2 + 3);
  const texture = new CanvasTexture(canvas);
  texture.colorSpace = SRGBColorSpace;
  const sprite = new Sprite(new SpriteMaterial({ map: texture, depthTest: false }));
  sprite.scale.set((size * canvas.width) / canvas.height, size, 1);
  sprite.renderOrder = 10;
  return sprite;
}

/** A plane's rectangle over the log, bench frame. */
function planeMesh(model, index, half) {
  const opening = index === model.data.opening_plane;
  const [from, to] = [-60, model.length + 60];
  const corners = [[from, -half], [from, half], [to, half], [to, -half]].map(([x, y]) => [x * M, y * M, model.planeAt(index, x) * M]);
  const mesh = new Mesh(geometry(corners.flat(), [0, 1, 2, 0, 2, 3]), new MeshBasicMaterial({
    color: opening ? 0x0072b2 : 0x56a0d0, transparent: true, opacity: opening ? 0.24 : 0.06, side: DoubleSide, depthWrite: false,
  }));
  mesh.add(new LineLoop(geometry(corners.flat()), new LineBasicMaterial({ color: opening ? 0x005a8c : 0x7fb2d2 })));
  return mesh;
}

function box(size, at, colour, slope) {
  const mesh = new Mesh(new BoxGeometry(...size.map((v) => v * M)), new MeshLambertMaterial({ color: colour }));
  mesh.position.set(...at.map((v) => v * M));
  mesh.rotation.y = -Math.atan(slope);
  return mesh;
}

/** Rail, crosspieces and screws of one rail position, bench frame. */
function railGroup(model, position) {
  const group = new Group();
  const { kit } = model.data;
  const rail = model.plan.setup.rail_positions[position];
  const { slope } = model.opening();
  const thick = Math.max(kit.rail_height_mm, 20);
  const middle = (rail.start_x_mm + rail.end_x_mm) / 2;
  group.add(box([rail.end_x_mm - rail.start_x_mm, kit.rail_width_mm, thick],
    [middle, kit.rail_y_mm, model.railUnderside(middle) + thick / 2], 0x8c98a4, slope));
  const across = Math.max(kit.screw_spacing_mm + 40, kit.rail_width_mm);
  const along = Math.max(kit.support_width_mm, 40); // a kit may leave it open
  const deep = Math.max(kit.support_thickness_mm, 12);
  model.plan.supports.filter((support) => support.rail_position === position + 1).forEach((support) => {
    const under = model.railUnderside(support.x_mm);
    group.add(box([along, across, deep], [support.x_mm, kit.rail_y_mm, under - deep / 2], 0x4a5866, slope));
    for (const side of ['left', 'right']) {
      const gap = support[`gap_${side}_mm`];
      if (gap === null || gap <= 0) continue;
      const words = support.status.includes(side === 'left' ? 'right' : 'left') ? 'ok' : support.status;
      const screw = new Mesh(new CylinderGeometry(0.009, 0.009, gap * M, 12), new MeshLambertMaterial({ color: statusColour(words) }));
      screw.rotation.x = Math.PI / 2;
      screw.position.set(support.x_mm * M, support[`y_${side}_mm`] * M, (under - gap / 2) * M);
      group.add(screw);
    }
    const name = label(`${support.support}`, 0.09);
    name.position.set(support.x_mm * M, kit.rail_y_mm * M, (under + thick + 70) * M);
    group.add(name);
  });
  model.plan.setup.high_spots.filter((s) => s.x_mm >= rail.start_x_mm && s.x_mm <= rail.end_x_mm).forEach((spot) => {
    const cone = new Mesh(new ConeGeometry(0.02, 0.06, 16), new MeshLambertMaterial({ color: 0xd55e00 }));
    cone.rotation.x = -Math.PI / 2;
    cone.position.set(spot.x_mm * M, spot.y_mm * M, (model.railUnderside(spot.x_mm) + 10) * M);
    group.add(cone);
  });
  return group;
}

function knotGroup(model) {
  const group = new Group();
  model.plan.log.knots.forEach((knot) => {
    const theta = (knot.theta_deg * Math.PI) / 180;
    const [y, z] = model.centreAt(knot.x_mm);
    const k = (Math.round((theta / (2 * Math.PI)) * model.angles) + model.angles) % model.angles;
    const r = model.radiusAt(knot.x_mm, k, (i, angle) => model.radius(KINDS.bark, i, angle));
    const cone = new Mesh(new ConeGeometry(Math.max(knot.extent_mm / 2, 15) * M, Math.max(knot.height_mm, 15) * 1.5 * M, 20),
      new MeshLambertMaterial({ color: 0x9c4a1c }));
    const out = new Vector3(0, Math.cos(theta), Math.sin(theta));
    cone.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), out);
    cone.position.set(knot.x_mm * M, (y + r * Math.cos(theta)) * M, (z + r * Math.sin(theta)) * M);
    group.add(cone);
  });
  return group;
}

/** Where wood is missing for one more board. */
function lackingMark({ lacking }) {
  const group = new Group();
  const mark = new Mesh(new OctahedronGeometry(0.028), new MeshLambertMaterial({ color: 0xb0207a, depthTest: false }));
  mark.renderOrder = 9;
  mark.position.set(lacking.x * M, lacking.at[0] * M, lacking.at[1] * M);
  const name = label('the next board fails here', 0.07);
  name.position.copy(mark.position).add(new Vector3(0, 0, 0.09));
  group.add(mark, name);
  return group;
}

export class LogScene {
  /** Throws where the browser has no WebGL. */
  constructor(canvas, model) {
    this.model = model;
    this.canvas = canvas;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(FIELD_DEG, 1, 0.02, 200);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.addEventListener('change', () => this.draw());
    this.turn = 0;
    this.scanned = false;
    this.radius = Math.max(...model.x.map((_, i) => model.radius(KINDS.bark, i, 0))) * M * 1.15;
    this.wanted = Object.fromEntries(LAYERS.map((layer) => [layer.name, layer.on]));
    this.build();
    this.setScanned(false, false);
  }

  build() {
    const { model } = this;
    this.scene.add(new AmbientLight(0xffffff, 1.7));
    for (const [x, y, z, strength] of [[-3, -5, 6, 1.6], [4, 6, 2, 0.7]]) {
      const light = new DirectionalLight(0xffffff, strength);
      light.position.set(x, y, z);
      this.scene.add(light);
    }
    this.log = new Group();
    this.bench = new Group();
    this.bench.rotation.x = -model.roll;
    this.log.add(this.bench);
    this.scene.add(this.log);
    this.layers = {};
    this.fill();
  }

  layer(name, object, parent = this.log) {
    const group = this.layers[name] ?? new Group();
    if (!this.layers[name]) {
      this.layers[name] = group;
      parent.add(group);
    }
    group.add(object);
  }

  fill() {
    const { model } = this;
    const always = () => true;
    if (model.points) {
      const [own, around] = pointClouds(model);
      this.layer('points', own);
      this.layer('around', around);
    }
    this.layer('surface', new Mesh(surface(model, KINDS.bark, 0, always),
      new MeshLambertMaterial({ color: 0x9a8164, transparent: true, opacity: 0.5, depthWrite: false, side: DoubleSide })));
    this.layer('wood', new Mesh(surface(model, KINDS.wood, 0, always),
      new MeshLambertMaterial({ color: 0xe2c48c, transparent: true, opacity: 0.42, depthWrite: false, side: DoubleSide })));
    this.layer('unseen', new Mesh(surface(model, KINDS.bark, 1, (i, k) => !model.isSeen(i, k)),
      new MeshLambertMaterial({ color: 0xe2aa6e, transparent: true, opacity: 0.5, depthWrite: false, side: DoubleSide })));
    this.layer('centreline', lineOf(model.x.map((x, i) => [x * M, model.centres[i][0] * M, model.centres[i][1] * M]), 0x111111));
    const { pith } = model.plan.log;
    this.layer('pith', lineOf([[0, ...pith.small_end_mm.map((v) => v * M)], [model.length * M, ...pith.large_end_mm.map((v) => v * M)]], 0xb0207a));
    this.layer('knots', knotGroup(model));
    if (model.isPlan) this.fillPlan();
    this.setStation(model.length / 2);
  }

  fillPlan() {
    const { model } = this;
    const half = this.radius * 1000 + 40;
    model.planes.forEach((_, index) => this.layer('planes', planeMesh(model, index, half), this.bench));
    this.boardMeshes = model.boards.map((_, index) => boardMesh(model, index));
    this.boardMeshes.forEach((mesh) => this.layer('boards', mesh));
    model.shortBoards.forEach((board) => this.layer('boards', boardEdges(board, 0x6b4f2a)));
    model.boardSpare.forEach(({ tightest }, index) => {
      const ball = new Mesh(new SphereGeometry(0.018, 16, 12), new MeshLambertMaterial({ color: 0xa93014, depthTest: false }));
      ball.renderOrder = 9;
      ball.position.set(tightest.x * M, tightest.at[0] * M, tightest.at[1] * M);
      this.layer('tight', ball);
      const name = label(model.boards[index].id, 0.07);
      name.position.copy(ball.position).add(new Vector3(0, tightest.at[0] > 0 ? 0.06 : -0.06, 0.03));
      this.layer('tight', name);
    });
    if (model.lacking) this.layer('lacking', lackingMark(model));
    this.rails = model.plan.setup.rail_positions.map((_, position) => railGroup(model, position));
    this.rails.forEach((group) => this.layer('rail', group, this.bench));
    this.setRailPosition(0);
  }

  setRailPosition(position) {
    this.rails?.forEach((group, i) => { group.visible = i === position; });
    this.draw();
  }

  setLayer(name, on) {
    this.wanted[name] = on;
    this.apply();
  }

  apply() {
    LAYERS.forEach((layer) => {
      const group = this.layers[layer.name];
      if (!group) return;
      const atRest = layer.name === 'rail' ? !this.scanned : !layer.scannedOnly || this.scanned || this.model.roll === 0;
      group.visible = this.wanted[layer.name] && atRest;
    });
    this.draw();
  }

  /** The ring of the cross-section that the slider shows. */
  setStation(x) {
    const ring = this.layers.section;
    if (ring) ring.clear();
    const points = this.model.bark(x).map(([y, z]) => [x * M, y * M, z * M]);
    this.layer('section', new LineLoop(geometry(points.flat()), new LineBasicMaterial({ color: 0xb0207a })));
    this.draw();
  }

  /** As scanned or rolled; the turn takes a moment unless the person wants no movement. */
  setScanned(scanned, animate = true) {
    const target = scanned ? 0 : this.model.roll;
    this.scanned = scanned;
    this.apply();
    if (!animate || calm()) {
      this.turn = target;
      this.log.rotation.x = target;
      this.draw();
      return Promise.resolve();
    }
    const from = this.turn;
    return this.animate('turn', 1400, (u) => {
      this.turn = from + (target - from) * u;
      this.log.rotation.x = this.turn;
    });
  }

  animate(name, duration, step) {
    this.running ??= {};
    const id = (this.running[name] = (this.running[name] ?? 0) + 1);
    const start = performance.now();
    return new Promise((done) => {
      const tick = (now) => {
        if (this.running[name] !== id) {
          done();
          return;
        }
        const t = Math.min(Math.max((now - start) / duration, 0), 1);
        step(t * t * (3 - 2 * t));
        this.paint();
        if (t < 1) requestAnimationFrame(tick);
        else done();
      };
      requestAnimationFrame(tick);
    });
  }

  /** Where to stand so that the whole log, or one end of it, fills the picture. */
  place(name) {
    const length = this.model.length * M;
    const r = this.radius;
    const end = name.endsWith('end');
    const [from, to] = end ? (name === 'small end' ? [0, 0] : [length, length]) : [0, length];
    const high = this.model.isPlan ? r * 1.6 : r * 1.1; // the rail stands above the log
    const ways = {
      'small end': [-1, 0, 0.03], 'large end': [1, 0, 0.03], side: [0, -1, 0.02], top: [0, -0.002, 1], oblique: [-0.62, -1, 0.62],
    };
    const way = new Vector3(...(ways[name] ?? ways.oblique)).normalize();
    const corners = [from, to].flatMap((x) => [-1.15 * r, 1.15 * r].flatMap((y) => [-1.2 * r, high].map((z) => new Vector3(x, y, z))));
    return this.standing(corners, way);
  }

  /** The nearest place in this direction from which all corners are seen, the picture centred on them. */
  standing(corners, way) {
    const eye = this.camera.clone();
    const target = corners.reduce((sum, corner) => sum.add(corner), new Vector3()).divideScalar(corners.length);
    const look = (distance) => {
      eye.position.copy(target).addScaledVector(way, distance);
      eye.lookAt(target);
      eye.updateMatrixWorld();
      return corners.map((corner) => corner.clone().project(eye));
    };
    const spread = (seen, axis) => [Math.min(...seen.map((p) => p[axis])), Math.max(...seen.map((p) => p[axis]))];
    let distance = 0;
    for (let round = 0; round < 4; round += 1) {
      let [near, far] = [0.5, 100];
      for (let i = 0; i < 30; i += 1) {
        const middle = (near + far) / 2;
        const seen = look(middle);
        const fits = ['x', 'y'].every((axis) => Math.max(...seen.map((p) => Math.abs(p[axis]))) < 0.93) && seen.every((p) => p.z < 1);
        [near, far] = fits ? [near, middle] : [middle, far];
      }
      distance = far;
      const seen = look(distance);
      const [left, right] = spread(seen, 'x');
      const [low, top] = spread(seen, 'y');
      const half = distance * Math.tan((FIELD_DEG * Math.PI) / 360);
      const aside = new Vector3().setFromMatrixColumn(eye.matrixWorld, 0).multiplyScalar(((left + right) / 2) * half * this.camera.aspect);
      const up = new Vector3().setFromMatrixColumn(eye.matrixWorld, 1).multiplyScalar(((low + top) / 2) * half);
      target.add(aside).add(up);
    }
    return { target, position: target.clone().addScaledVector(way, distance) };
  }

  setView(name, animate = true) {
    this.view = name;
    const to = this.place(name);
    const from = { target: this.controls.target.clone(), position: this.camera.position.clone() };
    const step = (u) => {
      this.controls.target.lerpVectors(from.target, to.target, u);
      this.camera.position.lerpVectors(from.position, to.position, u);
      this.camera.lookAt(this.controls.target);
    };
    if (!animate || calm()) {
      step(1);
      this.controls.update();
      this.draw();
      return Promise.resolve();
    }
    return this.animate('view', 600, step).then(() => this.controls.update());
  }

  zoom(factor) {
    this.camera.position.sub(this.controls.target).multiplyScalar(factor).add(this.controls.target);
    this.controls.update();
    this.draw();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.canvas.parentElement;
    if (width === 0 || height === 0) return;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (this.view) this.setView(this.view, false);
  }

  setGround(colour) {
    this.renderer.setClearColor(new Color(colour));
    this.draw();
  }

  /** Soon, once, however often it is asked for. */
  draw() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      this.paint();
    });
  }

  paint() {
    this.renderer.render(this.scene, this.camera);
    if (!this.first) {
      this.first = performance.now();
      document.documentElement.dataset.firstPictureMs = Math.round(this.first).toString();
    }
  }
}

const calm = () => window.matchMedia('(prefers-reduced-motion: reduce)').matches;
