// plan.html as people meet it: opened from a file in a real browser. Run by ctest:
//   node page_test.mjs PROGRAM PACKAGES BROWSER SAMPLES [FOLDER FOR SCREENSHOTS]
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const [program, packages, browserPath, samples, shots] = process.argv.slice(2);
const { chromium } = createRequire(join(packages, 'package.json'))('playwright-core');
const MOST_BYTES = 5e6; // so that it can be sent to a phone
const PATIENCE_MS = 120000; // software rendering on a busy machine
// Without its watchdog: on a busy machine it takes slow drawing for a hang and ends the browser.
const SOFTWARE_GL = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--disable-gpu-watchdog'];
const NO_GL = ['--disable-3d-apis', '--disable-gpu'];

const folder = mkdtempSync(join(tmpdir(), 'flitchwise-page-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
if (shots) mkdirSync(shots, { recursive: true });

// Stands in for the desktop's way to open a file: notes what it was asked to open.
const opener = join(folder, 'bin');
mkdirSync(opener);
writeFileSync(join(opener, 'xdg-open'), `#!/bin/sh\necho "$1" >> '${join(folder, 'opened')}'\n`, { mode: 0o755 });
const larch = (...more) => execFileSync(program, ['plan', join(samples, 'larch-photo.ply'), '--board', '50x150x3000',
  '--kit', join(samples, 'kit.toml'), '--bark', '12', '--scale-length', '3630', '--time-limit', '5', ...more],
{ stdio: 'pipe', env: { ...process.env, PATH: `${opener}:${process.env.PATH}` } });
larch('--open', '--out', folder);
larch('--pattern', 'cant', '--advice-time', '0', '--out', join(folder, 'cant'));
execFileSync(program, ['plan', join(samples, 'spruce-depth.ply'), '--board', '50x150x2400', '--short-lengths', '1000,500', '--bark', '12',
  '--time-limit', '5', '--advice-time', '0', '--out', join(folder, 'short')], { stdio: 'pipe' });
execFileSync(program, ['look', join(samples, 'spruce-depth.ply'), '--out', folder], { stdio: 'pipe' });
const planPage = join(folder, 'plan.html');
const planIn = (place) => JSON.parse(readFileSync(join(place, 'plan.json'), 'utf8'));
const plan = planIn(folder);

async function browserWith(args) {
  return chromium.launch({ executablePath: browserPath, args: ['--no-sandbox', '--disable-dev-shm-usage', ...args], timeout: PATIENCE_MS });
}
/** Opens a page and notes what it says to the console and asks of the network. */
async function opened(browser, file, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1024, height: 800 }, reducedMotion: 'reduce', ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  const trouble = [];
  page.on('console', (message) => { if (['error', 'warning'].includes(message.type())) trouble.push(message.text()); });
  page.on('pageerror', (error) => trouble.push(String(error)));
  page.on('request', (request) => { if (request.url() !== pathToFileURL(file).href) trouble.push(`asked for ${request.url()}`); });
  await page.goto(pathToFileURL(file).href);
  await page.waitForSelector('html[data-ready=yes]');
  return { page, context, trouble };
}
// The browser itself grumbles about reading pixels back from a software renderer.
const ofThePage = (trouble) => trouble.filter((text) => !/GPU stall due to ReadPixels|software WebGL|SwiftShader/i.test(text));

/** The 3D picture's pixels, shrunk: how many colours it has, and a number that changes with it. */
function picture(page) {
  return page.evaluate(async () => {
    await new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); });
    const small = document.createElement('canvas');
    small.width = 320;
    small.height = 200;
    const context = small.getContext('2d', { willReadFrequently: true });
    context.drawImage(document.getElementById('view'), 0, 0, 320, 200);
    const { data } = context.getImageData(0, 0, 320, 200);
    const colours = new Set();
    let hash = 0;
    for (let i = 0; i < data.length; i += 4) {
      const colour = (data[i] << 16) | (data[i + 1] << 8) | data[i + 2];
      colours.add(colour);
      hash = (Math.imul(hash, 31) + colour) | 0;
    }
    return { colours: colours.size, hash };
  });
}
/** A finger drawn over the 3D picture. */
async function swipe(page, box) {
  const session = await page.context().newCDPSession(page);
  const touch = (type, ...at) => session.send('Input.dispatchTouchEvent', { type, touchPoints: at.map(([x, y]) => ({ x: box.x + x, y: box.y + y })) });
  await touch('touchStart', [150, 100]);
  for (const x of [165, 180, 200]) await touch('touchMove', [x, 110]);
  await touch('touchEnd');
}
/** Leaves only this layer on, or none; at once, where a click each would wait for many pictures. */
const onlyLayer = (page, wanted) => page.$$eval('[data-layer]', (boxes, name) => boxes.forEach((box) => {
  if (box.checked !== (box.dataset.layer === name)) box.click();
}), wanted);
const cells = (page, name) => page.$$eval(`#number-tables table.${name} tbody tr`,
  (rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent.trim())));
