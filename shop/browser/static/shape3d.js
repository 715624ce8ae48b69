/* The finished pipe, turned by drag, arrow keys or the keys under it; from solid/1 data. Nothing moves by itself. */
const STEP = 15, DEGREES = 180 / Math.PI, TURN = { left: [-1, 0], right: [1, 0], up: [0, 1], down: [0, -1] };
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const add = (a, b, s = 1) => a.map((n, i) => n + b[i] * s);
const unit = (a) => a.map((n) => n / (Math.hypot(...a) || 1));
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

/* Short lengths of pipe from end to end, each with the side its stripe is on, carried without twist. */
function lengths({ points, radii, diameter: d, breaks, top }) {
  const found = [], last = points.length - 1;
  let here = points[0], most = 0, best;
  const go = (b, cut) => {
    const t = unit(add(b, here, -1));
    top = unit(add(top, t, -dot(top, t)));
    found.push({ a: here, b, t, top, cut });
    here = b;
  };
  const straight = (to, number) => {
    const from = here, run = add(to, from, -1), long = Math.hypot(...run);
    if (long < 1e-6) return;
    const half = Math.ceil(long / d / 3), gap = breaks.includes(number) ? Math.min(0.2, 0.6 * d / long) : 0;
    for (let i = 1; i < half; i++) go(add(from, run, i / 2 / half));
    go(add(from, run, 0.5 - gap), gap && "b");
    here = add(from, run, 0.5 + gap);
    for (let i = half + 1; i <= 2 * half; i++) go(add(from, run, i / 2 / half), gap && i === half + 1 && "a");
    if (long > most) [most, best] = [long, found[found.length - 2]];
  };
  for (let i = 1; i < last; i++) {
    const p = points[i], t = unit(add(p, points[i - 1], -1)), u = unit(add(points[i + 1], p, -1));
    const angle = Math.atan2(Math.hypot(...cross(t, u)), dot(t, u)), r = radii[i - 1], steps = Math.ceil(angle / 0.11);
    const start = add(p, t, -r * Math.tan(angle / 2)), inside = unit(add(u, t, -dot(u, t)));
    straight(start, i - 1);
    for (let k = 1; k <= steps; k++) {
      const turn = angle * k / steps;
      go(add(add(start, t, r * Math.sin(turn)), inside, r * (1 - Math.cos(turn))));
    }
  }
  straight(points[last], last - 1);
  best.label = true;
  return found;
}

