// Hands: pointer, keys, buttons, and the one thing that is picked, shown wherever it occurs on the page.

// On the plan, too, the edge within reach comes before the face under the pointer.
function pickOnPlan(plan, picked) {
  if (!plan) return;
  const edges = [...plan.querySelectorAll("[data-edge]")].map((g) => ({
    index: Number(g.dataset.edge),
    numbers: g.firstChild.getAttribute("d").match(/-?[\d.]+/g).map(Number),
  }));
  plan.addEventListener("click", (e) => {
    const toPlan = plan.getScreenCTM().inverse();
    const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(toPlan);
    let near = (e.pointerType === "touch" ? 12 : 6) * toPlan.a, best = null;
    for (const { index, numbers: [x0, y0, x1, y1] } of edges) {
      const d = distanceTo([x0, y0], [x1, y1], at.x, at.y);
      if (d < near) { near = d; best = index; }
    }
    const face = e.target.closest("[data-face]");
    if (best !== null) picked("edge", best);
    else if (face) picked("face", Number(face.dataset.face));
    else picked(null, null);
  });
}

function distanceTo(a, b, x, y) {
  const dx = b[0] - a[0], dy = b[1] - a[1], l = dx * dx + dy * dy;
  const t = l > 0 ? Math.max(0, Math.min(1, ((x - a[0]) * dx + (y - a[1]) * dy) / l)) : 0;
  return Math.hypot(a[0] + dx * t - x, a[1] + dy * t - y);
}

const START = { az: 153, el: 40, zoom: 1 };

