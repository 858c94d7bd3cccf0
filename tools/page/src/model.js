// The plan's data and the geometry that all views share. Millimetres; log frame (x along the log from the small end, z up,
// y left as seen from the small end) or bench frame (the same after the roll).
const TENTHS = 10;

function bytesOf(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) bytes[i] = text.charCodeAt(i);
  return bytes;
}
function shortsOf(base64) {
  const bytes = bytesOf(base64);
  const numbers = new Uint16Array(bytes.length / 2);
  for (let i = 0; i < numbers.length; i += 1) numbers[i] = bytes[2 * i] | (bytes[2 * i + 1] << 8);
  return numbers;
}

export const KINDS = { bark: 0, wood: 1, barkSigma: 2, woodSigma: 3 };

export class Model {
  constructor(data) {
    this.data = data;
    this.plan = data.plan;
    this.isPlan = data.kind === 'plan';
    this.x = data.sections.x_mm;
    this.centres = data.sections.centre_mm;
    this.angles = data.sections.angles;
    this.tenths = shortsOf(data.sections.tenths);
    this.seen = bytesOf(data.sections.seen);
    this.length = this.x[this.x.length - 1];
    this.roll = this.isPlan ? (this.plan.opening.roll_deg * Math.PI) / 180 : 0;
    this.boards = this.isPlan ? this.plan.boards : [];
    this.planes = (data.planes ?? []).map((plane) => this.levelPlane(plane));
    this.points = data.points ? this.unpack(data.points) : null;
    this.boardSpare = this.boards.map((board) => this.spareAlong(board));
    this.lacking = this.lackingSpot();
    this.shortBoards = this.isPlan ? this.plan.short_boards : [];
  }

  /** Where the next board would leave the surface that the plan counts on, and by how much; null if not known. */
  lackingSpot() {
    const spot = this.isPlan ? this.plan.advice.limits?.next_board : null;
    if (!spot) return null;
    const theta = (spot.theta_deg * Math.PI) / 180;
    const k = ((Math.round((theta / (2 * Math.PI)) * this.angles) % this.angles) + this.angles) % this.angles;
    return { x: spot.x_mm, at: this.planning(spot.x_mm)[k], missing: spot.missing_mm };
  }

  unpack(points) {
    const steps = shortsOf(points.places);
    const places = new Float32Array(steps.length);
    for (let i = 0; i < steps.length; i += 1) places[i] = (points.least_m[i % 3] + steps[i] * points.step_m) * 1000;
    return { count: points.count, places, colours: points.colours ? bytesOf(points.colours) : null };
  }

  radius(kind, station, angle) {
    return this.tenths[(station * 4 + kind) * this.angles + angle] / TENTHS;
  }
  isSeen(station, angle) {
    return this.seen[station * this.angles + angle] === 1;
  }
  angle(k) {
    return (2 * Math.PI * k) / this.angles;
  }
  /** Index of the station before x, and the share of the way to the next. */
  between(x) {
    const last = this.x.length - 1;
    const within = Math.min(Math.max(x, 0), this.length);
    let i = 0;
    while (i < last - 1 && this.x[i + 1] < within) i += 1;
    return { i, u: (within - this.x[i]) / (this.x[i + 1] - this.x[i]) };
  }
  centreAt(x) {
    const { i, u } = this.between(x);
    return [0, 1].map((c) => (1 - u) * this.centres[i][c] + u * this.centres[i + 1][c]);
  }
  radiusAt(x, k, of) {
    const { i, u } = this.between(x);
    return (1 - u) * of(i, k) + u * of(i + 1, k);
  }
  /** Points [y, z] of the log frame; `of(station, angle)` is the radius. */
  outline(x, of) {
    const [y, z] = this.centreAt(x);
    return Array.from({ length: this.angles }, (_, k) => {
      const r = this.radiusAt(x, k, of);
      return [y + r * Math.cos(this.angle(k)), z + r * Math.sin(this.angle(k))];
    });
  }
  bark(x) {
    return this.outline(x, (i, k) => this.radius(KINDS.bark, i, k));
  }
  /** The wood surface moved out by so many of its sigmas; never further in than a tenth of its radius. */
  wood(x, sigmas = 0) {
    return this.outline(x, (i, k) => {
      const r = this.radius(KINDS.wood, i, k);
      return Math.max(r + sigmas * this.radius(KINDS.woodSigma, i, k), r / 10);
    });
  }
  planning(x) {
    return this.wood(x, -this.data.sigmas);
  }
  toBench([y, z]) {
    const c = Math.cos(this.roll);
    const s = Math.sin(this.roll);
    return [y * c - z * s, y * s + z * c];
  }
  bench(outline) {
    return outline.map((point) => this.toBench(point));
  }

