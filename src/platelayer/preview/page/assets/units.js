// Lengths and times as people read them. The block's head brings the inch in millimetres.
const units = { inch: 1, isMetric: true };

function greatestDivisor(a, b) { return b ? greatestDivisor(b, a % b) : a; }

function showFraction(mm) {
  const parts = Math.round(Math.abs(mm) / units.inch * 64);
  const whole = Math.floor(parts / 64), rest = parts % 64;
  const shared = greatestDivisor(rest, 64);
  const words = [];
  if (whole || !rest) words.push(String(whole));
  if (rest) words.push(`${rest / shared}/${64 / shared}`);
  const isExact = Math.abs(parts / 64 * units.inch - Math.abs(mm)) <= 0.0005;
  return `${isExact ? "" : "~"}${mm < 0 && parts ? "-" : ""}${words.join(" ")} in`;
}

function showLength(mm, decimals = 2) {
  return units.isMetric ? `${mm.toFixed(decimals).replace(/^-(0\.?0*)$/, "$1")} mm` : showFraction(mm);
}

function showTime(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  const two = (n) => String(n).padStart(2, "0");
  const hours = Math.floor(whole / 3600), minutes = Math.floor(whole / 60) % 60;
  return hours ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}
