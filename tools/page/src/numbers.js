// Tables of what plan.json holds, to its own tenth of a millimetre.
import { css, spareColour } from './colours.js';
import { html, table } from './svg.js';
import { bare, currentUnit, length, weight } from './units.js';

const TENTH = 1;
const unitOf = (title) => `${title} ${currentUnit()}`;
const right = (title) => ({ title, right: true });

function logTable({ plan, isPlan }) {
  const { log, scan } = plan;
  const rows = [
    ['Scan', `${scan.file}, ${scan.points_read} points`],
    ['Scale from', scan.scale_source],
    ['Up from', scan.up_source],
    ['Length', length(log.length_mm, TENTH)],
    ['Diameter over bark, small end', length(log.small_end_diameter_mm, TENTH)],
    ['Diameter over bark, large end', length(log.large_end_diameter_mm, TENTH)],
    ['Sweep', length(log.sweep_mm, TENTH)],
    ['Volume over bark', `${log.volume_m3} m³`],
    ['Seen', `${(log.seen_share * 100).toFixed(1)} % of the bark`],
    ['Bark', length(log.bark_mm, TENTH)],
    ['Scatter of the points', length(log.residual_mm, 2)],
    ['Pith', log.pith.source],
  ];
  if (isPlan) {
    const { opening, proof, setup } = plan;
    rows.push(
      ['Roll', `${opening.roll_deg}°`],
      ['Cut line over the pith, small end', length(opening.height_small_end_mm, TENTH)],
      ['Cut line over the pith, large end', length(opening.height_large_end_mm, TENTH)],
      ['Give or take, small end', length(opening.tolerance_small_end_mm, TENTH)],
      ['Give or take, large end', length(opening.tolerance_large_end_mm, TENTH)],
      ['Rail over the opening cut', length(opening.rail_height_mm, TENTH)],
      ['Boards', `${proof.boards}, at most ${proof.upper_bound}${proof.proven ? ', proven' : ''}`],
      ['Weight of the log', weight(setup.log_weight_kg)],
    );
  }
  return table('Log and plan', [{ title: 'What' }, { title: 'How much' }], rows, 'log');
}

function boardTable(model) {
  return table('Boards', [{ title: 'Board' }, right(unitOf('thick x wide x long')), right('flitch'), right(unitOf('margin')),
    right(unitOf('to spare at its tightest spot')), right(unitOf('which is at'))],
  model.boards.map((board, i) => {
    const { tightest } = model.boardSpare[i];
    return [
      html('span', { class: 'chip-line' }, html('span', { class: 'chip', style: `background:${css(spareColour(tightest.spare))}` }), board.id),
      board.size_mm.map((v) => bare(v)).join('\u00a0x\u00a0'), `${board.flitch}`, bare(board.margin_mm, TENTH), bare(tightest.spare, TENTH), bare(tightest.x),
    ];
  }), 'boards');
}

function shortBoardTable({ shortBoards }) {
  return table('Shorter boards besides', [{ title: 'Board' }, right(unitOf('thick x wide x long')), { title: 'out of' }],
    shortBoards.map((b) => [b.id, b.size_mm.map((v) => bare(v)).join('\u00a0x\u00a0'), b.source]), 'short-boards');
}

function supportTable({ plan }) {
  return table('Supports, in tenths', [{ title: 'Rail position' }, right('support'), right(unitOf('at')), right(unitOf('gap left')),
    right(unitOf('gap right')), { title: 'do' }],
  plan.supports.map((s) => [`${s.rail_position}`, `${s.support}`, bare(s.x_mm, TENTH), bare(s.gap_left_mm, TENTH),
    bare(s.gap_right_mm, TENTH), s.status]), 'supports');
}

function cutTable({ plan }) {
  return table('Cuts, in tenths', [{ title: 'Cut' }, { title: 'of' }, { title: 'rail or saw on' }, right(unitOf('depth')), right(unitOf('width'))],
    plan.cuts.map((c) => [`${c.order}`, c.piece, c.rests_on, bare(c.saw_depth_mm, TENTH), bare(c.width_mm, TENTH)]), 'cuts');
}

function knotTable({ plan }) {
  return table('Knots and stubs', [right(unitOf('at')), right('angle °'), right(unitOf('height')), right(unitOf('across'))],
    plan.log.knots.map((k) => [bare(k.x_mm, TENTH), `${k.theta_deg}`, bare(k.height_mm, TENTH), bare(k.extent_mm, TENTH)]), 'knots');
}

export function fillNumbers(model, place) {
  const tables = [logTable(model)];
  if (model.isPlan) tables.push(boardTable(model), supportTable(model), cutTable(model));
  if (model.shortBoards.length > 0) tables.push(shortBoardTable(model));
  if (model.plan.log.knots.length > 0) tables.push(knotTable(model));
  place.replaceChildren(...tables);
}
