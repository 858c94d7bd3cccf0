// The page: reads the plan that the program put into it and sets up views, steps, drawings and tables.
import { centrelinePlot, coverageMap, diameterPlot, residualPlot } from './along.js';
import { css, spareColour, SPARE_STOPS } from './colours.js';
import { sceneDrawing } from './drawing.js';
import { Model } from './model.js';
import { fillNumbers } from './numbers.js';
import { LAYERS, LogScene } from './scene.js';
import { crossSection, lacksHere } from './section.js';
import { Steps } from './steps.js';
import { html, table } from './svg.js';
import { Ticks } from './ticks.js';
import { bare, currentUnit, length, onUnitChange, setUnit } from './units.js';

const byId = (id) => document.getElementById(id);
const data = JSON.parse(byId('data').textContent);
const model = new Model(data);
let scene = null;
let steps = null;

function startScene() {
  try {
    scene = new LogScene(byId('view'), model);
  } catch {
    document.body.classList.add('no-3d');
    return;
  }
  const layers = LAYERS.filter((layer) => scene.layers[layer.name]);
  byId('layers').replaceChildren(...layers.map((layer) => html('label', {},
    html('input', {
      type: 'checkbox', 'data-layer': layer.name, checked: scene.wanted[layer.name],
      onchange: (event) => scene.setLayer(layer.name, event.target.checked),
    }), layer.label)));
  byId('views').replaceChildren(...['oblique', 'small end', 'large end', 'side', 'top'].map((name) => html('button',
    { type: 'button', 'data-view': name, onclick: () => scene.setView(name) }, name === 'oblique' ? 'whole log' : name)));
  byId('nearer').addEventListener('click', () => scene.zoom(0.8));
  byId('farther').addEventListener('click', () => scene.zoom(1.25));
  const rolls = model.isPlan && Math.abs(model.roll) > 1e-6;
  byId('pose').hidden = !rolls;
  byId('pose').addEventListener('click', () => setScanned(!scene.scanned));
  const positions = scene.rails?.length ?? 0;
  byId('rails').hidden = positions < 2;
  byId('rails').replaceChildren(...Array.from({ length: positions }, (_, i) => html('button',
    { type: 'button', 'data-rail': i, 'aria-pressed': i === 0, onclick: () => setRail(i) }, `rail ${i + 1}`)));
  new ResizeObserver(() => scene.resize()).observe(byId('stage'));
  scene.resize();
  scene.setView('oblique', false);
  setScanned(false, false);
}

function setScanned(scanned, animate = true) {
  byId('pose').textContent = scanned ? 'Roll the log' : 'As it was scanned';
  return scene.setScanned(scanned, animate);
}

function setRail(position) {
  byId('rails').querySelectorAll('button').forEach((button, i) => button.setAttribute('aria-pressed', i === position));
  scene.setRailPosition(position);
}

/** A step moves the view to what it talks about. */
async function show(look, rail, topic) {
  if (!scene) return;
  byId('layers').querySelectorAll('input').forEach((box) => {
    box.checked = look.layers.includes(box.dataset.layer) || box.dataset.layer === 'section';
    scene.setLayer(box.dataset.layer, box.checked);
  });
  if (rail !== null) setRail(rail);
  scene.setView(look.view);
  if (topic === 'roll' && model.roll !== 0) {
    await setScanned(true, false);
    await new Promise((done) => { setTimeout(done, 700); });
  }
  if (scene.scanned) setScanned(false);
}

function fillHead() {
  const words = data.words[currentUnit()];
  document.title = `${words.title} - Flitchwise`;
  byId('title').textContent = words.title;
  byId('proof').textContent = words.proof ?? '';
  byId('margin').textContent = words.margin ?? '';
  byId('warnings').replaceChildren(...words.warnings.map((warning) => html('li', {}, warning)));
  byId('warning-box').hidden = words.warnings.length === 0;
  byId('warning-count').textContent = words.warnings.length === 1 ? '1 warning' : `${words.warnings.length} warnings`;
  byId('file').textContent = model.plan.scan.file.split('/').pop();
}

