// Send what is kept, in batches, until the server has named every key.
// Sending twice does no harm: a key that the server knows is no second mark.
const BATCH = 20;
const PATIENCE_MS = 10000;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30000;

// source: waiting() -> records; sent(keys); refused(key, why); refresh() -> token;
// tell(state, data) says how it goes; measured(skew_s) is told of the clocks.
export function sender(address, source) {
  let token = "";
  let going = false;
  let again = false;
  let waits_ms = FIRST_WAIT_MS;
  let timer = 0;

  async function ask(batch) {
    const began = Date.now();
    const answer = await fetch(address, {
      method: "POST",
      redirect: "manual",
      headers: { "content-type": "application/json", "form-token": token },
      body: JSON.stringify({
        sent_utc: new Date(began).toISOString(),
        events: batch.map((record) => record.event),
      }),
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    return { answer, began };
  }

  // One batch; return true when the next may go at once.
  async function one(batch) {
    let { answer, began } = await ask(batch);
    if (answer.status === 403) {
      // the server was started anew, or somebody else signed in: ask for a token
      token = await source.refresh();
      ({ answer, began } = await ask(batch));
    }
    if (answer.status === 401 || answer.type === "opaqueredirect") {
      source.tell("sign_in");
      return false;
    }
    if (answer.status === 403) {
      source.tell("not_yours");
      return false;
    }
    if (answer.status === 413 || answer.status === 422) return alone(batch, answer.status);
    if (!answer.ok) throw new Error(`status ${answer.status}`);
    const told = await answer.json();
    const middle = (began + Date.now()) / 2;
    source.measured(Math.round(middle - Date.parse(told.now_utc)) / 1000);
    const ours = new Set(batch.map((record) => record.key));
    await source.sent(told.kept.filter((key) => ours.has(key)));
    for (const { key, why } of told.refused) await source.refused(key, why);
    return told.kept.length + told.refused.length > 0;
  }

  // One of several does not fit: send each by itself, so that the others arrive.
  async function alone(batch, status) {
    if (batch.length === 1) {
      await source.refused(batch[0].key, String(status));
      return true;
    }
    for (const record of batch) if (!(await one([record]))) return false;
    return true;
  }

  async function round() {
    if (!token) token = await source.refresh();
    for (;;) {
      const waiting = await source.waiting();
      if (waiting.length === 0) return source.tell("all_sent");
      source.tell("sending");
      if (!(await one(waiting.slice(0, BATCH)))) return later(LONGEST_WAIT_MS);
    }
  }

  function later(wait_ms) {
    timer = setTimeout(go, wait_ms * (0.75 + Math.random() / 2));
  }

  // Send now; when the line is dead try again later, each time a little later.
  async function go() {
    clearTimeout(timer);
    if (going) {
      again = true;
      return;
    }
    going = true;
    try {
      do {
        again = false;
        await round();
        waits_ms = FIRST_WAIT_MS;
      } while (again);
    } catch (trouble) {
      source.tell(trouble.told || "no_line");
      later(trouble.told ? LONGEST_WAIT_MS : waits_ms);
      waits_ms = Math.min(2 * waits_ms, LONGEST_WAIT_MS);
    } finally {
      going = false;
    }
  }

  addEventListener("online", () => {
    waits_ms = FIRST_WAIT_MS;
    go();
  });
  return go;
}
