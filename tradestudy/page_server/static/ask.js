// Questions to the program behind this page. Every request carries the token of the page, and the name of this tab.
const token = document.querySelector('meta[name="page-token"]').content;
const tab = Array.from(crypto.getRandomValues(new Uint32Array(2)), (one) => one.toString(36)).join("");
const POLL = 500; // ms between two questions about long work

export class Refused extends Error {
  constructor(answer) {
    const faults = (answer.faults || []).map((fault) => fault.message).filter(Boolean);
    super(faults.length ? faults.join("\n") : answer.error);
    this.answer = answer;
  }
}

// Return the answer to a question, or null if a newer one has taken its place. Throw Refused with a plain sentence.
export async function ask(path, body, signal) {
  let response;
  try {
    response = await fetch(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Page-Token": token },
      body: JSON.stringify({ ...body, tab }),
      credentials: "same-origin", cache: "no-store", redirect: "error", signal,
    });
  } catch (error) {
    if (signal && signal.aborted) return null;
    throw new Refused({ error: "The program behind this page has ended. Start it again with: tradestudy open" });
  }
  const answer = await response.json().catch(() => ({ error: `The program gave no readable answer (${response.status}).` }));
  if (response.status === 409 && answer.superseded) return null;
  if (!response.ok) throw new Refused(answer);
  return answer;
}

// Start long work and return its result. `tell` is called with each state. `handle.stop` ends the work early.
export async function askLong(path, body, tell, handle = {}) {
  const started = await ask(path, body);
  if (!started || !started.search) return started;
  handle.stop = () => ask("/search/stop", { search: started.search });
  for (;;) {
    const state = await ask("/search/progress", { search: started.search });
    if (state && state.state !== "running" && state.state !== "queued") {
      if (state.state === "failed") throw new Refused({ error: state.error || "It failed." });
      tell(state);
      return state.result;
    }
    if (state) tell(state);
    await new Promise((go) => setTimeout(go, POLL));
  }
}
