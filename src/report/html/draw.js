// The model as an SVG that is drawn anew for every view: tones behind, then lines, then names.

const SVG = "http://www.w3.org/2000/svg";

function element(parent, name, attributes) {
  const e = document.createElementNS(SVG, name);
  for (const key in attributes) e.setAttribute(key, attributes[key]);
  parent.append(e);
  return e;
}

const fixed = (v) => Math.round(v * 10) / 10;
const move = (p, q) => `M${fixed(p[0])} ${fixed(p[1])}L${fixed(q[0])} ${fixed(q[1])}`;
const between = (p, q, t) => [0, 1, 2].map((k) => p[k] + (q[k] - p[k]) * t);

function prepare(data) {
  const faces = data.faces.map((face, index) => {
    const n = [-face.gradient[0], -face.gradient[1], 1], length = Math.hypot(...n);
    const unit = n.map((v) => v / length);
    return { ...face, index, plane: { n: unit, k: dot(unit, face.rings[0][0]) } };
  });
  const pieces = faces.flatMap((face) => {
    const corners = face.rings.flat();
    return face.triangles.map((t) => ({ face: face.index, points: t.map((i) => corners[i]) }));
  });
  const corners = faces.flatMap((f) => f.rings.flat());
  return {
    faces,
    edges: data.edges,
    openings: data.openings,
    findings: data.findings,
    upBearing: data.upBearing,
    order: partition(pieces, faces.map((f) => f.plane)),
    courses: faces.flatMap((f) => levelLines(f).map((line) => ({ face: f.index, ...line }))),
    radius: Math.max(1, ...corners.map((c) => Math.hypot(c[0], c[1]))),
    height: Math.max(0, ...corners.map((c) => c[2])),
  };
}

function makeCanvas(host, roof) {
  const svg = element(host, "svg", { role: "group", "aria-label": "Faces of the roof" });
  const layer = (name) => element(svg, "g", { class: name });
  const canvas = {
    svg,
    tones: layer("tones"),
    courses: element(svg, "path", { class: "course" }),
    fifths: element(svg, "path", { class: "course fifth" }),
    hidden: element(svg, "path", { class: "hidden" }),
    lines: layer("lines"),
    picked: element(svg, "path", { class: "picked-edge" }),
    findings: layer("findings"),
    tags: layer("tags"),
    note: layer("note"),
    compass: layer("compass"),
    byClass: {},
  };
  canvas.noteText = element(canvas.note, "text", {});
  canvas.needle = element(canvas.compass, "path", { class: "thin" });
  canvas.head = element(canvas.compass, "path", { class: "solid" });
  canvas.north = element(canvas.compass, "text", {});
  canvas.north.textContent = "N";
  canvas.marks = roof.findings.map((finding) => {
    const g = element(canvas.findings, "g", { class: "mark", "aria-hidden": "true" });
    element(g, "path", { class: "stem" });
    element(g, "path", { d: "M0 -12L12 0L0 12L-12 0Z" });
    element(g, "text", { y: 4 }).textContent = finding.number;
    return g;
  });
  canvas.names = roof.faces.map((face) => {
    const g = element(canvas.tags, "g", {
      class: "tag", role: "button", tabindex: "0", "aria-pressed": "false",
      "aria-label": `${face.name}, ${face.says}`, "data-face": face.index,
    });
    element(g, "rect", { x: -19, y: -13, width: 38, height: 26 });
    element(g, "text", { y: 5.5 }).textContent = face.name;
    return g;
  });
  return canvas;
}

function classPath(canvas, name) {
  return (canvas.byClass[name] ??= element(canvas.lines, "path", { class: `line ${name}` }));
}

