// Moving field, beside the picture: MMF vectors of both sides and the point on the torque curve.
'use strict';
const sideFont = '12px "DejaVu Sans", sans-serif';
const shortNumber = v => Number(Number(v).toPrecision(3)).toString().replace('-', '−');

function drawArrow(c, from, length, angle, pen, name) {
  const [x, y] = from, ex = x + length * Math.cos(angle), ey = y - length * Math.sin(angle), head = Math.min(11, length / 2);
  c.strokeStyle = c.fillStyle = pen.colour;
  c.lineWidth = 2.6;
  c.setLineDash(pen.dash);
  c.beginPath();
  c.moveTo(x, y);
  c.lineTo(ex - .8 * head * Math.cos(angle), ey + .8 * head * Math.sin(angle));
  c.stroke();
  c.setLineDash([]);
  c.beginPath();
  for (const [r, d] of [[0, 0], [head, .4], [head, -.4]]) c.lineTo(ex - r * Math.cos(angle + d), ey + r * Math.sin(angle + d));
  c.fill();
  c.font = 'bold ' + sideFont;
  c.textAlign = 'center';
  c.textBaseline = 'middle';
  c.fillText(name, ex + 16 * Math.cos(angle), ey - 14 * Math.sin(angle));
}

function drawVectors({c, w, h}, scene, frame, colours) {
  const most = Math.max(1e-9, ...scene.frames.map(f => Math.max(Math.hypot(...f.stator), Math.hypot(...f.rotor))));
  const size = .36 * Math.min(w, h), middle = [w / 2, h / 2 + 18];
  c.fillStyle = colours.paper;
  c.fillRect(0, 0, w, h);
  c.fillStyle = colours.ink;
  c.font = sideFont;
  c.textAlign = 'left';
  c.textBaseline = 'middle';
  c.fillText('MMF vectors; the circle is ' + shortNumber(most) + ' A,', 8, 12);
  c.fillText('to the right lies the axis of phase A', 8, 28);
  c.strokeStyle = colours.pale;
  c.lineWidth = 1;
  c.beginPath();
  c.arc(...middle, size, 0, 7);
  c.moveTo(...middle);
  c.lineTo(middle[0] + 1.15 * size, middle[1]);
  c.stroke();
  [['F_s', frame.stator, 0], ['F_r', frame.rotor, 1]].forEach(([name, v, k]) => {
    const length = Math.hypot(...v);
    if (length > 1e-3 * most) drawArrow(c, middle, size * length / most, Math.atan2(v[1], v[0]), colours.pens[k], name);
  });
}

function tidyTicks(low, high, count) {
  const raw = (high - low) / count || 1, power = 10 ** Math.floor(Math.log10(raw));
  const step = power * (raw < 1.5 * power ? 1 : raw < 3.5 * power ? 2 : raw < 7.5 * power ? 5 : 10), ticks = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; ++k) ticks.push(k * step);
  return ticks;
}

function drawTorque({c, w, h}, scene, frame, colours) {
  const own = scene.curve.x.length ? [scene.curve.x, scene.curve.torque]
    : [scene.frames.map(f => f.x), scene.frames.map(f => f.torque)];
  const xs = own[0].concat(scene.frames.map(f => f.x)), ys = own[1].concat(scene.frames.map(f => f.torque), [0]);
  const x0 = Math.min(...xs), x1 = Math.max(...xs), low = Math.min(...ys), high = Math.max(...ys), room = .06 * (high - low || 1);
  // So that the numbers at the axis stay short.
  const [unit, prefix] = [[1e6, 'M'], [1e3, 'k'], [1, ''], [1e-3, 'm'], [1e-6, 'µ'], [1e-9, 'n']]
    .find(([size]) => Math.max(high, -low) >= 2 * size) ?? [1, ''];
  c.font = sideFont;
  const y0 = low < 0 ? low - room : low, y1 = high + room, right = 14, up = 26, down = 40;
  const said = tidyTicks(y0, y1, 4).map(y => [y, shortNumber(y / unit)]);
  const left = 20 + Math.max(...said.map(([, words]) => c.measureText(words).width));
  // Along the frames from left to right: slip falls from 1 to 0 as the rotor speeds up.
  const falling = scene.frames.at(-1).x < scene.frames[0].x;
  const px = x => left + (falling ? x1 - x : x - x0) / (x1 - x0 || 1) * (w - left - right);
  const py = y => h - down - (y - y0) / (y1 - y0 || 1) * (h - up - down);
  const stroke = (points, colour, width) => {
    c.strokeStyle = colour;
    c.lineWidth = width;
    c.beginPath();
    points.forEach(([x, y], i) => i ? c.lineTo(x, y) : c.moveTo(x, y));
    c.stroke();
  };
  c.fillStyle = colours.paper;
  c.fillRect(0, 0, w, h);
  c.fillStyle = colours.ink;
  c.font = sideFont;
  c.textBaseline = 'middle';
  c.textAlign = 'left';
  c.fillText('torque [' + prefix + 'N m]', 8, 12);
  c.textAlign = 'center';
  c.fillText(scene.x.name.replaceAll('_', ' ') + (scene.x.unit ? ' [' + scene.x.unit + ']' : ''), (left + w - right) / 2, h - 10);
  for (const x of tidyTicks(x0, x1, 4)) {
    stroke([[px(x), h - down], [px(x), h - down + 4]], colours.pale, 1);
    c.fillText(shortNumber(x), px(x), h - down + 13);
  }
  c.textAlign = 'right';
  for (const [y, words] of said) {
    stroke([[left, py(y)], [w - right, py(y)]], colours.pale, Math.abs(y) < 1e-9 * unit ? 1.4 : .4);
    c.fillText(words, left - 6, py(y));
  }
  c.strokeStyle = colours.pale;
  c.lineWidth = 1;
  c.strokeRect(left, up, w - left - right, h - up - down);
  stroke(own[0].map((x, i) => [px(x), py(own[1][i])]), colours.pens[0].colour, 2);
  c.fillStyle = colours.pens[1].colour;
  c.strokeStyle = colours.paper;
  c.lineWidth = 2;
  c.beginPath();
  c.arc(px(frame.x), py(frame.torque), 7, 0, 7);
  c.fill();
  c.stroke();
}