const tenth = (value) => (value === null ? '-' : value.toFixed(1));
const overflow = (page) => page.evaluate(() => document.scrollingElement.scrollWidth - window.innerWidth);

const tests = [];
const test = (name, body) => tests.push({ name, body });
let browser;
let plain; // without WebGL: quick, for what needs no 3D picture

test('is small enough to send', async () => {
  assert.ok(statSync(planPage).size < MOST_BYTES, `${statSync(planPage).size} bytes`);
  assert.ok(readFileSync(planPage, 'utf8').includes('Permission is hereby granted'), 'three.js licence text');
});

test('is opened when --open asks for it', () => {
  assert.equal(readFileSync(join(folder, 'opened'), 'utf8').trim(), planPage);
});

test('opens from a file without errors or requests, and shows a picture', async () => {
  const { page, context, trouble } = await opened(browser, planPage);
  const { colours } = await picture(page);
  assert.ok(colours > 100, `${colours} colours`);
  console.log(`    first picture after ${await page.evaluate(() => document.documentElement.dataset.firstPictureMs)} ms`);
  assert.deepEqual(ofThePage(trouble), []);
  await context.close();
});

test('layers, views and zoom change the picture', async () => {
  // Small: software drawing takes its time for each pixel.
  const { page, context, trouble } = await opened(browser, planPage, { viewport: { width: 480, height: 420 }, hasTouch: true });
  await page.$$eval('details', (all) => { all.forEach((box) => { box.open = true; }); });
  const layers = await page.$$eval('[data-layer]', (boxes) => boxes.map((box) => box.dataset.layer));
  for (const wanted of ['points', 'surface', 'wood', 'unseen', 'centreline', 'pith', 'knots', 'planes', 'boards', 'tight', 'rail', 'section']) {
    assert.ok(layers.includes(wanted), wanted);
  }
  // What lies on the ground does not roll with the log.
  if (await page.isVisible('#pose')) await page.click('#pose');
  for (const layer of layers.filter((name) => name !== 'rail')) {
    await onlyLayer(page, null); // so that nothing hides it
    const without = await picture(page);
    await page.setChecked(`[data-layer="${layer}"]`, true);
    assert.notEqual((await picture(page)).hash, without.hash, `layer ${layer}`);
  }
  if (await page.isVisible('#pose')) await page.click('#pose');
  await onlyLayer(page, null);
  const bare = await picture(page);
  await page.setChecked('[data-layer="rail"]', true);
  assert.notEqual((await picture(page)).hash, bare.hash, 'layer rail');
  await page.$$eval('[data-layer]', (boxes) => boxes.filter((box) => !box.checked).forEach((box) => box.click()));
  const seen = new Set();
  for (const view of await page.$$('[data-view]')) {
    await view.click();
    seen.add((await picture(page)).hash);
  }
  assert.equal(seen.size, 5, 'five views differ');
  const before = await picture(page);
  await page.click('#nearer');
  assert.notEqual((await picture(page)).hash, before.hash, 'nearer');
  await page.$eval('#view', (view) => view.scrollIntoView({ block: 'start' }));
  const box = await (await page.$('#view')).boundingBox();
  const turned = await picture(page);
  await page.mouse.move(box.x + 150, box.y + 100);
  await page.mouse.down();
  await page.mouse.move(box.x + 210, box.y + 130, { steps: 3 });
  await page.mouse.up();
  assert.notEqual((await picture(page)).hash, turned.hash, 'turning by mouse');
  const still = await picture(page);
  await swipe(page, box);
  assert.notEqual((await picture(page)).hash, still.hash, 'turning by touch');
  if (plan.setup.rail_positions.length > 1) {
    const first = await picture(page);
    await page.click('[data-rail="1"]');
    assert.notEqual((await picture(page)).hash, first.hash, 'second rail position');
  }
  assert.deepEqual(ofThePage(trouble), []);
  await context.close();
});

