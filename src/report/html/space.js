// Points in space are [x, y, z] in feet, z up. A view is a parallel projection: `az` is the bearing at which the viewer
// stands, `el` how high, both in degrees. On the screen x is to the right, y down, and w towards the viewer, all in pixels.

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

function makeView(az, el, scale, middle, target) {
  const p = (az * Math.PI) / 180, e = (el * Math.PI) / 180;
  const right = [-Math.cos(p), Math.sin(p), 0];
  const toward = [Math.sin(p) * Math.cos(e), Math.cos(p) * Math.cos(e), Math.sin(e)];
  const up = [
    toward[1] * right[2] - toward[2] * right[1],
    toward[2] * right[0] - toward[0] * right[2],
    toward[0] * right[1] - toward[1] * right[0],
  ];
  const project = (q) => {
    const d = [q[0] - target[0], q[1] - target[1], q[2] - target[2]];
    return [middle[0] + scale * dot(d, right), middle[1] - scale * dot(d, up), scale * dot(d, toward)];
  };
  return { right, toward, up, scale, project };
}

// --- Painter's order: a binary space partition by the planes of the faces, made once. -------------------------------

const ON_PLANE_FT = 1e-3;

function splitByPlane(piece, plane) {
  const side = piece.points.map((p) => dot(plane.n, p) - plane.k);
  const front = side.some((s) => s > ON_PLANE_FT), back = side.some((s) => s < -ON_PLANE_FT);
  if (!front || !back) return { on: !front && !back, front: front ? piece : null, back: back ? piece : null };
  const parts = { front: [], back: [] };
  piece.points.forEach((p, i) => {
    const j = (i + 1) % piece.points.length, q = piece.points[j], s = side[i], t = side[j];
    if (s >= -ON_PLANE_FT) parts.front.push(p);
    if (s <= ON_PLANE_FT) parts.back.push(p);
    if ((s > ON_PLANE_FT && t < -ON_PLANE_FT) || (s < -ON_PLANE_FT && t > ON_PLANE_FT)) {
      const f = s / (s - t), cut = [0, 1, 2].map((k) => p[k] + (q[k] - p[k]) * f);
      parts.front.push(cut);
      parts.back.push(cut);
    }
  });
  return {
    on: false,
    front: { face: piece.face, points: parts.front },
    back: { face: piece.face, points: parts.back },
  };
}

// Of a few planes, the one that cuts least and divides most evenly.
function bestPlane(pieces, planes) {
  const faces = [...new Set(pieces.map((p) => p.face))];
  const tries = Math.min(faces.length, 7);
  let best = null;
  for (let i = 0; i < tries; i++) {
    const plane = planes[faces[Math.floor((i * faces.length) / tries)]];
    let cut = 0, front = 0, back = 0;
    for (const piece of pieces) {
      let f = false, b = false;
      for (const p of piece.points) {
        const s = dot(plane.n, p) - plane.k;
        if (s > ON_PLANE_FT) f = true;
        else if (s < -ON_PLANE_FT) b = true;
      }
      if (f && b) cut++;
      else if (f) front++;
      else if (b) back++;
    }
    const cost = 4 * cut + Math.abs(front - back);
    if (!best || cost < best.cost) best = { plane, cost };
  }
  return best.plane;
}

function partition(pieces, planes) {
  if (!pieces.length) return null;
  const plane = bestPlane(pieces, planes);
  const node = { plane, on: [] }, front = [], back = [];
  for (const piece of pieces) {
    const parts = splitByPlane(piece, plane);
    if (parts.on) node.on.push(piece);
    if (parts.front) front.push(parts.front);
    if (parts.back) back.push(parts.back);
  }
  // A face whose corners stray from its plane would come back for ever.
  if (!node.on.length) node.on.push((front.length ? front : back).pop());
  node.front = partition(front, planes);
  node.back = partition(back, planes);
  return node;
}

function paintInOrder(node, toward, paint) {
  if (!node) return;
  const inFront = dot(node.plane.n, toward) >= 0;
  paintInOrder(inFront ? node.back : node.front, toward, paint);
  node.on.forEach(paint);
  paintInOrder(inFront ? node.front : node.back, toward, paint);
}

// --- Hidden lines: exact, every line against every face on the screen. -----------------------------------------------

