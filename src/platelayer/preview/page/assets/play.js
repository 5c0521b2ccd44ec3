// The clock: the moment shown, and how fast it runs.
const RATES = [1, 4, 15, 60, 200, 600];

class Clock {
  constructor(bench) {
    this.bench = bench;
    this.isRunning = false;
    this.rate = 60;
    this.last = 0;
    this.select = document.getElementById("rate");
    this.select.replaceChildren(...RATES.map((rate) => {
      const option = document.createElement("option");
      option.value = String(rate);
      option.textContent = rate === 1 ? "as cut" : `${rate} times`;
      return option;
    }));
    this.select.addEventListener("change", () => { this.rate = Number(this.select.value); });
  }

  // A rate at which the whole scene plays in about three quarters of a minute.
  suit(total) {
    this.setRate(RATES.reduce((best, rate) => (Math.abs(Math.log(total / rate / 45)) < Math.abs(Math.log(total / best / 45)) ? rate : best), 1));
  }

  setRate(rate) {
    this.rate = rate;
    this.select.value = String(rate);
  }

  shift(steps) {
    const at = RATES.indexOf(this.rate) + steps;
    this.setRate(RATES[Math.min(Math.max(at, 0), RATES.length - 1)]);
  }

  toggle(isRunning = !this.isRunning) {
    const { bench } = this;
    this.isRunning = isRunning && bench.moves.total > 0;
    if (this.isRunning && bench.now.time >= bench.moves.total) bench.seek(0);
    const button = document.getElementById("play");
    button.textContent = this.isRunning ? "\u275A\u275A" : "\u25B6";
    button.setAttribute("aria-label", this.isRunning ? "Pause" : "Play");
    this.last = performance.now();
    if (this.isRunning) bench.redraw();
  }

  tick(time) {
    if (!this.isRunning) return;
    const passed = Math.min((time - this.last) / 1000, 0.25) * this.rate;
    this.last = time;
    this.bench.seek(this.bench.now.time + Math.max(passed, 0));
    if (this.bench.now.time >= this.bench.moves.total) this.toggle(false);
  }
}

// What the clock shows at a time: moves done, share of the next, the tip, and the move whose line is current.
function momentAt(moves, time) {
  const count = upperBound(moves.end, time);
  const begin = count < moves.count ? moves.begin[count] : 0, span = count < moves.count ? moves.end[count] - begin : 0;
  const share = count < moves.count && time > begin && span > 0 ? (time - begin) / span : 0;
  const move = Math.max(share > 0 || count === 0 ? Math.min(count, moves.count - 1) : count - 1, 0);
  const tip = !moves.count ? [0, 0, 5] : share > 0 ? tipAt(moves, count, share) : count ? tipAt(moves, count - 1, 1) : tipAt(moves, 0, 0);
  return { time, count, share, move, tip };
}