test('every step shows its words, and its figures are the plan’s', async () => {
  const { page, context, trouble } = await opened(browser, planPage);
  const count = await page.$$eval('#step-list button', (buttons) => buttons.length);
  assert.equal(count, 7 + plan.setup.rail_positions.length, 'answer, care, 1 to 6 with a step for each rail position');
  const titles = [];
  for (let i = 0; i < count; i += 1) {
    await page.click(`#step-list [data-step="${i}"]`);
    const shown = await page.$$eval('.step', (all) => all.filter((s) => getComputedStyle(s).display !== 'none').map((s) => s.dataset.step));
    assert.deepEqual(shown, [`${i}`]);
    titles.push(await page.textContent('.step.current h3'));
    assert.ok((await page.textContent('.step.current')).length > 60);
  }
  assert.equal(new Set(titles).size, count);
  assert.match(await page.textContent('#title'), new RegExp(`^${plan.boards.length} boards? `));
  for (const end of ['small', 'large']) {
    const expected = Math.round(plan.setup[`${end}_end`].below_top_mm);
    const words = await page.textContent('.step[data-step="0"]');
    assert.match(words, new RegExp(`(${expected}|${expected - 1}) mm down from the top`), `${end} end`);
  }
  const rows = await page.$$eval('.step table', (tables) => tables.filter((t) => t.caption.textContent === 'Supports')
    .flatMap((t) => [...t.tBodies[0].rows].map((row) => [...row.cells].map((c) => c.textContent.trim()))));
  assert.equal(rows.length, plan.supports.length);
  rows.forEach((row, i) => {
    assert.equal(row[1], `${plan.supports[i].support}`);
    assert.ok(Math.abs(Number(row[2]) - plan.supports[i].x_mm) <= 0.55, `support ${i} at ${row[2]}`);
    assert.ok(Math.abs(parseFloat(row[3]) - plan.supports[i].gap_left_mm) <= 0.55, `support ${i} left ${row[3]}`);
  });
  await page.click('#step-list [data-step="0"]');
  await page.click('#step-next');
  assert.equal(await page.textContent('.step.current h3'), titles[1]);
  assert.deepEqual(ofThePage(trouble), []);
  await context.close();
});

test('ticks survive closing the page', async () => {
  const { page, context } = await opened(plain, planPage);
  const rail = await page.$$eval('.step', (all) => all.findIndex((s) => [...s.querySelectorAll('caption')].some((c) => c.textContent === 'Supports')));
  await page.click(`#step-list [data-step="${rail}"]`);
  const boxes = await page.$$eval('.step.current [data-tick]', (all) => all.map((box) => box.dataset.tick));
  assert.ok(boxes.length >= 3);
  await page.check(`[data-tick="${boxes[1]}"]`);
  await page.reload();
  await page.waitForSelector('html[data-ready=yes]');
  const ticked = await page.$$eval('[data-tick]:checked', (all) => all.map((box) => box.dataset.tick));
  assert.deepEqual(ticked, [boxes[1]]);
  await page.click(`#step-list [data-step="${rail}"]`);
  await page.uncheck(`[data-tick="${boxes[1]}"]`);
  await page.reload();
  await page.waitForSelector('html[data-ready=yes]');
  assert.equal((await page.$$('[data-tick]:checked')).length, 0);
  await context.close();
});