// Lines beside a line: the roof side of a rake, the ticks of a wall. `inward` points into the face on the screen.
function ornament(name, p, q, inward) {
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  if (length < 4) return "";
  const along = [(q[0] - p[0]) / length, (q[1] - p[1]) / length];
  if (name === "rake") {
    const at = (r) => [r[0] + inward[0] * 3, r[1] + inward[1] * 3];
    return move(at(p), at(q));
  }
  const lean = name === "sidewall" ? 3 : 0;
  let d = "";
  for (let s = 2.5; s < length; s += 5) {
    const r = [p[0] + along[0] * s, p[1] + along[1] * s];
    d += move(r, [r[0] - inward[0] * 4.5 + along[0] * lean, r[1] - inward[1] * 4.5 + along[1] * lean]);
  }
  return d;
}

const ORNAMENTED = { rake: "rake-inner", headwall: "tick", sidewall: "tick" };

// The direction into the first face of an edge, square to the edge, on the screen.
function inwardOf(edge, face, view) {
  const [a, b] = edge.ends, left = [a[1] - b[1], b[0] - a[0]];
  const into = [a[0] + left[0], a[1] + left[1], a[2] + face.gradient[0] * left[0] + face.gradient[1] * left[1]];
  const p = view.project(a), q = view.project(b), r = view.project(into);
  const x = q[0] - p[0], y = q[1] - p[1], length = Math.hypot(x, y) || 1;
  const side = x * (r[1] - p[1]) - y * (r[0] - p[0]);
  return side > 0 ? [-y / length, x / length] : [y / length, -x / length];
}

function paintTones(canvas, roof, view, screen, picked) {
  const runs = [];
  paintInOrder(roof.order, view.toward, (piece) => {
    const last = runs[runs.length - 1];
    const d = "M" + piece.points.map((p) => view.project(p)).map((p) => `${fixed(p[0])} ${fixed(p[1])}`).join("L") + "Z";
    if (last && last.face === piece.face) last.d += d;
    else runs.push({ face: piece.face, d });
  });
  while (canvas.tones.children.length < runs.length) element(canvas.tones, "path", {});
  [...canvas.tones.children].forEach((path, i) => {
    const run = runs[i];
    path.setAttribute("d", run ? run.d : "");
    if (!run) return;
    const n = roof.faces[run.face].plane.n;
    // The light comes over the viewer's left shoulder, so that every view has light and dark.
    const light = 0.55 * dot(n, view.toward) + 0.65 * dot(n, view.up) - 0.52 * dot(n, view.right);
    const tone = screen[run.face].facing < 0 ? "under" : `tone${Math.max(0, Math.min(5, Math.round(5 - 5 * light)))}`;
    path.setAttribute("class", run.face === picked ? `${tone} picked` : tone);
  });
}

function paintLines(canvas, roof, view, screen, slack, state) {
  const d = {}, pieces = [];
  let hidden = "", picked = "";
  const put = (name, text) => { d[name] = (d[name] ?? "") + text; };
  const lay = (ends, own, name, edge, inward) => {
    const p = view.project(ends[0]), q = view.project(ends[1]);
    for (const [from, to, visible] of inView(p, q, own, screen, slack)) {
      const a = between(p, q, from), b = between(p, q, to);
      if (edge !== null && edge === state.edge) picked += move(a, b);
      if (!visible) { hidden += move(a, b); continue; }
      put(name, move(a, b));
      if (ORNAMENTED[name]) put(ORNAMENTED[name], ornament(name, a, b, inward));
      if (edge !== null) pieces.push({ edge, a, b });
    }
  };
  roof.edges.forEach((edge, i) => {
    const first = roof.faces[edge.faces[0]];
    const inward = ORNAMENTED[edge.class] && first ? inwardOf(edge, first, view) : null;
    lay(edge.ends, edge.faces, edge.class, i, inward);
  });
  roof.openings.forEach((side) => lay(side.ends, side.faces, "opening", null, null));
  for (const name of Object.keys(d)) classPath(canvas, name);
  for (const name in canvas.byClass) canvas.byClass[name].setAttribute("d", d[name] ?? "");
  canvas.hidden.setAttribute("d", state.showHidden ? hidden : "");
  canvas.picked.setAttribute("d", picked);
  return pieces;
}

