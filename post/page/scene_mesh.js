// Moving field, the data: mesh of one sector and a frame's potentials unpacked, what stands at a point, and the strip of
// triangles that joins both meshes across the gap.
'use strict';
const fieldMesh = data => {
  const bytes = text => Uint8Array.from(atob(text), c => c.charCodeAt(0)).buffer;
  const nodes = new Float32Array(bytes(data.nodes)), corners = new Uint32Array(bytes(data.triangles));
  const region = new Uint16Array(bytes(data.regions)), count = region.length;
  let firstRotor = 0;
  while (firstRotor < count && data.parts[region[firstRotor]].side === 0) ++firstRotor;
  let radius = 0;
  for (let i = 0; i < nodes.length; i += 2) radius = Math.max(radius, Math.hypot(nodes[i], nodes[i + 1]));

  // A frame's A at the nodes [Wb/m], each side in its own frame.
  const potential = frame => Float64Array.from(new Int16Array(bytes(frame.a)), q => q * frame.scale);

  // Second-order shape functions of a triangle and their slopes along its first two coordinates.
  const shapes = (u, v) => { const w = 1 - u - v;
    return [w * (2 * w - 1), u * (2 * u - 1), v * (2 * v - 1), 4 * w * u, 4 * u * v, 4 * v * w]; };
  const slopes = (u, v) => { const w = 1 - u - v;
    return [[1 - 4 * w, 4 * u - 1, 0, 4 * (w - u), 4 * v, -4 * v], [1 - 4 * w, 0, 4 * v - 1, -4 * u, 4 * u, 4 * (w - v)]]; };
  const sum = (f, values) => f.reduce((s, n, i) => s + n * values[i], 0);
  const own = t => [0, 1, 2, 3, 4, 5].map(i => corners[6 * t + i]);

  // Gradient of nodal values `a` in triangle t at (u, v), by the true (curved) map.
  function gradient(t, u, v, a) {
    const n = own(t), [du, dv] = slopes(u, v), x = n.map(i => nodes[2 * i]), y = n.map(i => nodes[2 * i + 1]);
    const value = n.map(i => a[i]), xu = sum(du, x), xv = sum(dv, x), yu = sum(du, y), yv = sum(dv, y);
    const d = xu * yv - xv * yu, au = sum(du, value), av = sum(dv, value);
    return [(au * yv - av * yu) / d, (av * xu - au * xv) / d];
  }

  // Slopes of the six shape functions at the six nodes, x and y in turn, into `out`.
  const corner = [[0, 0], [1, 0], [0, 1], [.5, 0], [.5, .5], [0, .5]];
  const slopesAtCorner = corner.map(([u, v]) => slopes(u, v));
  function slopesAtCorners(t, out) {
    const n = own(t), x = n.map(i => nodes[2 * i]), y = n.map(i => nodes[2 * i + 1]);
    slopesAtCorner.forEach(([du, dv], i) => {
      const xu = sum(du, x), xv = sum(dv, x), yu = sum(du, y), yv = sum(dv, y), d = xu * yv - xv * yu;
      for (let k = 0; k < 6; ++k) {
        out[12 * i + 2 * k] = (du[k] * yv - dv[k] * yu) / d;
        out[12 * i + 2 * k + 1] = (dv[k] * xu - du[k] * xv) / d;
      }
    });
  }

  // Coordinates of a point in triangle t, or null where it is outside: Newton's steps from the straight triangle.
  function inside(t, px, py) {
    const n = own(t), x = n.map(i => nodes[2 * i]), y = n.map(i => nodes[2 * i + 1]);
    const d = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
    let u = ((px - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (py - y[0])) / d;
    let v = ((x[1] - x[0]) * (py - y[0]) - (px - x[0]) * (y[1] - y[0])) / d;
    if (u < -.2 || v < -.2 || u + v > 1.2) return null;
    for (let step = 0; step < 6; ++step) {
      const f = shapes(u, v), [du, dv] = slopes(u, v), rx = px - sum(f, x), ry = py - sum(f, y);
      const xu = sum(du, x), xv = sum(dv, x), yu = sum(du, y), yv = sum(dv, y), j = xu * yv - xv * yu;
      u += (rx * yv - ry * xv) / j;
      v += (ry * xu - rx * yu) / j;
    }
    return u > -1e-6 && v > -1e-6 && u + v < 1 + 1e-6 ? {t, u, v} : null;
  }

  // A point of the stator's frame [m] turned into the one sector that is meshed, of either side.
  function fold(x, y, begin, turn) {
    const k = Math.floor((Math.atan2(y, x) - turn - begin) / data.sector_angle), back = -turn - k * data.sector_angle;
    return {x: x * Math.cos(back) - y * Math.sin(back), y: x * Math.sin(back) + y * Math.cos(back),
            sign: k % 2 ? data.sign : 1};
  }
  function locate(x, y, angle) {
    for (const [from, to, p] of [[0, firstRotor, fold(x, y, data.start[0], 0)],
                                 [firstRotor, count, fold(x, y, data.start[1], angle)]])
      for (let t = from; t < to; ++t) {
        const found = inside(t, p.x, p.y);
        if (found) return {...found, ...p};
      }
    return null;
  }

  // H [A/m] of a material's table at B [T].
  function strength(table, b) {
    const i = Math.min(table.b.length - 2, Math.floor(b / .05));
    return table.h[i] + (b - table.b[i]) / .05 * (table.h[i + 1] - table.h[i]);
  }

  // What stands at a point of the stator's frame: A, B, H, relative permeability, part and material; null outside.
  function probe(frame, a, x, y) {
    const q = locate(x, y, frame.angle);
    if (!q) return null;
    const part = data.parts[region[q.t]], [gx, gy] = gradient(q.t, q.u, q.v, a);
    const magnet = part.radial ? Math.atan2(q.y, q.x) : part.direction, remanence = part.remanence * (part.radial || 1);
    // The table of a magnet holds for the field less its remanence.
    const used = Math.hypot(gy - remanence * Math.cos(magnet), -gx - remanence * Math.sin(magnet));
    const H = strength(data.curves[part.curve], used);
    return {A: q.sign * sum(shapes(q.u, q.v), own(q.t).map(i => a[i])), B: Math.hypot(gx, gy), H,
            mu: H > 0 ? used / (H * 4e-7 * Math.PI) : NaN, part: part.name, material: part.material};
  }

  // Points of a gap circle over a little more than one sector of the stator, the rotor's repeated with their sign.
  function circle(list, a, turn, begin, end) {
    const points = [], first = list.map(i => ({angle: Math.atan2(nodes[2 * i + 1], nodes[2 * i]),
                                               r: Math.hypot(nodes[2 * i], nodes[2 * i + 1]), a: a[i]}));
    for (let k = 1; k < first.length; ++k)
      while (first[k].angle < first[k - 1].angle - 1e-9) first[k].angle += 2 * Math.PI;
    for (let k = -data.sectors - 1; k <= data.sectors + 1; ++k)
      for (const p of first.slice(0, -1)) {
        const angle = p.angle + turn + k * data.sector_angle;
        if (angle > begin - .2 * data.sector_angle && angle < end + .2 * data.sector_angle)
          points.push({angle, r: p.r, a: p.a * (k % 2 ? data.sign : 1)});
      }
    return points.sort((p, q) => p.angle - q.angle);
  }
  function gapStrip(frame, a) {
    const strip = [], begin = data.start[0], end = begin + data.sector_angle;
    const turn = frame.angle - 2 * Math.PI * Math.round(frame.angle / (2 * Math.PI));
    const stator = circle(data.gap.stator, a, 0, begin, end), rotor = circle(data.gap.rotor, a, turn, begin, end);
    let j = 0, k = 0;
    while (j + 1 < stator.length || k + 1 < rotor.length) {
      const onward = k + 1 >= rotor.length || (j + 1 < stator.length && stator[j + 1].angle < rotor[k + 1].angle);
      const tri = onward ? [stator[j], stator[j + 1], rotor[k]] : [stator[j], rotor[k + 1], rotor[k]];
      if (onward) ++j; else ++k;
      const middle = (tri[0].angle + tri[1].angle + tri[2].angle) / 3;
      if (middle >= begin && middle <= end)
        strip.push(tri.map(p => [p.r * Math.cos(p.angle), p.r * Math.sin(p.angle), p.a]));
    }
    return strip;
  }

  return {data, nodes, corners, region, count, firstRotor, radius, potential, slopesAtCorners, probe, gapStrip};
};