test('the tables hold plan.json’s numbers', async () => {
  const { page, context } = await opened(plain, planPage);
  assert.deepEqual(await cells(page, 'supports'), plan.supports.map((s) => [`${s.rail_position}`, `${s.support}`, tenth(s.x_mm),
    tenth(s.gap_left_mm), tenth(s.gap_right_mm), s.status]));
  assert.deepEqual(await cells(page, 'cuts'), plan.cuts.map((c) => [`${c.order}`, c.piece, c.rests_on, tenth(c.saw_depth_mm), tenth(c.width_mm)]));
  const boards = await cells(page, 'boards');
  assert.deepEqual(boards.map((row) => [row[0], row[3]]), plan.boards.map((b) => [b.id, tenth(b.margin_mm)]));
  const log = Object.fromEntries(await cells(page, 'log'));
  assert.equal(log.Length, `${tenth(plan.log.length_mm)} mm`);
  assert.equal(log.Sweep, `${tenth(plan.log.sweep_mm)} mm`);
  assert.equal(log['Cut line over the pith, large end'], `${tenth(plan.opening.height_large_end_mm)} mm`);
  assert.equal(log.Roll, `${plan.opening.roll_deg}°`);
  assert.equal((await cells(page, 'knots')).length, plan.log.knots.length);
  // A board that moves out by its margin is still inside: its tightest spot has at least that.
  boards.forEach((row) => assert.ok(Number(row[4]) > Number(row[3]) - 0.5, `${row[0]}: ${row[4]} to spare, margin ${row[3]}`));
  await page.click('[data-unit="in"]');
  const depth = (await cells(page, 'cuts'))[0][3];
  const inches = depth.split(' ').reduce((sum, part) => sum + (part.includes('/') ? part.split('/')[0] / part.split('/')[1] : Number(part)), 0);
  assert.ok(Math.abs(inches * 25.4 - plan.cuts[0].saw_depth_mm) <= 25.4 / 32 + 0.06, depth);
  assert.match(await page.textContent('#step-body'), / in down from the top/);
  await context.close();
});

test('the cross-section follows the slider', async () => {
  const { page, context } = await opened(plain, planPage);
  const reach = plan.boards.map((b) => [Math.min(...b.corners_mm.slice(0, 4).map((p) => p[0])), Math.max(...b.corners_mm.slice(4).map((p) => p[0]))]);
  for (const share of [0, 0.1, 0.35, 0.6, 0.95, 1]) {
    const x = Math.round(share * plan.log.length_mm);
    await page.$eval('#station', (slider, value) => { slider.value = value; slider.dispatchEvent(new Event('input')); }, x);
    const at = Number(await page.inputValue('#station'));
    const expected = reach.filter(([from, to]) => at >= from && at <= to).length;
    assert.equal((await page.$$('#section-drawing .board')).length, expected, `boards at ${at}`);
    assert.equal((await page.$$('#section-drawing path.wood')).length, 1);
  }
  await page.click('#to-tightest');
  const spare = await page.$$eval('#section-spare tbody td', (all) => all.map((cell) => Number(cell.textContent)));
  const tightest = Math.min(...(await cells(page, 'boards')).map((row) => Number(row[4])));
  assert.ok(Math.abs(Math.min(...spare) - tightest) <= 1, `${spare} against ${tightest}`);
  const lacking = plan.advice.limits?.next_board;
  assert.equal(await page.isVisible('#to-lacking'), Boolean(lacking));
  if (lacking) {
    await page.click('#to-lacking');
    assert.ok(Math.abs(Number(await page.inputValue('#station')) - lacking.x_mm) <= 0.51);
    assert.equal((await page.$$('#section-drawing .lacking')).length, 1);
    assert.match(await page.textContent('#section-spare'), new RegExp(`lacks ${lacking.missing_mm.toFixed(1)} mm`));
  }
  await page.focus('#station');
  const before = await page.inputValue('#station');
  await page.keyboard.press('ArrowRight');
  assert.notEqual(await page.inputValue('#station'), before, 'by keyboard');
  await context.close();
});

test('shows a cant’s boards, on edge, and all its cuts', async () => {
  const cant = planIn(join(folder, 'cant'));
  const onEdge = cant.boards.filter((board) => board.on_edge);
  assert.ok(onEdge.length > 0);
  const { page, context, trouble } = await opened(plain, join(folder, 'cant', 'plan.html'));
  assert.equal((await cells(page, 'boards')).length, cant.boards.length);
  assert.deepEqual((await cells(page, 'cuts')).map((row) => row[1]), cant.cuts.map((cut) => cut.piece));
  assert.equal((await page.$$('#section-drawing .board')).length, cant.boards.length, 'in the middle of the log');
  assert.equal((await page.$$('.step figure svg .on-edge')).length, onEdge.length);
  assert.deepEqual(trouble.filter((text) => !/WebGL/i.test(text)), []);
  if (shots) await page.screenshot({ path: join(shots, 'cant-all.png'), fullPage: true });
  await context.close();
});

