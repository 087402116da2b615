// Contrast of every text against what lies under it, by the formulas of WCAG 2.1. Body of a function that the driver
// calls; text inside pictures is not looked at.
const linear = v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4;
const parse = text => { const n = text.match(/[\d.]+/g).map(Number); return {rgb: n.slice(0, 3), alpha: n.length > 3 ? n[3] : 1}; };
const luminance = rgb => rgb.map(v => linear(v / 255)).reduce((s, v, i) => s + v * [.2126, .7152, .0722][i], 0);
const ground = e => {
  for (let at = e; at; at = at.parentElement) {
    const {rgb, alpha} = parse(getComputedStyle(at).backgroundColor);
    if (alpha === 1) return rgb;
    if (alpha > 0) throw new Error('half-transparent ground of ' + at.outerHTML.slice(0, 80));
  }
  return [255, 255, 255];
};
document.querySelectorAll('details').forEach(d => { d.open = true; });
const faults = new Set();
let texts = 0;
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let node = walk.nextNode(); node; node = walk.nextNode()) {
  const e = node.parentElement;
  if (!node.data.trim() || e.closest('script, style, svg, option') || !e.getClientRects().length) continue;
  ++texts;
  const one = luminance(parse(getComputedStyle(e).color).rgb), other = luminance(ground(e));
  const ratio = (Math.max(one, other) + .05) / (Math.min(one, other) + .05);
  if (ratio < 4.5) faults.add(ratio.toFixed(2) + ': ' + e.tagName + '.' + e.className + ' "' + node.data.trim().slice(0, 40) + '"');
}
return {texts, faults: [...faults]};
