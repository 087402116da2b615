// The moving field: bands of |B| and lines of equal A contoured from the stored nodal potentials, the MMF vectors and
// the torque beside them, all of one frame. The gap between both meshes is filled by triangles from circle to circle.
'use strict';
(() => {
  const data = JSON.parse(document.getElementById('scenes-data').textContent);
  const bytes = text => Uint8Array.from(atob(text), c => c.charCodeAt(0)).buffer;
  const nodes = new Float32Array(bytes(data.nodes)), corners = new Uint32Array(bytes(data.triangles));
  const region = new Uint16Array(bytes(data.regions)), count = region.length;
  const firstRotorTriangle = (() => { let t = 0; while (t < count && data.parts[region[t]].side === 0) ++t; return t; })();
  const radius = (() => { let r = 0; for (let i = 0; i < nodes.length; i += 2) r = Math.max(r, Math.hypot(nodes[i], nodes[i + 1])); return r; })();
  const pens = JSON.parse(document.getElementById('pens').textContent).light;
  const bands = 10, lines = 22, top = 2.0;  // T at the darkest band
  // Pale sand over clay to violet, darker as |B| grows, light enough for black lines.
  const shade = k => { const s = k / (bands - 1), mix = (a, b, t) => Math.round(a + (b - a) * t);
    const c = s < .5 ? [[250, 246, 232], [228, 143, 112], 2 * s] : [[228, 143, 112], [126, 60, 130], 2 * s - 1];
    return 'rgb(' + c[0].map((v, i) => mix(v, c[1][i], c[2])).join() + ')'; };
  const make = (tag, properties, parent) => { const e = Object.assign(document.createElement(tag), properties); parent.append(e); return e; };
  const place = make('div', {className: 'scene'}, document.getElementById('scene-place'));
  const controls = make('div', {className: 'controls'}, place);
  const picture = make('canvas', {tabIndex: 0}, place), side = make('div', {}, place);
  const vectors = make('canvas', {}, side), curve = make('canvas', {}, side), said = make('div', {className: 'said'}, place);
  picture.setAttribute('role', 'img'); vectors.setAttribute('role', 'img'); curve.setAttribute('role', 'img');
  said.setAttribute('aria-live', 'polite');
  const choice = make('select', {ariaLabel: 'Scene'}, controls);
  data.scenes.forEach((s, i) => make('option', {value: i, textContent: s.study + ': ' + s.title}, choice));
  const play = make('button', {type: 'button', textContent: 'Play'}, controls);
  const slider = make('input', {type: 'range', min: 0, step: 1, value: 0, ariaLabel: 'Frame'}, controls);
  const where = make('output', {}, controls);
  let scene = data.scenes[0], frame = scene.frames[0], at = 0, a = null, largestLine = 0, timer = 0;

  const potential = f => { const q = new Int16Array(bytes(f.a)), v = new Float64Array(q.length); for (let i = 0; i < q.length; ++i) v[i] = q[i] * f.scale; return v; };
  const number = (v, n = 4) => Number(v).toPrecision(n);

  // A triangle of three corners: its band's path, and the lines through it.
  function piece(out, x, y, v, step) {
    const d = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
    if (d === 0) return;
    const bx = ((x[2] - x[0]) * (v[1] - v[0]) - (x[1] - x[0]) * (v[2] - v[0])) / -d;
    const by = ((y[2] - y[0]) * (v[1] - v[0]) - (y[1] - y[0]) * (v[2] - v[0])) / -d;
    const band = out.bands[Math.min(bands - 1, Math.floor(Math.hypot(bx, by) / top * bands))];
    band.moveTo(x[0], y[0]); band.lineTo(x[1], y[1]); band.lineTo(x[2], y[2]); band.closePath();
    const low = Math.min(v[0], v[1], v[2]), high = Math.max(v[0], v[1], v[2]);
    for (let k = Math.ceil(low / step - .5); (k + .5) * step <= high; ++k) {
      const level = (k + .5) * step, hit = [];
      for (let i = 0; i < 3; ++i) { const j = (i + 1) % 3;
        if ((v[i] - level) * (v[j] - level) < 0) { const s = (level - v[i]) / (v[j] - v[i]); hit.push(x[i] + s * (x[j] - x[i]), y[i] + s * (y[j] - y[i])); } }
      if (hit.length === 4) { out.lines.moveTo(hit[0], hit[1]); out.lines.lineTo(hit[2], hit[3]); }
    }
  }
  const empty = () => ({bands: Array.from({length: bands}, () => new Path2D()), lines: new Path2D()});
  const parts4 = [[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]];
  function sectorPaths(from, to, v, step) {
    const out = empty();
    for (let t = from; t < to; ++t)
      for (const p of parts4) { const n = p.map(i => corners[6 * t + i]);
        piece(out, n.map(i => nodes[2 * i]), n.map(i => nodes[2 * i + 1]), n.map(i => v[i]), step); }
    return out;
  }
  // Points of a gap circle over the angles of one stator sector, the rotor's repeated with their sign.
  function circle(list, v, turn, begin, end) {
    const points = [], own = list.map(i => ({angle: Math.atan2(nodes[2 * i + 1], nodes[2 * i]), r: Math.hypot(nodes[2 * i], nodes[2 * i + 1]), v: v[i]}));
    for (let k = 1; k < own.length; ++k) while (own[k].angle < own[k - 1].angle - 1e-9) own[k].angle += 2 * Math.PI;
    for (let k = -data.sectors - 1; k <= data.sectors + 1; ++k)
      own.slice(0, -1).forEach(p => { const angle = p.angle + turn + k * data.sector_angle;
        if (angle > begin - .2 * data.sector_angle && angle < end + .2 * data.sector_angle) points.push({angle, r: p.r, v: p.v * (k % 2 ? data.sign : 1)}); });
    return points.sort((p, q) => p.angle - q.angle);
  }
  function gapPaths(v, angle, step) {
    const out = empty(), begin = data.start[0], end = begin + data.sector_angle;
    const turn = angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
    const o = circle(data.gap.stator, v, 0, begin, end), i = circle(data.gap.rotor, v, turn, begin, end);
    const xy = p => [p.r * Math.cos(p.angle), p.r * Math.sin(p.angle)];
    let j = 0, k = 0;
    while (j + 1 < o.length || k + 1 < i.length) {
      const outer = k + 1 >= i.length || (j + 1 < o.length && o[j + 1].angle < i[k + 1].angle);
      const tri = outer ? [o[j], o[j + 1], i[k]] : [o[j], i[k + 1], i[k]];
      if (outer) ++j; else ++k;
      const middle = (tri[0].angle + tri[1].angle + tri[2].angle) / 3;
      if (middle < begin || middle > end) continue;
      const p = tri.map(xy);
      piece(out, p.map(q => q[0]), p.map(q => q[1]), tri.map(q => q.v), step);
    }
    return out;
  }
  // Edges between parts, once a side.
  const outlines = [0, 1].map(s => { const seen = new Map(), path = new Path2D();
    for (let t = s ? firstRotorTriangle : 0; t < (s ? count : firstRotorTriangle); ++t)
      for (const [i, m, j] of [[0, 3, 1], [1, 4, 2], [2, 5, 0]]) { const n = [corners[6 * t + i], corners[6 * t + m], corners[6 * t + j]], id = n[1];
        if (!seen.has(id)) seen.set(id, {n, region: region[t]}); else { seen.get(id).shared = true; seen.get(id).inside = seen.get(id).region === region[t]; } }
    // Neither the edges of the sector nor the gap circle, where the mesh ends and the machine does not.
    const gap = data.gap[s ? 'rotor' : 'stator'][0], gapRadius = Math.hypot(nodes[2 * gap], nodes[2 * gap + 1]);
    const cut = e => { const x = nodes[2 * e.n[1]], y = nodes[2 * e.n[1] + 1], turn = (Math.atan2(y, x) - data.start[s]) / data.sector_angle;
      return Math.abs(Math.hypot(x, y) - gapRadius) < 1e-4 * gapRadius || (data.sectors > 1 && Math.abs(turn - Math.round(turn)) < 1e-5); };
    for (const e of seen.values()) if (!e.inside && (e.shared || !cut(e))) { path.moveTo(nodes[2 * e.n[0]], nodes[2 * e.n[0] + 1]);
      path.lineTo(nodes[2 * e.n[1]], nodes[2 * e.n[1] + 1]); path.lineTo(nodes[2 * e.n[2]], nodes[2 * e.n[2] + 1]); }
    return path; });

  function fit(canvas, ratio) {
    const width = Math.max(200, canvas.clientWidth), scale = Math.min(2, devicePixelRatio || 1);
    canvas.width = Math.round(width * scale); canvas.height = Math.round(width * ratio * scale);
    const c = canvas.getContext('2d'); c.setTransform(scale, 0, 0, scale, 0, 0);
    return {c, w: width, h: width * ratio};
  }
  function drawField() {
    const {c, w, h} = fit(picture, 1), s = .48 * (w - 60) / radius, step = 2 * largestLine / lines;
    const stator = sectorPaths(0, firstRotorTriangle, a, step), rotor = sectorPaths(firstRotorTriangle, count, a, step), gap = gapPaths(a, frame.angle, step);
    const all = (draw, width) => { for (let k = 0; k < data.sectors; ++k) [[stator, 0, 0], [gap, 0, -1], [rotor, frame.angle, 1]].forEach(([p, turn, which]) => {
      c.save(); c.translate((w - 60) / 2, h / 2); c.scale(s, -s); c.rotate(k * data.sector_angle + turn); c.lineWidth = width / s; draw(p, which); c.restore(); }); };
    c.clearRect(0, 0, w, h);
    all(p => p.bands.forEach((b, k) => { c.fillStyle = c.strokeStyle = shade(k); c.fill(b); c.stroke(b); }), .6);
    all((p, which) => { if (which >= 0) { c.strokeStyle = '#444'; c.stroke(outlines[which]); } }, .8);
    all(p => { c.strokeStyle = '#000'; c.stroke(p.lines); }, .9);
    c.font = '11px sans-serif'; c.textAlign = 'left'; c.textBaseline = 'middle';
    for (let k = 0; k < bands; ++k) { c.fillStyle = shade(k); c.fillRect(w - 52, h * .8 - k * h * .06, 14, -h * .06); c.fillStyle = '#222'; c.fillText(number(k * top / bands, 2), w - 35, h * .8 - k * h * .06); }
    c.fillText('|B| [T]', w - 55, h * .2 - 14);
  }
  function arrow(c, x, y, length, angle, colour, name, dash) {
    const ex = x + length * Math.cos(angle), ey = y - length * Math.sin(angle);
    c.strokeStyle = c.fillStyle = colour; c.lineWidth = 2.4; c.setLineDash(dash); c.beginPath(); c.moveTo(x, y); c.lineTo(ex, ey); c.stroke(); c.setLineDash([]);
    c.beginPath(); for (const [r, d] of [[0, 0], [11, .35], [11, -.35]]) c.lineTo(ex - r * Math.cos(angle + d), ey + r * Math.sin(angle + d)); c.fill();
    c.font = 'bold 13px sans-serif'; c.textAlign = 'center'; c.fillText(name, ex + 14 * Math.cos(angle), ey - 14 * Math.sin(angle) + 4);
  }
  function drawVectors() {
    const {c, w, h} = fit(vectors, .75), most = Math.max(...scene.frames.map(f => Math.max(Math.hypot(...f.stator), Math.hypot(...f.rotor))), 1e-9);
    c.clearRect(0, 0, w, h); c.fillStyle = '#222'; c.font = '12px sans-serif'; c.textAlign = 'left'; c.fillText('MMF vectors, electrical angle from phase A; largest ' + number(most, 3) + ' A', 8, 16);
    const size = .38 * Math.min(w, h); c.strokeStyle = '#bbb'; c.lineWidth = 1; c.beginPath(); c.arc(w / 2, h / 2 + 8, size, 0, 7); c.stroke();
    [['F_s', frame.stator, 0], ['F_r', frame.rotor, 1]].forEach(([name, v, k]) => { const length = Math.hypot(...v); if (length > 1e-6 * most) arrow(c, w / 2, h / 2 + 8, size * length / most, Math.atan2(v[1], v[0]), pens[k].colour, name, pens[k].dash); });
  }
  function drawCurve() {
    const {c, w, h} = fit(curve, .75), own = scene.curve.x.length ? [scene.curve.x, scene.curve.torque] : [scene.frames.map(f => f.x), scene.frames.map(f => f.torque)];
    const xs = own[0].concat(scene.frames.map(f => f.x)), ys = own[1].concat(scene.frames.map(f => f.torque), [0]);
    const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(...ys), y1 = Math.max(...ys), left = 62, right = 14, up = 26, down = 40;
    const px = x => left + (x - x0) / (x1 - x0 || 1) * (w - left - right), py = y => h - down - (y - y0) / (y1 - y0 || 1) * (h - up - down);
    c.clearRect(0, 0, w, h); c.fillStyle = '#222'; c.font = '12px sans-serif'; c.textAlign = 'left'; c.fillText('torque [N m]', 8, 16);
    c.textAlign = 'center'; c.fillText(scene.x.name.replaceAll('_', ' ') + (scene.x.unit ? ' [' + scene.x.unit + ']' : ''), (left + w - right) / 2, h - 8);
    c.strokeStyle = '#bbb'; c.lineWidth = 1; c.strokeRect(left, up, w - left - right, h - up - down);
    c.beginPath(); c.moveTo(left, py(0)); c.lineTo(w - right, py(0)); c.stroke(); c.fillStyle = '#222';
    [x0, (x0 + x1) / 2, x1].forEach(x => c.fillText(number(x, 3), px(x), h - down + 15)); c.textAlign = 'right'; [y0, y1].forEach(y => c.fillText(number(y, 3), left - 5, py(y) + 4));
    c.strokeStyle = pens[0].colour; c.lineWidth = 2; c.beginPath(); own[0].forEach((x, i) => c.lineTo(px(x), py(own[1][i]))); c.stroke();
    c.fillStyle = pens[1].colour; c.beginPath(); c.arc(px(frame.x), py(frame.torque), 6, 0, 7); c.fill();
  }
  function show(index) {
    at = index; frame = scene.frames[at]; a = potential(frame); slider.value = at;
    const text = scene.x.name.replaceAll('_', ' ') + ' ' + number(frame.x) + (scene.x.unit ? ' ' + scene.x.unit : '') + ', torque ' + number(frame.torque) + ' N m';
    where.textContent = text; picture.setAttribute('aria-label', 'Flux density and field lines of the section at ' + text);
    vectors.setAttribute('aria-label', 'MMF vectors: stator ' + number(Math.hypot(...frame.stator)) + ' A, rotor ' + number(Math.hypot(...frame.rotor)) + ' A');
    curve.setAttribute('aria-label', 'Torque over ' + scene.x.name.replaceAll('_', ' ') + ', now at ' + text);
    drawField(); drawVectors(); drawCurve();
  }
  function choose(index) {
    scene = data.scenes[index]; slider.max = scene.frames.length - 1; largestLine = 0;
    for (const f of scene.frames) largestLine = Math.max(largestLine, 32767 * f.scale);
    show(0);
  }
  const stop = () => { clearInterval(timer); timer = 0; play.textContent = 'Play'; };
  play.addEventListener('click', () => { if (timer) return stop(); play.textContent = 'Pause'; timer = setInterval(() => show((at + 1) % scene.frames.length), 180); });
  slider.addEventListener('input', () => show(+slider.value));
  choice.addEventListener('change', () => { stop(); choose(+choice.value); });
  addEventListener('resize', () => show(at));

  // What stands at a point of the stator's frame [m]: the triangle there, in whichever copy of its sector.
  function locate(x, y) {
    const fold = (begin, turn) => { const angle = Math.atan2(y, x) - turn - begin, k = Math.floor(angle / data.sector_angle), back = -turn - k * data.sector_angle;
      return {x: x * Math.cos(back) - y * Math.sin(back), y: x * Math.sin(back) + y * Math.cos(back), sign: ((k % 2) + 2) % 2 ? data.sign : 1, back}; };
    for (const [from, to, p] of [[0, firstRotorTriangle, fold(data.start[0], 0)], [firstRotorTriangle, count, fold(data.start[1], frame.angle)]])
      for (let t = from; t < to; ++t) {
        const n = [0, 1, 2].map(i => corners[6 * t + i]), X = n.map(i => nodes[2 * i]), Y = n.map(i => nodes[2 * i + 1]);
        const d = (X[1] - X[0]) * (Y[2] - Y[0]) - (X[2] - X[0]) * (Y[1] - Y[0]);
        const l1 = ((p.x - X[0]) * (Y[2] - Y[0]) - (X[2] - X[0]) * (p.y - Y[0])) / d, l2 = ((X[1] - X[0]) * (p.y - Y[0]) - (p.x - X[0]) * (Y[1] - Y[0])) / d;
        if (l1 >= -1e-6 && l2 >= -1e-6 && l1 + l2 <= 1 + 1e-6) return {t, l: [1 - l1 - l2, l1, l2], X, Y, d, ...p};
      }
    return null;
  }
  function probe(x, y) {
    const q = locate(x, y);
    if (!q) return null;
    const v = [0, 1, 2, 3, 4, 5].map(i => a[corners[6 * q.t + i]]), [l0, l1, l2] = q.l;
    const A = v[0] * l0 * (2 * l0 - 1) + v[1] * l1 * (2 * l1 - 1) + v[2] * l2 * (2 * l2 - 1) + 4 * (v[3] * l0 * l1 + v[4] * l1 * l2 + v[5] * l2 * l0);
    const dl = [(4 * l0 - 1) * v[0] + 4 * (v[3] * l1 + v[5] * l2), (4 * l1 - 1) * v[1] + 4 * (v[3] * l0 + v[4] * l2), (4 * l2 - 1) * v[2] + 4 * (v[4] * l1 + v[5] * l0)];
    const gx = (dl[0] * (q.Y[1] - q.Y[2]) + dl[1] * (q.Y[2] - q.Y[0]) + dl[2] * (q.Y[0] - q.Y[1])) / q.d, gy = (dl[0] * (q.X[2] - q.X[1]) + dl[1] * (q.X[0] - q.X[2]) + dl[2] * (q.X[1] - q.X[0])) / q.d;
    const part = data.parts[region[q.t]], table = data.curves[part.curve], angle = part.radial ? Math.atan2(q.y, q.x) : part.direction, r = part.remanence * (part.radial || 1);
    const bx = gy * q.sign - r * q.sign * Math.cos(angle), by = -gx * q.sign - r * q.sign * Math.sin(angle), used = Math.hypot(bx, by);
    const i = Math.min(table.b.length - 2, Math.floor(used / .05)), H = table.h[i] + (used - table.b[i]) / .05 * (table.h[i + 1] - table.h[i]), B = Math.hypot(gx, gy);
    return {A: A * q.sign, B, H, mu: H > 0 ? used / (H * 4e-7 * Math.PI) : NaN, part: part.name, material: part.material};
  }
  picture.addEventListener('pointermove', event => {
    const box = picture.getBoundingClientRect(), s = .48 * (box.width - 60) / radius;
    const p = probe((event.clientX - box.left - (box.width - 60) / 2) / s, -(event.clientY - box.top - box.height / 2) / s);
    said.textContent = p ? p.part + ' (' + p.material + '):  B ' + number(p.B, 3) + ' T,  H ' + number(p.H, 3) + ' A/m,  μr ' + number(p.mu, 3) + ',  A ' + number(1e3 * p.A, 3) + ' mWb/m' : 'air gap or outside';
  });
  choose(0);
  window.movingField = {show, choose, probe, frames: () => scene.frames.length};  // for those who drive the page
})();
