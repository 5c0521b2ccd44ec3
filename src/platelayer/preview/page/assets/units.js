// Lengths and times as people read them. The block's head brings the inch in millimetres.
const units = { inch: 1, isMetric: true };

function greatestDivisor(a, b) { return b ? greatestDivisor(b, a % b) : a; }

const PLACES = 3; // after the point, of millimetres and of inches alike

// Half away from zero, as in all that the program itself writes.
function showDecimal(value, places = PLACES) {
  const scaled = Math.round(Math.round(Math.abs(value) * 1e9) / 10 ** (9 - places)) / 10 ** places;
  return (value < 0 && scaled ? -scaled : scaled).toFixed(places);
}

// As units.py of the program has it: no fraction below 1/32 in unless it is one, but thousandths.
function showFraction(mm) {
  const parts = Math.round(Math.abs(mm) / units.inch * 64);
  const whole = Math.floor(parts / 64), rest = parts % 64;
  const shared = greatestDivisor(rest, 64);
  const words = [];
  if (whole || !rest) words.push(String(whole));
  if (rest) words.push(`${rest / shared}/${64 / shared}`);
  const isExact = Math.abs(parts / 64 * units.inch - Math.abs(mm)) <= 0.0005;
  if (!isExact && Math.abs(mm) < units.inch / 32) {
    const inches = mm / units.inch;
    return `${showDecimal(inches, Number(showDecimal(inches)) || !Number(showDecimal(inches, 4)) ? 3 : 4)} in`;
  }
  return `${isExact ? "" : "~"}${mm < 0 && parts ? "-" : ""}${words.join(" ")} in`;
}

function showLength(mm) { return units.isMetric ? `${showDecimal(mm)} mm` : showFraction(mm); }

// Of words that come in both units the ones that the switch asks for.
function inUnit([metric, imperial]) { return units.isMetric ? metric : imperial; }

function showTime(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  const two = (n) => String(n).padStart(2, "0");
  const hours = Math.floor(whole / 3600), minutes = Math.floor(whole / 60) % 60;
  return hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}