function start(box) {
  if (!box.hidden) return;
  box.hidden = false;
  const solid = JSON.parse(box.querySelector("script").textContent), pipe = lengths(solid), d = solid.diameter;
  const canvas = box.querySelector("canvas"), pen = canvas.getContext("2d");
  const base = [solid.right, solid.up, cross(solid.right, solid.up)], under = solid.mount === "ceiling";
  const first = pipe[0], last = pipe[pipe.length - 1], zero = solid.zero === "end" ? [last.b, last.t] : [first.a, first.t.map((n) => -n)];
  const span = (all, i) => [Math.min(...all.map((p) => p[i])), Math.max(...all.map((p) => p[i]))];
  const [[x0, x1], [y0, y1]] = [0, 1].map((i) => span(solid.points, i)).map(([a, b]) => [a - 3 * d, b + 3 * d]);
  let yaw = 25, pitch = under ? 30 : -20, held;

  /* A place as he sees it: to the right, up, and nearer. */
  function spin(p) {
    const [x, y, z] = base.map((axis) => dot(axis, p)), [a, b] = [yaw / DEGREES, pitch / DEGREES];
    const w = z * Math.cos(a) - x * Math.sin(a);
    return [x * Math.cos(a) + z * Math.sin(a), y * Math.cos(b) + w * Math.sin(b), w * Math.cos(b) - y * Math.sin(b)];
  }

  function draw() {
    const style = getComputedStyle(canvas), ink = (name) => style.getPropertyValue(`--${name}`);
    const { clientWidth: w, clientHeight: h } = canvas, dpr = devicePixelRatio;
    if (!w) return;
    [canvas.width, canvas.height] = [w * dpr, h * dpr];
    pen.scale(dpr, dpr);
    const all = pipe.flatMap((one) => [spin(one.a), spin(one.b)]), [ax, bx] = span(all, 0), [ay, by] = span(all, 1);
    const s = Math.min((w - 100) / (bx - ax + d), (h - 90) / (by - ay + d), 26 / d), wide = Math.max(d * s, 6), r = wide / s / 2;
    const at = (p) => { const q = spin(p); return [w / 2 + s * (q[0] - (ax + bx) / 2), h / 2 - s * (q[1] - (ay + by) / 2), q[2]]; };
    const path = (line, width, hue, fill) => {
      pen.beginPath();
      line.forEach((p) => pen.lineTo(p[0], p[1]));
      if (fill) { pen.closePath(); pen.fillStyle = ink(fill); pen.fill(); }
      pen.lineWidth = width;
      pen.strokeStyle = ink(hue);
      pen.stroke();
    };
    const way = (p, q) => unit([q[0] - p[0], q[1] - p[1], 0]);
    const rod = (p, q, width, hue) => {
      if (Math.hypot(p[0] - q[0], p[1] - q[1]) > width * 0.12) return path([add(p, way(p, q), -0.6), add(q, way(p, q), 0.6)], width, hue);
      pen.beginPath();
      pen.fillStyle = ink(hue);
      pen.arc(q[0], q[1], width / 2, 0, 7);
      pen.fill();
    };
    const plane = () => {
      const place = (x, y) => at([x, y, -d / 2]), size = y1 - y0, step = Math.max(x1 - x0, size) / 14;
      path([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]].map((p) => place(...p)), 1.5, "edge", "dip");
      for (let c = x0 - size + step; c < x1; c += step)
        path([Math.max(x0, c), Math.min(x1, c + size)].map((x) => place(x, y0 + x - c)), 1, "line");
    };
    const hung = solid.mount !== "free", behind = spin(solid.top)[2] < 0;
    if (hung && !behind) plane();
    const items = pipe.map((one) => {
      const p = at(one.a), q = at(one.b), on = spin(one.top)[2] > 0.1, skin = (place) => add(place, one.top, r);
      return { z: p[2] + q[2], show() {
        rod(p, q, wide + 2.5, "pipe-edge");
        rod(p, q, wide - 2.5, "pipe");
        if (on) path([at(skin(one.a)), at(skin(one.b))], 1.5, "pipe-edge");
        if (one.cut) {
          const [x, y] = way(p, q), end = one.cut === "a" ? p : q, half = wide / 2 + 4;
          path([1, -1].map((n) => add(end, [3 * x - half * y, 3 * y + half * x, 0], n)), 1.5, "ink");
        }
        if (one.label && on) for (const [n, hue] of [[0.66, "ink"], [0.46, "sheet"]]) path([at(skin(one.a)), at(skin(one.b))], wide * n, hue);
      } };
    });
    const block = [at(zero[0]), at(add(zero[0], zero[1], d * 0.9))];
    items.push({ z: block[0][2] + block[1][2], show: () => rod(...block, wide * 1.7 + 2, "ink") });
    items.sort((a, b) => a.z - b.z).forEach((one) => one.show());
    if (hung && behind) { pen.globalAlpha = 0.45; plane(); pen.globalAlpha = 1; }
    pen.font = `800 15px ${style.fontFamily}`;
    pen.textAlign = "center";
    for (const [word, p, t] of [["A", first.a, first.t], ["B", last.b, last.t.map((n) => -n)]]) {
      const a = at(p), off = add(a, way(at(add(p, t)), a), wide + 22);
      pen.fillStyle = ink("ink");
      pen.fillText(word, off[0], off[1] + 5);
    }
  }

  function turn(x, y) {
    yaw = (x + 540) % 360 - 180;
    pitch = Math.max(-90, Math.min(90, y));
    const told = `Turned ${Math.abs(yaw)}° ${yaw < 0 ? "left" : "right"}, tipped ${Math.abs(pitch)}° ${pitch < 0 ? "down" : "up"}.`;
    box.querySelector("[role=status]").textContent = told;
    draw();
  }
  function go(e, way) {
    if (way === "home") turn(0, under ? 30 : 0);
    else if (way in TURN) turn(yaw + TURN[way][0] * STEP, pitch + TURN[way][1] * STEP);
    else return;
    e.preventDefault();
  }
  box.addEventListener("click", (e) => go(e, e.target.dataset.turn));
  box.addEventListener("keydown", (e) => go(e, e.key.replace("Arrow", "").toLowerCase()));
  canvas.addEventListener("pointerdown", (e) => { held = e; canvas.setPointerCapture(e.pointerId); });
  canvas.addEventListener("pointermove", (e) => {
    if (!held) return;
    const [x, y] = [Math.round((e.clientX - held.clientX) / 2), Math.round((e.clientY - held.clientY) / 2)];
    if (x || y) { held = e; turn(yaw + x, pitch - y); }
  });
  canvas.addEventListener("lostpointercapture", () => { held = null; });
  new ResizeObserver(draw).observe(canvas);
  new MutationObserver(draw).observe(document.documentElement, { attributes: true });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  turn(yaw, pitch);
}

const all = (root) => root.querySelectorAll("[data-shape3d]").forEach(start);
all(document);
document.addEventListener("htmx:load", (e) => all(e.target));