// A face as the screen has it: rings, box, and its depth w = a x + b y + c.
function screenFace(face, view) {
  const rings = face.rings.map((ring) => ring.map(view.project));
  const f = dot(face.plane.n, view.toward);
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  let nearest = -Infinity;
  for (const [x, y, w] of rings[0]) {
    box[0] = Math.min(box[0], x); box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x); box[3] = Math.max(box[3], y);
    nearest = Math.max(nearest, w);
  }
  const a = -dot(face.plane.n, view.right) / f, b = dot(face.plane.n, view.up) / f;
  const [x0, y0, w0] = rings[0][0];
  return { index: face.index, rings, box, nearest, facing: f, edgeOn: Math.abs(f) < 1e-3, a, b, c: w0 - a * x0 - b * y0 };
}

const depthAt = (f, x, y) => f.a * x + f.b * y + f.c;

function inRings(rings, x, y) {
  let inside = false;
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [xi, yi] = ring[i], [xj, yj] = ring[j];
      if (yi > y !== yj > y && x < xi + ((y - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
    }
  }
  return inside;
}

// Where a segment between two screen points is in view: [[from, to, visible], ...] over 0..1.
function inView(p, q, own, faces, slack) {
  const left = Math.min(p[0], q[0]), right = Math.max(p[0], q[0]);
  const top = Math.min(p[1], q[1]), bottom = Math.max(p[1], q[1]);
  const farthest = Math.min(p[2], q[2]);
  const hidden = [];
  for (const f of faces) {
    if (f.edgeOn || f.nearest < farthest + slack) continue;
    if (f.box[0] > right || f.box[2] < left || f.box[1] > bottom || f.box[3] < top) continue;
    if (own.includes(f.index)) continue;
    const above = (x, y, w) => depthAt(f, x, y) - w - slack;
    const g0 = above(...p), g1 = above(...q);
    if (g0 <= 0 && g1 <= 0) continue;
    const cuts = [0, 1];
    if (g0 > 0 !== g1 > 0) cuts.push(g0 / (g0 - g1));
    const dx = q[0] - p[0], dy = q[1] - p[1];
    for (const ring of f.rings) {
      for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
        const ex = ring[i][0] - ring[j][0], ey = ring[i][1] - ring[j][1];
        const across = dx * ey - dy * ex;
        if (Math.abs(across) < 1e-9) continue;
        const rx = ring[j][0] - p[0], ry = ring[j][1] - p[1];
        const t = (rx * ey - ry * ex) / across, s = (rx * dy - ry * dx) / across;
        if (t > 0 && t < 1 && s >= 0 && s <= 1) cuts.push(t);
      }
    }
    cuts.sort((m, n) => m - n);
    for (let i = 1; i < cuts.length; i++) {
      if (cuts[i] - cuts[i - 1] < 1e-6) continue;
      const t = (cuts[i] + cuts[i - 1]) / 2, x = p[0] + dx * t, y = p[1] + dy * t;
      if (above(x, y, p[2] + (q[2] - p[2]) * t) > 0 && inRings(f.rings, x, y)) hidden.push([cuts[i - 1], cuts[i]]);
    }
  }
  hidden.sort((m, n) => m[0] - n[0]);
  const pieces = [];
  let t = 0;
  for (const [from, to] of hidden) {
    if (from > t + 1e-6) pieces.push([t, from, true]);
    if (to > t) { pieces.push([Math.max(from, t), to, false]); t = to; }
  }
  if (t < 1 - 1e-6) pieces.push([t, 1, true]);
  return pieces;
}

const isCovered = ([x, y, w], own, faces, slack) =>
  faces.some((f) => f.index !== own && !f.edgeOn && depthAt(f, x, y) > w + slack && inRings(f.rings, x, y));

// --- Course lines: level lines of a face at given distances up its slope. ---------------------------------------------

function levelLines(face) {
  const size = Math.hypot(face.gradient[0], face.gradient[1]);
  if (!face.courses || size < 1e-6) return [];
  const up = face.gradient.map((v) => v / size), slope = Math.hypot(1, size);
  const t = (p) => p[0] * up[0] + p[1] * up[1], s = (p) => p[1] * up[0] - p[0] * up[1];
  const low = Math.min(...face.rings[0].map(t));
  const lines = [];
  face.courses.forEach((distance, number) => {
    const level = low + distance / slope, hits = [];
    for (const ring of face.rings) {
      ring.forEach((p, i) => {
        const q = ring[(i + 1) % ring.length], a = t(p) - level, b = t(q) - level;
        if (a > 0 !== b > 0) hits.push([0, 1, 2].map((k) => p[k] + (q[k] - p[k]) * (a / (a - b))));
      });
    }
    hits.sort((p, q) => s(p) - s(q));
    for (let i = 0; i + 1 < hits.length; i += 2) lines.push({ number, ends: [hits[i], hits[i + 1]] });
  });
  return lines;
}
