// The block: base64 of a zlib stream; in it a head as JSON, then columns of numbers and texts.
async function openBlock() {
  if (typeof DecompressionStream === "undefined") throw new Error("This browser cannot unpack the page's data.");
  const packed = atob(document.getElementById("block").textContent.trim());
  const bytes = new Uint8Array(packed.length);
  for (let i = 0; i < packed.length; i++) bytes[i] = packed.charCodeAt(i);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const buffer = await new Response(stream).arrayBuffer();
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
  const base = 4 + length;
  const column = ([kind, at, count]) => {
    if (kind === "u1") return new Uint8Array(buffer, base + at, count);
    if (kind === "i4") return new Int32Array(buffer, base + at, count);
    if (kind === "f4") return new Float32Array(buffer, base + at, count);
    return new TextDecoder().decode(new Uint8Array(buffer, base + at, count));
  };
  return { head, column };
}

function summed(differences) {
  const out = new Float64Array(differences.length);
  for (let i = 0, sum = 0; i < out.length; i++) out[i] = (sum += differences[i]);
  return out;
}

// All files of a scene one after another as one set of columns; places in mm, times in seconds from the first file.
function movesOf(scene, column) {
  const count = scene.files.reduce((sum, file) => sum + file.count, 0);
  const place = () => new Float32Array(count);
  const moves = {
    count, total: 0, kind: new Uint8Array(count), bit: new Uint8Array(count), file: new Uint16Array(count),
    line: new Int32Array(count), feed: place(), begin: new Float64Array(count), end: new Float64Array(count),
    x0: place(), y0: place(), z0: place(), x1: place(), y1: place(), z1: place(), cx: place(), cy: place(),
  };
  let first = 0;
  scene.files.forEach((file, number) => {
    file.first = first;
    file.startTime = moves.total;
    readFile(file, number, moves, first, column);
    first += file.count;
    moves.total += file.total;
  });
  return moves;
}

function readFile(file, number, moves, first, column) {
  const n = file.count;
  moves.kind.set(column(file.kind), first);
  moves.bit.set(column(file.bit), first);
  moves.feed.set(column(file.feed), first);
  moves.file.fill(number, first, first + n);
  moves.line.set(summed(column(file.line)), first);
  const gap = column(file.gap), seconds = column(file.seconds);
  for (let i = 0; i < n; i++) {
    moves.begin[first + i] = (i ? moves.end[first + i - 1] : moves.total) + gap[i];
    moves.end[first + i] = moves.begin[first + i] + seconds[i];
  }
  const jumps = column(file.jump);
  for (const axis of ["x", "y", "z"]) {
    const ends = summed(column(file[axis])), starts = summed(column(file[`from_${axis}`]));
    const from = moves[`${axis}0`], to = moves[`${axis}1`];
    for (let i = 0, k = 0; i < n; i++) {
      to[first + i] = ends[i] / 1000;
      from[first + i] = (k < jumps.length && jumps[k] === i ? starts[k++] : ends[i - 1]) / 1000;
    }
  }
  const cx = summed(column(file.cx)), cy = summed(column(file.cy));
  for (let i = 0, k = 0; i < n; i++) {
    if (moves.kind[first + i] < 2) continue;
    moves.cx[first + i] = cx[k] / 1000;
    moves.cy[first + i] = cy[k++] / 1000;
  }
}

// Sweep of an arc in radians, counter-clockwise positive; a full turn where its ends fall together.
function sweepOf(moves, i) {
  const a = Math.atan2(moves.y0[i] - moves.cy[i], moves.x0[i] - moves.cx[i]);
  const b = Math.atan2(moves.y1[i] - moves.cy[i], moves.x1[i] - moves.cx[i]);
  const turn = 2 * Math.PI;
  if (Math.hypot(moves.x1[i] - moves.x0[i], moves.y1[i] - moves.y0[i]) < 0.0005) return moves.kind[i] === 3 ? turn : -turn;
  const sweep = (((moves.kind[i] === 3 ? b - a : a - b) % turn) + turn) % turn || turn;
  return moves.kind[i] === 3 ? sweep : -sweep;
}

// Where the bit's tip is after a share of a move.
function tipAt(moves, i, share) {
  const z = moves.z0[i] + (moves.z1[i] - moves.z0[i]) * share;
  if (moves.kind[i] < 2) {
    return [moves.x0[i] + (moves.x1[i] - moves.x0[i]) * share, moves.y0[i] + (moves.y1[i] - moves.y0[i]) * share, z];
  }
  const dx = moves.x0[i] - moves.cx[i], dy = moves.y0[i] - moves.cy[i];
  const angle = Math.atan2(dy, dx) + sweepOf(moves, i) * share, radius = Math.hypot(dx, dy);
  return [moves.cx[i] + radius * Math.cos(angle), moves.cy[i] + radius * Math.sin(angle), z];
}

// First index whose value is greater than the one sought.
function upperBound(sorted, value) {
  let low = 0, high = sorted.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (sorted[mid] <= value) low = mid + 1; else high = mid;
  }
  return low;
}
