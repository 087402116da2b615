// Moving field, the controls: one frame at a time, field, MMF vectors and the point on the torque curve together.
'use strict';
(() => {
  const data = JSON.parse(document.getElementById('scenes-data').textContent);
  const pens = JSON.parse(document.getElementById('pens').textContent);
  const mesh = fieldMesh(data), painter = fieldPicture(mesh, pens.ramp), lineCount = 22;
  const make = (tag, properties, parent) => { const e = Object.assign(document.createElement(tag), properties); parent.append(e); return e; };
  const number = (v, digits = 4) => Number(Number(v).toPrecision(digits)).toString().replace('-', '−');
  const words = name => name.replaceAll('_', ' ');

  const place = make('div', {className: 'scene'}, document.getElementById('scene-place'));
  const controls = make('div', {className: 'controls'}, place);
  const chooseLabel = make('label', {textContent: 'Scene '}, controls), choice = make('select', {id: 'scene-choice'}, chooseLabel);
  const play = make('button', {type: 'button', textContent: 'Play'}, controls);
  const slider = make('input', {type: 'range', min: 0, step: 1, value: 0, id: 'scene-frame'}, controls);
  slider.setAttribute('aria-label', 'Frame');
  const where = make('output', {htmlFor: 'scene-frame'}, controls);
  const canvas = (parent, id) => { const e = make('canvas', {id}, parent); e.setAttribute('role', 'img'); return e; };
  const picture = canvas(place, 'scene-field'), side = make('div', {className: 'beside'}, place);
  picture.tabIndex = 0;
  const vectors = canvas(side, 'scene-vectors'), curve = canvas(side, 'scene-curve');
  const said = make('p', {className: 'said'}, place), legend = make('p', {className: 'remark'}, place);
  said.setAttribute('aria-live', 'polite');
  data.scenes.forEach((s, i) => make('option', {value: i, textContent: words(s.study) + ': ' + s.title}, choice));

  let scene, frame, a, look, at = 0, timer = 0, cross = null;

  const colours = () => pageScheme.dark() ? {ink: '#ececf0', pale: '#8a8a94', paper: '#17171b', pens: pens.dark}
    : {ink: '#16161a', pale: '#a0a0a8', paper: '#ffffff', pens: pens.light};
  function fit(target, ratio) {
    const width = Math.max(200, target.clientWidth), scale = Math.min(2, devicePixelRatio || 1);
    target.width = Math.round(width * scale);
    target.height = Math.round(width * ratio * scale);
    const c = target.getContext('2d');
    c.setTransform(scale, 0, 0, scale, 0, 0);
    return {c, w: width, h: width * ratio};
  }
  const position = () => words(scene.x.name) + ' ' + number(frame.x) + (scene.x.unit ? ' ' + scene.x.unit : '');

  // Marks the point that is read.
  function drawCross(sheet) {
    if (!cross) return;
    const view = painter.viewOf(sheet.w, sheet.h), x = view.x0 + cross[0] * view.scale, y = view.y0 - cross[1] * view.scale;
    for (const [colour, width] of [['#fff', 4], ['#000', 1.6]]) {
      Object.assign(sheet.c, {strokeStyle: colour, lineWidth: width});
      sheet.c.beginPath();
      for (const [dx, dy] of [[9, 0], [-9, 0], [0, 9], [0, -9]]) { sheet.c.moveTo(x + dx / 3, y + dy / 3); sheet.c.lineTo(x + dx, y + dy); }
      sheet.c.stroke();
    }
  }
  // Pictures are kept as long as scene, size and colours are the same: playing again costs nothing.
  let kept = new Map(), keptFor = '';
  function drawField(sheet) {
    const now = [choice.value, sheet.c.canvas.width, pageScheme.dark()].join();
    if (now !== keptFor) { kept = new Map(); keptFor = now; }
    if (!kept.has(at)) {
      const copy = document.createElement('canvas'), c = copy.getContext('2d');
      copy.width = sheet.c.canvas.width;
      copy.height = sheet.c.canvas.height;
      c.setTransform(sheet.c.getTransform());
      painter.draw({...sheet, c}, frame, a, look, colours());
      kept.set(at, copy);
    }
    sheet.c.drawImage(kept.get(at), 0, 0, sheet.w, sheet.h);
  }
  function show(index) {
    at = index;
    frame = scene.frames[at];
    a = mesh.potential(frame);
    slider.value = at;
    const text = position() + ', torque ' + number(frame.torque) + ' N m';
    where.textContent = text;
    slider.setAttribute('aria-valuetext', text);
    picture.setAttribute('aria-label', 'Flux density and field lines of the section at ' + text + '. Arrow keys read a point.');
    const lengths = [frame.stator, frame.rotor].map(v => number(Math.hypot(...v), 3));
    vectors.setAttribute('aria-label', 'MMF vectors: stator ' + lengths[0] + ' A, rotor ' + lengths[1] + ' A');
    curve.setAttribute('aria-label', 'Torque over ' + words(scene.x.name) + ', now at ' + text);
    const sheet = fit(picture, .92);
    drawField(sheet);
    drawCross(sheet);
    drawVectors(fit(vectors, .78), scene, frame, colours());
    drawTorque(fit(curve, .7), scene, frame, colours());
    read();
  }
  function choose(index) {
    scene = data.scenes[index];
    choice.value = index;
    slider.max = scene.frames.length - 1;
    const largest = Math.max(...scene.frames.map(f => 32767 * f.scale)), last = scene.frames.length - 1;
    const few = [...new Set([0, last >> 2, last >> 1, last])].map(i => mesh.potential(scene.frames[i]));
    look = {bands: painter.bandsFor(few), step: 2 * largest / lineCount};
    legend.textContent = 'Neighbouring field lines are ' + number(1e3 * look.step, 3) + ' mWb/m apart in every frame; F_s and F_r are the ' +
      'fundamentals of the stator\'s and the rotor\'s MMF, at their electrical angle from phase A\'s axis. The pointer, or the arrow keys ' +
      'on the picture, read a point.';
    show(0);
  }
  const stop = () => { clearInterval(timer); timer = 0; play.textContent = 'Play'; };
  play.addEventListener('click', () => {
    if (timer) return stop();
    play.textContent = 'Pause';
    timer = setInterval(() => show((at + 1) % scene.frames.length), 180);
  });
  slider.addEventListener('input', () => show(+slider.value));
  choice.addEventListener('change', () => { stop(); choose(+choice.value); });
  addEventListener('resize', () => show(at));
  pageScheme.onChange(() => show(at));

  // What stands at the cross.
  function read() {
    if (!cross) { said.textContent = ''; return; }
    const p = mesh.probe(frame, a, ...cross);
    said.textContent = p ? p.part + ' (' + p.material + '):  B ' + number(p.B, 3) + ' T,  H ' + number(p.H, 3) + ' A/m,  μr ' +
      number(p.mu, 3) + ',  A ' + number(1e3 * p.A, 3) + ' mWb/m' : 'between the meshes of stator and rotor, or outside the machine';
  }
  picture.addEventListener('pointermove', event => {
    const box = picture.getBoundingClientRect(), view = painter.viewOf(box.width, box.height);
    cross = view.metres(event.clientX - box.left, event.clientY - box.top);
    read();
  });
  picture.addEventListener('keydown', event => {
    const go = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key];
    if (!go) return;
    event.preventDefault();
    const step = mesh.radius / (event.shiftKey ? 200 : 40);
    cross = cross ? [cross[0] + go[0] * step, cross[1] + go[1] * step] : [.9 * mesh.radius, 0];
    show(at);
  });
  choose(0);
  // For those who drive the page.
  window.movingField = {show, choose, frames: () => scene.frames.length, probe: (x, y) => mesh.probe(frame, a, x, y),
                        step: () => frame.scale};
})();