function fillSection() {
  const slider = byId('station');
  const x = Number(slider.value);
  const { svg, rows } = crossSection(model, x);
  byId('section-drawing').replaceChildren(svg);
  byId('station-place').textContent = `${length(x)} from the small end`;
  slider.setAttribute('aria-valuetext', byId('station-place').textContent);
  const list = rows.length === 0
    ? html('p', { class: 'quiet' }, model.isPlan ? 'No board reaches this place.' : '')
    : table('To spare here', [{ title: 'Board' }, { title: currentUnit(), right: true }], rows.map(({ board, least }) => [
      html('span', { class: 'chip-line' }, html('span', { class: 'chip', style: `background:${css(spareColour(least))}` }), board.id), bare(least)]));
  const lacking = lacksHere(model, x) ? [html('p', { class: 'lacking-words' }, html('span', { 'aria-hidden': 'true' }, '\u25c6 '),
    `The next board lacks ${length(model.lacking.missing, 1)} here.`)] : [];
  byId('section-spare').replaceChildren(list, ...lacking);
  scene?.setStation(x);
}

function fillDrawings() {
  fillSection();
  if (!model.isPlan) {
    byId('ends').replaceChildren(...data.ends.map((scene) => html('figure', {}, sceneDrawing(scene, model),
      html('figcaption', {}, scene.title))));
  }
  const plots = [
    ['Diameter over bark', diameterPlot(model)],
    ['Centreline, from the straight line between its ends', centrelinePlot(model)],
    ['Distance of the points from the fitted bark', residualPlot(model)],
    ['What was seen (blue) and what not (sand): the bark unrolled', coverageMap(model)],
  ].filter(([, drawing]) => drawing);
  byId('plots').replaceChildren(...plots.map(([title, drawing]) => html('figure', {}, html('figcaption', {}, title), drawing)));
  fillNumbers(model, byId('number-tables'));
  byId('spare-scale').replaceChildren(...SPARE_STOPS.map((stop, i) => html('span', {},
    html('span', { class: 'chip', style: `background:${stop.css}` }), `${bare(stop.mm)}${i === SPARE_STOPS.length - 1 ? `+ ${currentUnit()}` : ''}`)));
}

function setUpSlider() {
  const slider = byId('station');
  slider.max = Math.round(model.length);
  slider.value = Math.round(model.length / 2);
  slider.addEventListener('input', fillSection);
  const spots = model.boards.map((board, i) => ({ board, ...model.boardSpare[i].tightest })).sort((a, b) => a.spare - b.spare);
  byId('to-tightest').hidden = spots.length === 0;
  const goTo = (x) => {
    slider.value = Math.round(x);
    fillSection();
  };
  byId('to-tightest').addEventListener('click', () => goTo(spots[0].x));
  byId('to-lacking').hidden = !model.lacking;
  byId('to-lacking').addEventListener('click', () => goTo(model.lacking.x));
}

function setUpLook() {
  const saved = (() => { try { return localStorage.getItem('flitchwise look'); } catch { return null; } })();
  const select = byId('theme');
  const apply = () => {
    document.documentElement.dataset.theme = select.value;
    try { localStorage.setItem('flitchwise look', select.value); } catch { /* kept for this visit only */ }
    requestAnimationFrame(() => scene?.setGround(getComputedStyle(document.documentElement).getPropertyValue('--stage').trim()));
  };
  if (saved && [...select.options].some((option) => option.value === saved)) select.value = saved;
  select.addEventListener('change', apply);
  window.matchMedia('(prefers-color-scheme: dark)').addEventListener('change', apply);
  apply();
}

function setUpUnits() {
  const buttons = [...document.querySelectorAll('[data-unit]')];
  const mark = () => buttons.forEach((button) => button.setAttribute('aria-pressed', button.dataset.unit === currentUnit()));
  buttons.forEach((button) => button.addEventListener('click', () => setUnit(button.dataset.unit)));
  onUnitChange(() => {
    mark();
    fillHead();
    fillDrawings();
    steps?.fill();
  });
  setUnit(data.units);
}

if (window.innerWidth < 700) document.querySelectorAll('.warnings, .layer-box').forEach((box) => { box.open = false; });
document.body.classList.add(model.isPlan ? 'is-plan' : 'is-look');
startScene();
if (model.isPlan) steps = new Steps(model, new Ticks(data.key), show);
else byId('look-words').textContent = data.look;
setUpSlider();
setUpUnits();
setUpLook();
document.documentElement.dataset.ready = 'yes';