// How far apart on the screen two level lines of a face lie, for one foot between them up the slope.
function spacingFactor(face, view) {
  const [x, y] = face.gradient, size = Math.hypot(x, y);
  if (size < 1e-6) return 0;
  const level = [-y / size, x / size, 0], slope = Math.hypot(1, size);
  const up = [x / size / slope, y / size / slope, size / slope];
  const on = (v) => [dot(v, view.right), dot(v, view.up)];
  const [a, b] = [on(level), on(up)];
  return Math.abs(a[0] * b[1] - a[1] * b[0]) / (Math.hypot(...a) || 1);
}

function paintCourses(canvas, roof, view, screen, slack, shown) {
  let thin = "", bold = "";
  if (shown) {
    // Seen at a flat angle courses would run together: then every 5th, or every 10th, is drawn.
    const every = roof.faces.map((f) => {
      const apart = f.courses?.length > 1 ? (f.courses[f.courses.length - 1] - f.courses[0]) / (f.courses.length - 1) : 1;
      const pixels = apart * view.scale * spacingFactor(f, view);
      return pixels >= 3 ? 1 : pixels * 5 >= 3 ? 5 : 10;
    });
    for (const line of roof.courses) {
      if (screen[line.face].facing <= 0.02 || line.number % every[line.face]) continue;
      const p = view.project(line.ends[0]), q = view.project(line.ends[1]);
      for (const [from, to, visible] of inView(p, q, [line.face], screen, slack)) {
        if (!visible) continue;
        const d = move(between(p, q, from), between(p, q, to));
        if (line.number % (every[line.face] === 1 ? 5 : 1e9) === 0) bold += d;
        else thin += d;
      }
    }
  }
  canvas.courses.setAttribute("d", thin);
  canvas.fifths.setAttribute("d", bold);
}

// Names of large faces first; a name that would touch another, or is out of sight, waits for the focus.
// Returns the boxes that are taken.
function paintNames(canvas, roof, view, screen, slack, size, note) {
  const taken = note ? [note] : [];
  const order = roof.faces.map((f) => f.index).sort((i, j) => roof.faces[j].area - roof.faces[i].area || i - j);
  for (const i of order) {
    const tag = canvas.names[i], p = view.project(roof.faces[i].at), f = screen[i];
    const half = [5 + 5 * roof.faces[i].name.length, 13];
    const box = [p[0] - half[0], p[1] - half[1], p[0] + half[0], p[1] + half[1]];
    const outside = box[0] < 0 || box[1] < 0 || box[2] > size[0] || box[3] > size[1];
    const turned = f.facing <= 0.05 || isCovered(p, i, screen, slack);
    const touches = taken.some((t) => meet(t, box));
    const unseen = outside || turned || touches;
    if (!unseen) taken.push(box);
    tag.classList.toggle("unseen", unseen);
    tag.classList.toggle("turned", turned);
    tag.setAttribute("transform", `translate(${fixed(p[0])} ${fixed(p[1])})`);
    const rect = tag.firstChild;
    rect.setAttribute("x", -half[0]);
    rect.setAttribute("width", 2 * half[0]);
  }
  return taken;
}

// Where the place is taken by a name or by another diamond, one stands beside it, with a line to its place.
function paintMarks(canvas, roof, view, screen, slack, taken) {
  roof.findings.forEach((finding, i) => {
    const p = view.project(finding.at), at = freeOf(taken, p), mark = canvas.marks[i];
    taken.push(boxOfMark(at));
    mark.setAttribute("transform", `translate(${fixed(at[0])} ${fixed(at[1])})`);
    mark.firstChild.setAttribute("d", at === p ? "" : move([0, 0], [p[0] - at[0], p[1] - at[1]]));
    mark.classList.toggle("unseen", isCovered(p, -1, screen, slack + 2));
  });
}