  /** In the bench frame a plane is z = height + slope x. */
  levelPlane(plane) {
    const [, z] = this.toBench([plane.point_mm[1], plane.point_mm[2]]);
    const [, nz] = this.toBench([plane.normal[1], plane.normal[2]]);
    const slope = -plane.normal[0] / nz;
    return { slope, height: z - slope * plane.point_mm[0] };
  }
  planeAt(index, x) {
    return this.planes[index].height + this.planes[index].slope * x;
  }
  opening() {
    return this.planes[this.data.opening_plane];
  }
  railUnderside(x) {
    const plane = this.opening();
    return plane.height + plane.slope * x + this.plan.opening.rail_height_mm * Math.hypot(1, plane.slope);
  }

  /** The board's corners [y, z] in the log frame at x: lower left, lower right, upper right, upper left; null beyond. */
  boardAt(board, x) {
    const corners = board.corners_mm;
    const least = Math.min(...corners.slice(0, 4).map((p) => p[0]));
    const most = Math.max(...corners.slice(4).map((p) => p[0]));
    if (x < least - 0.01 || x > most + 0.01) return null;
    return [0, 1, 2, 3].map((i) => {
      const a = corners[i];
      const b = corners[i + 4];
      const t = (x - a[0]) / (b[0] - a[0]);
      return [a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])];
    });
  }

  /** How far each corner may still move out to the surface that the plan counts on, station by station. */
  spareAlong(board) {
    const from = Math.max(...board.corners_mm.slice(0, 4).map((p) => p[0]));
    const to = Math.min(...board.corners_mm.slice(4).map((p) => p[0]));
    const places = [from, ...this.x.filter((x) => x > from + 1 && x < to - 1), to];
    const rows = places.map((x) => {
      const wood = this.planning(x);
      return { x, corners: this.boardAt(board, x).map((p) => ({ at: p, spare: distanceInside(wood, p) })) };
    });
    let tightest = { spare: Infinity };
    for (const row of rows) {
      for (const corner of row.corners) {
        if (corner.spare < tightest.spare) tightest = { x: row.x, ...corner };
      }
    }
    return { rows, tightest };
  }
}

/** Distance of a point from a closed outline: positive inside. */
export function distanceInside(outline, [py, pz]) {
  let least = Infinity;
  let inside = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i, i += 1) {
    const [ay, az] = outline[i];
    const [by, bz] = outline[j];
    if (az > pz !== bz > pz && py < ((by - ay) * (pz - az)) / (bz - az) + ay) inside = !inside;
    const dy = by - ay;
    const dz = bz - az;
    const along = dy * dy + dz * dz;
    const t = along > 0 ? Math.min(Math.max(((py - ay) * dy + (pz - az) * dz) / along, 0), 1) : 0;
    least = Math.min(least, Math.hypot(py - ay - t * dy, pz - az - t * dz));
  }
  return inside ? least : -least;
}

/** From where to where a level line crosses an outline; null where it passes it by. */
export function crossing(outline, z) {
  let least = Infinity;
  let most = -Infinity;
  for (let i = 0; i < outline.length; i += 1) {
    const [ay, az] = outline[i];
    const [by, bz] = outline[(i + 1) % outline.length];
    if (az < z !== bz < z) {
      const y = ay + ((by - ay) * (z - az)) / (bz - az);
      least = Math.min(least, y);
      most = Math.max(most, y);
    }
  }
  return least < most ? [least, most] : null;
}

export function extent(points) {
  const box = { least: [Infinity, Infinity], most: [-Infinity, -Infinity] };
  for (const point of points) {
    for (const c of [0, 1]) {
      box.least[c] = Math.min(box.least[c], point[c]);
      box.most[c] = Math.max(box.most[c], point[c]);
    }
  }
  return box;
}
