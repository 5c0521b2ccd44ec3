// What goes between page and server: a token in memory on every request, edits one after another, and a stream of news.

const wire = { token: "", queue: Promise.resolve(), stop: undefined };

function post(path, said, signal) {
  const headers = { "Content-Type": "application/json", "X-Desk-Token": wire.token };
  return fetch(path, { method: "POST", headers, body: JSON.stringify(said), signal });
}

/** Changes the code in the address for a token; the code goes out of the address at once. */
async function enter() {
  const code = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  const answer = await post("/enter", { code });
  if (!answer.ok) return false;
  wire.token = (await answer.json()).token;
  return true;
}

/** The answer to a question; what went wrong comes as `refused`, a list of sentences. */
async function ask(what, given = {}) {
  try {
    const answer = await post("/ask", { what, given });
    if (!answer.ok) return { refused: [{ sentence: `The server said ${answer.status}.`, path: [] }] };
    const said = await answer.json();
    if (said.died) return { refused: [{ sentence: "That took too much and was given up. Try once more.", path: [] }] };
    return said.broken ? { refused: [{ sentence: said.broken, path: [] }] } : said;
  } catch {
    return { refused: [{ sentence: "Nobody answers: is platelayer still running in its window?", path: [] }] };
  }
}

/** The same, or nothing where the files have changed since it was asked: a late answer never takes a newer one's place. */
async function askNow(what, given) {
  const asked = desk.revision;
  const told = await ask(what, given);
  return asked === desk.revision ? told : undefined;
}

/** Saves after all earlier saves; gives back `ok`, `conflict` or `refused`. */
function save(said) {
  const done = wire.queue.then(async () => {
    const answer = await post("/save", said);
    const told = await answer.json().catch(() => ({}));
    return { ok: answer.ok, ...told };
  });
  wire.queue = done.catch(() => undefined);
  return done.catch(() => ({ ok: false, refused: [{ sentence: "Nobody answers: is platelayer still running?" }] }));
}

/** Listens to the news of one job until another is chosen. */
async function listen(job, tell) {
  wire.stop?.abort();
  const stop = new AbortController();
  wire.stop = stop;
  try {
    const answer = await post("/stream", { job }, stop.signal);
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) break;
      const rows = (rest + value).split("\n");
      rest = rows.pop();
      for (const row of rows) if (row) tell(JSON.parse(row));
    }
  } catch (error) {
    if (error.name === "AbortError") return;
  }
  if (wire.stop === stop) tell({ event: "gone" });
}