const boxOfMark = (p) => [p[0] - 11, p[1] - 11, p[0] + 11, p[1] + 11];
const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

// The place itself, or the nearest of those round it that is clear of what is taken.
function freeOf(taken, p) {
  const clear = (q) => !taken.some((box) => meet(box, boxOfMark(q)));
  if (clear(p)) return p;
  for (let r = 24; r <= 144; r += 12) {
    for (let k = 0; k < 12; k++) {
      const angle = (k * Math.PI) / 6, q = [p[0] + r * Math.cos(angle), p[1] + r * Math.sin(angle)];
      if (clear(q)) return q;
    }
  }
  return p;
}

function paintCompass(canvas, roof, view, size) {
  const b = (roof.upBearing * Math.PI) / 180, north = [-Math.sin(b), Math.cos(b), 0];
  const flat = [dot(north, view.right), -dot(north, view.up)], length = Math.hypot(...flat) || 1;
  const x = size[0] - 34, y = size[1] - 34, u = [flat[0] * 20, flat[1] * 20], s = [-flat[1] * 4, flat[0] * 4];
  canvas.needle.setAttribute("d", move([x - u[0], y - u[1]], [x + u[0], y + u[1]]));
  canvas.head.setAttribute("d", `M${fixed(x + u[0])} ${fixed(y + u[1])}L${fixed(x + u[0] * 0.4 + s[0])} ${fixed(y + u[1] * 0.4 + s[1])}L${fixed(x + u[0] * 0.4 - s[0])} ${fixed(y + u[1] * 0.4 - s[1])}Z`);
  const out = 9 / length + 20;
  canvas.north.setAttribute("x", fixed(x + flat[0] * out));
  canvas.north.setAttribute("y", fixed(y + flat[1] * out + 4));
}

// The words of the picked edge; returns the room they take.
function paintNote(canvas, roof, view, state, size) {
  const edge = roof.edges[state.edge];
  canvas.noteText.textContent = edge ? `${edge.words} ${edge.true}` : "";
  if (!edge) return null;
  const middle = view.project(between(edge.ends[0], edge.ends[1], 0.5));
  const half = 4.5 * canvas.noteText.textContent.length;
  const x = Math.max(half, Math.min(size[0] - half, middle[0])), y = Math.max(18, Math.min(size[1] - 8, middle[1] - 8));
  canvas.noteText.setAttribute("x", fixed(x));
  canvas.noteText.setAttribute("y", fixed(y));
  return [x - half, y - 16, x + half, y + 5];
}

// Draws everything; returns what can be picked: faces and pieces of edges on the screen.
function draw(canvas, roof, state, size) {
  const pad = 26, sin = Math.sin((state.el * Math.PI) / 180), cos = Math.cos((state.el * Math.PI) / 180);
  const fit = Math.min(
    (size[0] - 2 * pad) / (2 * roof.radius),
    (size[1] - 2 * pad) / (2 * roof.radius * sin + roof.height * cos)
  );
  const middle = [size[0] / 2 + state.pan[0], size[1] / 2 + state.pan[1]];
  const view = makeView(state.az, state.el, Math.max(0.01, fit) * state.zoom, middle, [0, 0, roof.height / 2]);
  const screen = roof.faces.map((f) => screenFace(f, view));
  const slack = Math.max(0.3, 0.02 * view.scale);
  canvas.svg.setAttribute("viewBox", `0 0 ${size[0]} ${size[1]}`);
  paintTones(canvas, roof, view, screen, state.face);
  paintCourses(canvas, roof, view, screen, slack, state.showCourses);
  const pieces = paintLines(canvas, roof, view, screen, slack, state);
  const note = paintNote(canvas, roof, view, state, size);
  const taken = paintNames(canvas, roof, view, screen, slack, size, note);
  paintMarks(canvas, roof, view, screen, slack, taken);
  paintCompass(canvas, roof, view, size);
  return { screen, pieces };
}
