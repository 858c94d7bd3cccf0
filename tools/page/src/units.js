// Lengths as people read them. Inside the page everything is millimetres, as in plan.json.
let unit = 'mm';
const listeners = [];
const SIXTEENTHS = 16;
const MM_AN_INCH = 25.4;

export const currentUnit = () => unit;
export function setUnit(name) {
  unit = name === 'in' ? 'in' : 'mm';
  listeners.forEach((tell) => tell());
}
export const onUnitChange = (tell) => listeners.push(tell);

function inches(mm) {
  const parts = Math.round((Math.abs(mm) / MM_AN_INCH) * SIXTEENTHS);
  const whole = Math.floor(parts / SIXTEENTHS);
  let over = parts % SIXTEENTHS;
  let under = SIXTEENTHS;
  while (over > 0 && over % 2 === 0) {
    over /= 2;
    under /= 2;
  }
  const text = over === 0 ? `${whole}` : `${whole > 0 ? `${whole} ` : ''}${over}/${under}`;
  return mm < 0 && parts > 0 ? `-${text}` : text;
}

/** Without its unit; null and undefined are shown as a dash. */
export function bare(mm, digits = 0) {
  if (mm === null || mm === undefined || !Number.isFinite(mm)) return '-';
  if (unit === 'in') return inches(mm);
  const text = mm.toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text;
}
export const length = (mm, digits = 0) => `${bare(mm, digits)} ${unit}`;

const KG_A_POUND = 0.45359237; // the international pound
/** Whole kilograms or pounds, with the unit; pounds from whole kilograms, as the steps' words have them. */
export const weight = (kg) => (unit === 'in' ? `${Math.round(Math.round(kg) / KG_A_POUND)} lb` : `${Math.round(kg)} kg`);

/** Step of a ruler in mm, for about `count` steps over `span` mm, and its labels. */
export function rulerStep(span, count) {
  const steps = unit === 'in' ? [1, 2, 4, 6, 12, 24, 48].map((n) => n * MM_AN_INCH) : [10, 20, 50, 100, 200, 500, 1000, 2000];
  return steps.find((step) => span / step <= count) ?? steps[steps.length - 1];
}
