// Half-precision codes of depths: for numbers that are not negative the codes rise with the numbers, so the deeper of
// two cuts is simply the greater code, and a row of codes goes to the graphics card as it is.
function toHalf(depth) {
  if (!(depth > 0)) return 0;
  const power = Math.floor(Math.log2(depth));
  if (power < -14) return Math.round(depth * 16777216);
  const code = ((power + 15) << 10) + Math.round((depth / 2 ** power - 1) * 1024);
  return Math.min(code, 0x7bff);
}

function fromHalf(code) {
  const power = code >> 10, part = code & 1023;
  return power ? (1 + part / 1024) * 2 ** (power - 15) : part / 16777216;
}