test('shows shorter boards apart from the plan’s', async () => {
  const short = planIn(join(folder, 'short'));
  assert.ok(short.short_boards.length > 0);
  const { page, context } = await opened(plain, join(folder, 'short', 'plan.html'));
  assert.deepEqual((await cells(page, 'short-boards')).map((row) => row[0]), short.short_boards.map((board) => board.id));
  assert.equal((await cells(page, 'boards')).length, short.boards.length);
  const [first] = short.short_boards;
  const middle = (first.corners_mm[0][0] + first.corners_mm[4][0]) / 2;
  await page.$eval('#station', (slider, value) => { slider.value = value; slider.dispatchEvent(new Event('input')); }, Math.round(middle));
  assert.ok((await page.$$('#section-drawing .short-board')).length >= 1);
  await context.close();
});

test('fits phones and wide screens, light and dark, and prints', async () => {
  for (const [width, height, colorScheme] of [[375, 720, 'light'], [1024, 800, 'light'], [1920, 1080, 'light'], [375, 720, 'dark'], [1920, 1080, 'dark']]) {
    const { page, context, trouble } = await opened(browser, planPage, { viewport: { width, height }, colorScheme, hasTouch: width < 500 });
    assert.ok((await overflow(page)) <= 0, `${width} px wide: ${await overflow(page)} px too wide`);
    if (shots) {
      const name = `${width}-${colorScheme}`;
      await page.screenshot({ path: join(shots, `${name}.png`) });
      await page.screenshot({ path: join(shots, `${name}-all.png`), fullPage: true });
      const count = width === 1920 && colorScheme === 'dark' ? 0 : await page.$$eval('#step-list button', (all) => all.length);
      for (let i = 0; i < count && colorScheme === 'light'; i += 1) {
        await page.click(`#step-list [data-step="${i}"]`);
        await (await page.$('main')).screenshot({ path: join(shots, `${name}-step${i}.png`) });
      }
    }
    assert.deepEqual(ofThePage(trouble), []);
    await context.close();
  }
  const { page, context } = await opened(browser, planPage);
  await page.emulateMedia({ media: 'print' });
  const hidden = await page.$$eval('.step', (all) => all.filter((s) => getComputedStyle(s).display === 'none').length);
  assert.equal(hidden, 0, 'all steps are printed');
  await context.close();
});

test('shows a look at a log', async () => {
  const { page, context, trouble } = await opened(browser, join(folder, 'look.html'));
  assert.match(await page.textContent('#look-words'), /Verdict/);
  assert.ok((await picture(page)).colours > 100);
  assert.equal((await page.$$('#ends svg')).length, 2);
  assert.equal(await page.isVisible('.steps'), false);
  assert.ok((await overflow(page)) <= 0);
  if (shots) await page.screenshot({ path: join(shots, 'look-all.png'), fullPage: true });
  assert.deepEqual(ofThePage(trouble), []);
  await context.close();
});

test('holds everything but the 3D picture where WebGL is missing', async () => {
  const { page, context, trouble } = await opened(plain, planPage);
  assert.equal(await page.isVisible('#view'), false);
  assert.ok(await page.isVisible('.no-3d-words'));
  assert.equal((await page.$$('.step')).length, 7 + plan.setup.rail_positions.length);
  assert.equal((await cells(page, 'supports')).length, plan.supports.length);
  assert.equal((await page.$$('#section-drawing svg')).length, 1);
  assert.ok((await page.$$('#plots svg')).length >= 2);
  await page.click('#step-next');
  assert.equal(await page.textContent('.step.current h3'), 'Take care');
  assert.deepEqual(trouble.filter((text) => !/WebGL/i.test(text)), []);
  await context.close();
});

try {
  browser = await browserWith(SOFTWARE_GL);
} catch (error) {
  console.log(`Skipped: ${browserPath} cannot be started here: ${error.message.split('\n')[0]}`);
  process.exit(0);
}
plain = await browserWith(NO_GL);
let failed = 0;
for (const { name, body } of tests) {
  const start = performance.now();
  try {
    await body();
    console.log(`ok    ${name} (${Math.round(performance.now() - start)} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`FAILS ${name}\n${error.stack.split('\n').filter((line) => !line.startsWith('[pid=') && !line.startsWith('<launch')).join('\n')}`);
  }
}
await browser.close();
await plain.close();
console.log(failed === 0 ? `All ${tests.length} tests of the page passed` : `${failed} of ${tests.length} tests of the page failed`);
process.exitCode = failed === 0 ? 0 : 1;
