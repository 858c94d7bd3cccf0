// The sheet's steps, one at a time; on paper all of them.
import { sceneDrawing } from './drawing.js';
import { html, table } from './svg.js';
import { currentUnit } from './units.js';

/** What the 3D view shows at each step. */
const LOOK = {
  answer: { view: 'oblique', layers: ['points', 'unseen', 'planes', 'boards', 'knots', 'rail', 'lacking'] },
  care: { view: 'oblique', layers: ['points', 'around', 'knots'] },
  roll: { view: 'small end', layers: ['points', 'around', 'surface', 'knots', 'planes'] },
  ends: { view: 'small end', layers: ['points', 'planes', 'boards', 'pith'] },
  rail: { view: 'oblique', layers: ['points', 'planes', 'rail', 'knots'] },
  planes: { view: 'side', layers: ['planes', 'boards', 'surface'] },
  flitches: { view: 'top', layers: ['boards', 'wood'] },
  boards: { view: 'oblique', layers: ['boards', 'wood', 'tight', 'lacking'] },
};

export class Steps {
  /** `show(look, railPosition)` moves the 3D view. */
  constructor(model, ticks, show) {
    this.model = model;
    this.ticks = ticks;
    this.show = show;
    this.current = 0;
    this.nav = document.getElementById('step-list');
    this.body = document.getElementById('step-body');
    document.getElementById('step-back').addEventListener('click', () => this.go(this.current - 1));
    document.getElementById('step-next').addEventListener('click', () => this.go(this.current + 1));
  }

  get steps() {
    return this.model.data.words[currentUnit()].steps;
  }

  fill() {
    this.nav.replaceChildren(...this.steps.map((step, i) => html('li', {},
      html('button', { type: 'button', 'data-step': i, onclick: () => this.go(i) }, shortTitle(step, i)))));
    this.body.replaceChildren(...this.steps.map((step, i) => this.section(step, i)));
    this.mark();
  }

  section(step, index) {
    return html('section', { class: 'step', 'data-step': index, 'aria-labelledby': `step-title-${index}` },
      html('h3', { id: `step-title-${index}`, tabindex: -1 }, step.title),
      ...step.items.map((item, i) => this.item(item, `${index}.${i}`)));
  }

  item(item, id) {
    switch (item.kind) {
      case 'heading':
        return html('h4', {}, item.words);
      case 'paragraph':
        return html('p', { class: item.bold ? 'strong' : null }, item.words);
      case 'tick':
        return html('label', { class: 'tick' }, this.box(id, item.words), html('span', {}, item.words));
      case 'figure':
        return html('dl', { class: 'figure-row' }, html('dt', {}, item.label), html('dd', {}, item.words));
      case 'table':
        return this.table(item, id);
      default:
        return this.drawing(item);
    }
  }

  box(id, words) {
    return html('input', {
      type: 'checkbox', 'data-tick': id, 'aria-label': words, checked: this.ticks.has(id),
      onchange: (event) => {
        this.ticks.set(id, event.target.checked);
        this.mark();
      },
    });
  }

  table(item, id) {
    if (!item.ticks) return table('', item.columns, item.rows);
    const columns = [{ title: 'done' }, ...item.columns];
    const rows = item.rows.map((row, i) => [
      html('label', { class: 'cell-tick' }, this.box(`${id}.${i}`, `${item.columns[0].title} ${row[0]} done`)), ...row,
    ]);
    return table(`${item.columns[0].title === 'No.' ? 'Supports' : item.columns[0].title === 'Cut' ? 'Cuts' : 'Boards'}`, columns, rows);
  }

  drawing(item) {
    return html('div', { class: 'pair' }, ...item.scenes.map((scene) => html('figure', {},
      sceneDrawing(scene, this.model), html('figcaption', {}, scene.title))));
  }

  go(index, focus = true) {
    this.current = Math.min(Math.max(index, 0), this.steps.length - 1);
    this.mark();
    const step = this.steps[this.current];
    const rail = step.topic === 'rail' && step.items.find((item) => item.kind === 'drawing');
    this.show(LOOK[step.topic] ?? LOOK.answer, rail ? rail.index : null, step.topic);
    if (focus) document.getElementById(`step-title-${this.current}`).focus({ preventScroll: true });
    if (focus) this.nav.parentElement.scrollIntoView({ block: 'nearest' });
  }

  mark() {
    document.querySelectorAll('.step').forEach((section, i) => {
      section.classList.toggle('current', i === this.current);
      const boxes = [...section.querySelectorAll('input')];
      const done = boxes.length > 0 && boxes.every((box) => box.checked);
      const button = this.nav.children[i].firstElementChild;
      button.classList.toggle('done', done);
      if (i === this.current) button.setAttribute('aria-current', 'step');
      else button.removeAttribute('aria-current');
      if (i === this.current) this.nav.scrollLeft = button.offsetLeft - this.nav.clientWidth / 2 + button.offsetWidth / 2;
    });
    document.getElementById('step-back').disabled = this.current === 0;
    document.getElementById('step-next').disabled = this.current === this.steps.length - 1;
    document.getElementById('step-place').textContent = `${this.current + 1} of ${this.steps.length}`;
  }
}

function shortTitle(step, index) {
  return index === 0 ? 'The plan' : step.title.replace(/^(\d)\s+/, '$1 ');
}
