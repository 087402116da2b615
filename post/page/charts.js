// Charts of the page: one panel a unit, drawn by dygraphs; read-out by pointer or by the arrow keys, zoom by dragging
// or by + and −, all of it again by Escape; the numbers as CSV.
'use strict';
// Light or dark as the system says, light on paper; calls back when that changes.
const pageScheme = (() => {
  const query = matchMedia('(prefers-color-scheme: dark)'), calls = [];
  let printing = false;
  const tell = () => calls.forEach(call => call());
  const print = on => {
    printing = on;
    document.documentElement.classList.toggle('printing', on);
    document.querySelectorAll('details').forEach(d => { if (on) d.open = true; });
    tell();
  };
  addEventListener('beforeprint', () => print(true));
  addEventListener('afterprint', () => print(false));
  query.addEventListener('change', tell);
  return {dark: () => query.matches && !printing, onChange: call => calls.push(call)};
})();

(() => {
  const pens = JSON.parse(document.getElementById('pens').textContent);
  const symbols = /^[A-Za-z](_[A-Za-z0-9_]+)?$/;
  const words = name => symbols.test(name) ? name : name.replaceAll('_', ' ');
  const label = (name, unit) => words(name) + (unit ? ' [' + unit + ']' : '');
  const element = (tag, properties, parent) => {
    const made = Object.assign(document.createElement(tag), properties);
    if (parent) parent.append(made);
    return made;
  };
  const number = v => v === null ? '' : Number(v).toPrecision(5).replace(/(\.\d*?)0+($|e)/, '$1$2').replace(/\.($|e)/, '$1');

  function csv(curve) {
    const lines = curve.panels.flatMap(p => p.lines.map(l => ({...l, unit: p.unit})));
    const rows = curve.x.values.map((x, i) => [x, ...lines.map(l => l.values[i] ?? '')].join(','));
    return [[label(curve.x.name, curve.x.unit), ...lines.map(l => label(l.name, l.unit))].join(','), ...rows].join('\n') + '\n';
  }

  function save(curve) {
    const link = element('a', {href: URL.createObjectURL(new Blob([csv(curve)], {type: 'text/csv'})),
                               download: curve.id + '.csv'});
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  function key(bar, line, pen) {
    const item = element('span', {}, bar);
    const dash = pen.dash.length ? ' stroke-dasharray="' + pen.dash.join(' ') + '"' : '';
    item.innerHTML = '<svg class="key" viewBox="0 0 36 10" aria-hidden="true"><path d="M0 5H36" fill="none" stroke-width="2.4" stroke="' +
      pen.colour + '"' + dash + '/></svg>';
    item.append(words(line.name) + (line.error ? ' (± ' + number(line.error) + ')' : ''));
  }

  function panel(figure, curve, part) {
    const bar = element('div', {className: 'bar'}, figure);
    const read = element('div', {className: 'read'}, figure);
    read.setAttribute('aria-live', 'polite');
    const place = element('div', {className: 'plot', tabIndex: 0}, figure);
    place.setAttribute('role', 'img');
    place.setAttribute('aria-label', curve.title + '. ' + curve.words + 'Arrow keys read the values.');
    const mine = pens[pageScheme.dark() ? 'dark' : 'light'];
    const say = row => {
      read.textContent = label(curve.x.name, curve.x.unit) + ' ' + number(curve.x.values[row]) + ':  ' +
        part.lines.map(l => words(l.name) + ' ' + number(l.values[row]) + (part.unit ? ' ' + part.unit : '')).join(',  ');
    };
    const graph = new Dygraph(place, curve.x.values.map((x, i) => [x, ...part.lines.map(l => l.values[i])]), {
      labels: [curve.x.name, ...part.lines.map(l => l.name)],
      colors: part.lines.map((l, k) => mine[k % mine.length].colour), strokeWidth: 2,
      series: Object.fromEntries(part.lines.map((l, k) => [l.name, {strokePattern: mine[k % mine.length].dash.map(d => 2 * d)}])),
      drawPoints: curve.x.values.length <= 60, pointSize: 2.5, legend: 'never', connectSeparatedPoints: curve.joined, includeZero: false, labelsKMB: false,
      xlabel: label(curve.x.name, curve.x.unit), ylabel: part.lines.length === 1 ? label(part.lines[0].name, part.unit)
        : '[' + (part.unit || '1') + ']', axisLabelFontSize: 12, gridLineColor: pageScheme.dark() ? '#46464e' : '#c9c9cf',
      axisLineColor: pageScheme.dark() ? '#b3b3bb' : '#55555c', yRangePad: 12, xRangePad: curve.x.log ? 0 : 6, logscale: part.log,
      axes: {x: {axisLabelFormatter: v => number(v), logscale: curve.x.log},
        y: {axisLabelFormatter: v => number(v), axisLabelWidth: 64}},
      highlightCallback: (event, x, points, row) => say(row),
    });
    part.lines.forEach((l, k) => key(bar, l, mine[k % mine.length]));
    let at = -1;
    place.addEventListener('keydown', event => {
      const last = curve.x.values.length - 1, range = graph.xAxisRange(), middle = (range[0] + range[1]) / 2;
      const zoom = f => graph.updateOptions({dateWindow: range.map(v => middle + (v - middle) * f)});
      if (event.key === 'ArrowRight') at = Math.min(last, at + 1);
      else if (event.key === 'ArrowLeft') at = Math.max(0, at < 0 ? last : at - 1);
      else if (event.key === 'Home') at = 0;
      else if (event.key === 'End') at = last;
      else if (event.key === '+') return zoom(0.5);
      else if (event.key === '-') return zoom(2);
      else if (event.key === 'Escape') { graph.resetZoom(); return; }
      else return;
      event.preventDefault();
      graph.setSelection(at);
      say(at);
    });
    return {graph, bar};
  }

  function chart(figure, curve) {
    const panels = curve.panels.map(part => panel(figure, curve, part));
    const bar = panels[0].bar;
    element('button', {textContent: 'CSV', type: 'button', title: 'Save the numbers of this chart'}, bar)
      .addEventListener('click', () => save(curve));
    element('button', {textContent: 'whole range', type: 'button', title: 'Undo the zoom'}, bar)
      .addEventListener('click', () => panels.forEach(p => p.graph.resetZoom()));
    return panels;
  }

  const curves = JSON.parse(document.getElementById('curves').textContent);
  let drawn = [];
  const draw = () => {
    drawn.forEach(p => p.graph.destroy());
    drawn = [];
    for (const figure of document.querySelectorAll('figure.chart')) {
      figure.querySelectorAll('.bar, .read, .plot').forEach(old => old.remove());
      const curve = curves.find(c => c.id === figure.dataset.chart);
      if (curve) drawn.push(...chart(figure, curve));
    }
  };
  draw();
  pageScheme.onChange(draw);
})();