function start() {
  const host = document.getElementById("model");
  const roof = prepare(JSON.parse(document.getElementById("roof-data").textContent));
  const canvas = makeCanvas(host, roof);
  const readout = document.getElementById("readout");
  const resting = readout.textContent;
  const state = { ...START, pan: [0, 0], face: null, edge: null, showCourses: false, showHidden: false };
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  let targets = { screen: [], pieces: [] }, frame = 0, turning = 0;

  const size = () => [Math.max(200, host.clientWidth), Math.max(200, host.clientHeight)];
  const redraw = () => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => { targets = draw(canvas, roof, state, size()); });
  };

  const clampView = () => {
    state.az = ((state.az % 360) + 360) % 360;
    state.el = Math.max(8, Math.min(90, state.el));
    state.zoom = Math.max(0.5, Math.min(12, state.zoom));
  };
  const turn = (az, el) => { cancelAnimationFrame(turning); state.az += az; state.el += el; clampView(); redraw(); };
  const zoom = (factor) => {
    const before = state.zoom;
    state.zoom *= factor;
    clampView();
    state.pan = state.pan.map((v) => (v * state.zoom) / before);
    redraw();
  };
  const pan = (x, y) => { state.pan = [state.pan[0] + x, state.pan[1] + y]; redraw(); };
  const reset = () => { cancelAnimationFrame(turning); Object.assign(state, START, { pan: [0, 0] }); redraw(); };

  // Walks round the roof the shorter way, at once where motion is not wanted.
  function turnTo(az, el) {
    cancelAnimationFrame(turning);
    const from = [state.az, state.el], by = [((az - from[0] + 540) % 360) - 180, el - from[1]];
    if (still.matches) { turn(by[0], by[1]); return; }
    const begun = performance.now();
    const step = (now) => {
      const t = Math.min(1, (now - begun) / 350), eased = t * t * (3 - 2 * t);
      state.az = from[0] + by[0] * eased;
      state.el = from[1] + by[1] * eased;
      clampView();
      redraw();
      if (t < 1) turning = requestAnimationFrame(step);
    };
    turning = requestAnimationFrame(step);
  }

  function showFace(i) {
    if (!canvas.names[i].classList.contains("turned")) return;
    const [x, y] = roof.faces[i].gradient;
    turnTo(x || y ? (Math.atan2(-x, -y) * 180) / Math.PI : state.az, Math.max(state.el, 40));
  }

  function pick(kind, index) {
    state.face = kind === "face" ? index : null;
    state.edge = kind === "edge" ? index : null;
    for (const e of document.querySelectorAll("[data-face], [data-edge]")) {
      const on = kind !== null && e.dataset[kind] === String(index);
      if (e.hasAttribute("aria-pressed")) e.setAttribute("aria-pressed", String(on));
      e.classList.toggle("is-picked", on);
    }
    const what = kind === "face" ? roof.faces[index] : kind === "edge" ? roof.edges[index] : null;
    const names = (edge) => edge.faces.map((f) => roof.faces[f].name).join(", ");
    readout.textContent = !what ? resting : kind === "face" ? `${what.name}: ${what.says}`
      : `${what.words} of ${names(what)}: true length ${what.true}, plan length ${what.plan}`;
    readout.classList.toggle("resting", kind === null);
    redraw();
    if (kind === null) return;
    const row = document.querySelector(`tr[data-${kind}="${index}"]`);
    const details = row?.closest("details");
    if (details && kind === "edge") details.open = true;
    const box = row?.closest(".scroll");
    if (box && box.scrollHeight > box.clientHeight) box.scrollTop = row.offsetTop - box.clientHeight / 2;
  }
  const toggle = (kind, index) => {
    if (state[kind] === index) pick(null, null);
    else pick(kind, index);
  };

  // What lies under a place of the model: an edge within reach, else the nearest face.
  function under(x, y, reach) {
    let best = null, near = reach;
    for (const { edge, a, b } of targets.pieces) {
      const d = distanceTo(a, b, x, y);
      if (d < near) { near = d; best = ["edge", edge]; }
    }
    if (best) return best;
    let depth = -Infinity;
    for (const f of targets.screen) {
      if (!f.edgeOn && depthAt(f, x, y) > depth && inRings(f.rings, x, y)) { depth = depthAt(f, x, y); best = ["face", f.index]; }
    }
    return best;
  }

  const pointers = new Map();
  let travelled = 0;
  host.addEventListener("pointerdown", (e) => {
    if (e.button > 0) return;
    pointers.set(e.pointerId, [e.clientX, e.clientY]);
    if (pointers.size === 1) travelled = 0;
    host.setPointerCapture(e.pointerId);
  });
  host.addEventListener("pointermove", (e) => {
    const last = pointers.get(e.pointerId);
    if (!last) return;
    const now = [e.clientX, e.clientY], by = [now[0] - last[0], now[1] - last[1]];
    travelled += Math.hypot(...by);
    if (pointers.size === 1) {
      if (travelled > 4) { if (e.shiftKey) pan(...by); else turn(by[0] * 0.45, by[1] * 0.45); }
    } else {
      const other = [...pointers].find(([id]) => id !== e.pointerId)[1];
      const reach = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
      zoom(reach(now) / reach(last));
      pan(by[0] / 2, by[1] / 2);
    }
    pointers.set(e.pointerId, now);
  });
  const release = (e) => {
    const known = pointers.delete(e.pointerId);
    if (!known || e.type !== "pointerup" || travelled > 4) return;
    const box = host.getBoundingClientRect();
    const hit = under(e.clientX - box.left, e.clientY - box.top, e.pointerType === "mouse" ? 6 : 12);
    if (hit) toggle(...hit);
    else pick(null, null);
  };
  host.addEventListener("pointerup", release);
  host.addEventListener("pointercancel", release);
  host.addEventListener("wheel", (e) => {
    // Plain scrolling stays the page's.
    if (!e.ctrlKey && !e.metaKey) return;
    e.preventDefault();
    zoom(Math.exp(-e.deltaY * 0.004));
  }, { passive: false });

  const KEYS = {
    ArrowLeft: () => turn(-5, 0), ArrowRight: () => turn(5, 0), ArrowUp: () => turn(0, 5), ArrowDown: () => turn(0, -5),
    "+": () => zoom(1.2), "=": () => zoom(1.2), "-": () => zoom(1 / 1.2), Home: reset, 0: reset, Escape: () => pick(null, null),
  };
  const PAN_KEYS = {
    ArrowLeft: () => pan(24, 0), ArrowRight: () => pan(-24, 0), ArrowUp: () => pan(0, 24), ArrowDown: () => pan(0, -24),
  };
  host.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const tag = e.target.closest(".tag");
    const act = (e.shiftKey && PAN_KEYS[e.key]) || KEYS[e.key]
      || (tag && (e.key === "Enter" || e.key === " ") ? () => toggle("face", Number(tag.dataset.face)) : null);
    if (!act) return;
    e.preventDefault();
    act();
  });
  for (const tag of canvas.names) {
    tag.addEventListener("focus", () => { if (tag.matches(":focus-visible")) showFace(Number(tag.dataset.face)); });
  }

  const ACTS = {
    left: () => turn(-15, 0), right: () => turn(15, 0), up: () => turn(0, 10), down: () => turn(0, -10),
    in: () => zoom(1.25), out: () => zoom(1 / 1.25), reset, above: () => turnTo(180, 90),
  };
  for (const button of document.querySelectorAll("[data-act]")) button.addEventListener("click", ACTS[button.dataset.act]);
  for (const box of document.querySelectorAll("[data-show]")) {
    const put = () => { state[box.dataset.show] = box.checked; redraw(); };
    box.addEventListener("change", put);
    put();
  }
  for (const button of document.querySelectorAll("tbody button")) {
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", () => {
      const kind = "face" in button.dataset ? "face" : "edge", index = Number(button.dataset[kind]);
      toggle(kind, index);
      if (kind === "face" && state.face === index) showFace(index);
    });
  }
  pickOnPlan(document.getElementById("plan"), (kind, index) => (kind ? toggle(kind, index) : pick(null, null)));

  // Paper has nothing to click on: what is folded is printed, and folded again.
  const folded = [];
  addEventListener("beforeprint", () => {
    for (const details of document.querySelectorAll("details:not([open])")) { details.open = true; folded.push(details); }
  });
  addEventListener("afterprint", () => { for (const details of folded.splice(0)) details.open = false; });

  document.documentElement.classList.add("turnable");
  new ResizeObserver(redraw).observe(host);
  redraw();
}

start();
