// The strip under the slider: how deep the bit is over time, where files begin, where problems are.
function drawStrip(bench) {
  const canvas = document.getElementById("strip"), ratio = Math.min(window.devicePixelRatio || 1, 2);
  const width = Math.max(1, Math.round(canvas.clientWidth * ratio)), height = Math.max(1, Math.round(canvas.clientHeight * ratio));
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext("2d"), { moves, scene } = bench;
  pen.clearRect(0, 0, width, height);
  if (!moves.total) return;
  const deepest = new Float32Array(width), column = (time) => Math.min(Math.floor(time / moves.total * width), width - 1);
  for (let i = 0; i < moves.count; i++) {
    const deep = Math.max(-Math.min(moves.z0[i], moves.z1[i]), 0);
    if (deep <= 0) continue;
    for (let x = column(moves.begin[i]); x <= column(moves.end[i]); x++) if (deep > deepest[x]) deepest[x] = deep;
  }
  const top = 12 * ratio, room = height - top;
  for (let x = 0; x < width; x++) {
    if (!deepest[x]) continue;
    pen.fillStyle = depthColour(deepest[x] / scene.thickness);
    pen.fillRect(x, top, 1, Math.max(1, deepest[x] / scene.floor * room));
  }
  pen.font = `${10 * ratio}px sans-serif`;
  pen.fillStyle = "#2B2118";
  let free = 0;
  for (const file of scene.files) {
    const x = column(file.startTime);
    pen.fillRect(x, 0, Math.max(1, ratio), height);
    if (x >= free) {
      pen.fillText(file.name, x + 4 * ratio, 9 * ratio);
      free = x + pen.measureText(file.name).width + 16 * ratio;
    }
  }
  for (const problem of bench.problems) {
    const time = bench.timeOf(problem.file, problem.line);
    if (time === null) continue;
    const x = column(time), w = 4 * ratio;
    pen.beginPath();
    pen.moveTo(x, height - 10 * ratio);
    pen.lineTo(x + w, height);
    pen.lineTo(x - w, height);
    pen.closePath();
    pen.fillStyle = problem.severity === "error" ? "#2B2118" : problem.severity === "warning" ? "#F0E442" : "#ffffff";
    pen.fill();
    pen.strokeStyle = "#2B2118";
    pen.lineWidth = ratio;
    pen.stroke();
  }
}
