// Moving field, the picture: bands of |B|, averaged at nodes inside each part and never across parts, under unbroken
// lines of equal A.
'use strict';
const fieldPicture = (mesh, ramp) => {
  const {data, nodes, corners, region, count, firstRotor, radius} = mesh;
  const quarters = [[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]];
  // A number for every pair of node and part: what is averaged together.
  const place = new Uint32Array(6 * count), pairs = new Map();
  for (let c = 0; c < place.length; ++c) {
    const pair = corners[c] * data.parts.length + region[Math.floor(c / 6)];
    if (!pairs.has(pair)) pairs.set(pair, pairs.size);
    place[c] = pairs.get(pair);
  }
  // At each corner of each triangle, the slopes of its six shape functions: B there is one sum of products.
  const slopes = new Float32Array(72 * count);
  for (let t = 0; t < count; ++t) mesh.slopesAtCorners(t, slopes.subarray(72 * t, 72 * t + 72));
  function densities(a) {
    const total = new Float64Array(pairs.size), shares = new Uint16Array(pairs.size);
    for (let t = 0, s = 0; t < count; ++t)
      for (let i = 0; i < 6; ++i) {
        let gx = 0, gy = 0;
        for (let n = 0; n < 6; ++n) {
          const value = a[corners[6 * t + n]];
          gx += slopes[s++] * value;
          gy += slopes[s++] * value;
        }
        total[place[6 * t + i]] += Math.hypot(gx, gy);
        ++shares[place[6 * t + i]];
      }
    return total.map((b, i) => b / shares[i]);
  }

  // Bands that suit these fields: tidy steps up to what all but a few nodes at sharp corners stay under; the last is open.
  function bandsFor(potentials) {
    const all = potentials.flatMap(a => Array.from(densities(a))).sort((p, q) => p - q);
    const top = all[Math.floor(.997 * (all.length - 1))] || 1, raw = top / 12, power = 10 ** Math.floor(Math.log10(raw));
    const step = power * (raw < 1.5 * power ? 1 : raw < 3.5 * power ? 2 : raw < 7.5 * power ? 5 : 10);
    return {step, count: Math.max(2, Math.floor(top / step + 1e-9) + 1)};
  }
  const shade = (band, bands) => ramp[Math.round(band / (bands.count - 1) * (ramp.length - 1))];

  // The part of a triangle, corners [x, y, b], in which b is above a level.
  function above(corner, level) {
    const kept = [];
    corner.forEach((p, i) => {
      const q = corner[(i + 1) % 3];
      if (p[2] >= level) kept.push(p);
      if ((p[2] - level) * (q[2] - level) < 0) {
        const s = (level - p[2]) / (q[2] - p[2]);
        kept.push([p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]);
      }
    });
    return kept;
  }
  const outline = (path, points) => {
    points.forEach((p, i) => i ? path.lineTo(p[0], p[1]) : path.moveTo(p[0], p[1]));
    path.closePath();
  };
  function fill(out, corner, bands) {
    const [p, q, r] = corner, last = bands.count - 1;
    const low = Math.min(last, Math.floor(Math.min(p[2], q[2], r[2]) / bands.step));
    const high = Math.min(last, Math.floor(Math.max(p[2], q[2], r[2]) / bands.step));
    outline(out.bands[low], corner);
    for (let k = low + 1; k <= high; ++k) outline(out.bands[k], above(corner, k * bands.step));
  }
  // Lines through a triangle of corners [x, y, A], half a step off zero so that neighbouring sectors' lines meet.
  function lines(out, corner, step) {
    const [p0, p1, p2] = corner, high = Math.max(p0[2], p1[2], p2[2]);
    for (let k = Math.ceil(Math.min(p0[2], p1[2], p2[2]) / step - .5); (k + .5) * step <= high; ++k) {
      const level = (k + .5) * step, hit = [];
      corner.forEach((p, i) => {
        const q = corner[(i + 1) % 3], s = (level - p[2]) / (q[2] - p[2]);
        if ((p[2] - level) * (q[2] - level) < 0) hit.push([p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]);
      });
      if (hit.length === 2) { out.lines.moveTo(...hit[0]); out.lines.lineTo(...hit[1]); }
    }
  }
  const empty = bands => ({bands: Array.from({length: bands.count}, () => new Path2D()), lines: new Path2D()});

  function sectorPaths(from, to, a, b, bands, step) {
    const out = empty(bands);
    for (let t = from; t < to; ++t)
      for (const quarter of quarters) {
        const own = quarter.map(i => 6 * t + i);
        fill(out, own.map(c => [nodes[2 * corners[c]], nodes[2 * corners[c] + 1], b[place[c]]]), bands);
        lines(out, own.map(c => [nodes[2 * corners[c]], nodes[2 * corners[c] + 1], a[corners[c]]]), step);
      }
    return out;
  }
  function gapPaths(strip, joined, bands, step) {
    const out = empty(bands);
    // Where one wave alone crosses the gap, the others end at its circles and nothing joins them.
    for (const [p, q, r] of joined ? strip : []) {
      const d = (q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]);
      if (d === 0) continue;
      const gx = ((q[2] - p[2]) * (r[1] - p[1]) - (r[2] - p[2]) * (q[1] - p[1])) / d;
      const gy = ((r[2] - p[2]) * (q[0] - p[0]) - (q[2] - p[2]) * (r[0] - p[0])) / d, b = Math.hypot(gx, gy);
      fill(out, [p, q, r].map(c => [c[0], c[1], b]), bands);
      lines(out, [p, q, r], step);
    }
    return out;
  }

  // Borders between parts, once a side: neither the edges of the sector nor the gap circle, where the mesh ends and the
  // machine does not.
  const outlines = [0, 1].map(side => {
    const edges = new Map(), path = new Path2D(), at = n => [nodes[2 * n], nodes[2 * n + 1]];
    for (let t = side ? firstRotor : 0; t < (side ? count : firstRotor); ++t)
      for (const edge of [[0, 3, 1], [1, 4, 2], [2, 5, 0]]) {
        const n = edge.map(i => corners[6 * t + i]), known = edges.get(n[1]);
        if (known) { known.shared = true; known.inside = known.region === region[t]; }
        else edges.set(n[1], {n, region: region[t]});
      }
    const gapRadius = Math.hypot(...at(data.gap[side ? 'rotor' : 'stator'][0]));
    const cut = e => { const [x, y] = at(e.n[1]), turn = (Math.atan2(y, x) - data.start[side]) / data.sector_angle;
      return Math.abs(Math.hypot(x, y) - gapRadius) < 1e-4 * gapRadius ||
        (data.sectors > 1 && Math.abs(turn - Math.round(turn)) < 1e-5); };
    for (const e of edges.values())
      if (!e.inside && (e.shared || !cut(e))) { path.moveTo(...at(e.n[0])); path.lineTo(...at(e.n[1])); path.lineTo(...at(e.n[2])); }
    return path;
  });

  const scaleRoom = 62;  // px at the right, for the scale of |B|
  function drawScale(c, w, h, bands, colours) {
    const each = Math.min(.05 * h, .7 * h / bands.count), foot = h / 2 + each * bands.count / 2, digits = bands.step < .1 ? 2 : 1;
    c.font = '12px "DejaVu Sans", sans-serif';
    c.textAlign = 'left';
    c.textBaseline = 'middle';
    for (let k = 0; k < bands.count; ++k) {
      c.fillStyle = shade(k, bands);
      c.fillRect(w - 54, foot - (k + 1) * each, 16, each);
      c.fillStyle = colours.ink;
      c.fillText((k * bands.step).toFixed(digits), w - 34, foot - k * each);
    }
    c.fillText('|B| [T]', w - 56, foot - bands.count * each - 14);
  }

  // Metres of the stator's frame to pixels of a picture w wide and h high, and back.
  const viewOf = (w, h) => { const scale = .48 * Math.min(w - scaleRoom, h) / radius, x0 = (w - scaleRoom) / 2, y0 = h / 2;
    return {scale, x0, y0, metres: (px, py) => [(px - x0) / scale, (y0 - py) / scale]}; };

  function draw({c, w, h}, frame, a, look, colours) {
    const b = densities(a), {scale, x0, y0} = viewOf(w, h);
    const layers = [{p: sectorPaths(0, firstRotor, a, b, look.bands, look.step), turn: 0, border: outlines[0]},
                    {p: gapPaths(mesh.gapStrip(frame, a), frame.joined, look.bands, look.step), turn: 0},
                    {p: sectorPaths(firstRotor, count, a, b, look.bands, look.step), turn: frame.angle, border: outlines[1]}];
    const everywhere = (width, act) => {
      for (let k = 0; k < data.sectors; ++k) for (const layer of layers) {
        c.save();
        c.translate(x0, y0);
        c.scale(scale, -scale);
        c.rotate(k * data.sector_angle + layer.turn);
        c.lineWidth = width / scale;
        act(layer);
        c.restore();
      }
    };
    c.fillStyle = colours.paper;
    c.fillRect(0, 0, w, h);
    for (let k = 0; k < look.bands.count; ++k)
      everywhere(.7, layer => { c.fillStyle = c.strokeStyle = shade(k, look.bands); c.fill(layer.p.bands[k]);
        if (k === 0 || layer.border) c.stroke(layer.p.bands[k]); });
    everywhere(1, layer => { if (layer.border) { c.strokeStyle = '#333'; c.stroke(layer.border); } });
    everywhere(.8, layer => { c.strokeStyle = '#000'; c.stroke(layer.p.lines); });
    drawScale(c, w, h, look.bands, colours);
  }
  return {draw, bandsFor, viewOf};
};
