// Sends the queue: in batches, one tab at a time, with a fresh token before each round.
import * as queue from "./queue.js";

const BATCH = 50;
const listeners = new Set();
export const state = { trouble: "", person: null, sending: false };

export function onState(tell) { listeners.add(tell); }

function say(trouble) {
  state.trouble = trouble;
  listeners.forEach((tell) => tell());
}

// "" when it went well, else what stands in the way: "offline", "sign in", "server", "too much".
async function token() {
  const answer = await fetch("/yard/sync/token", {
    headers: { Accept: "application/json" }, redirect: "manual", cache: "no-store",
  });
  if (answer.status === 401 || answer.status === 403 || answer.type === "opaqueredirect") return null;
  if (!answer.ok) throw new Error("server");
  return answer.json();
}

async function post(items, fresh) {
  const body = {
    tablet: await queue.tablet(),
    clock: new Date().toISOString(),
    items: items.map((each) => each.item),
  };
  return fetch("/yard/sync", {
    method: "POST",
    headers: {
      "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": fresh.token,
    },
    body: JSON.stringify(body),
  });
}

async function round() {
  for (;;) {
    if (!(await queue.waiting()).length) return "";
    const fresh = await token();
    if (fresh === null) return "sign in";
    state.person = fresh;
    const own = (await queue.waiting()).filter((each) => each.account === fresh.account);
    const items = own.slice(0, BATCH);
    if (!items.length) return "other person";
    const answer = await post(items, fresh);
    if (answer.status === 401) return "sign in";
    if (!answer.ok) return "server";
    const said = (await answer.json()).items;
    await queue.answered(items, new Map(said.map((each, i) => [items[i].item.id, each])));
  }
}

export async function send() {
  const go = async () => {
    state.sending = true;
    try {
      say(await round());
    } catch (error) {
      say(error.message === "server" ? "server" : "offline");
    } finally {
      state.sending = false;
    }
  };
  await (navigator.locks ? navigator.locks.request("yardmark-send", go) : go());
  return state.trouble;
}

// On opening, when the network comes back, every half minute while something waits.
export function keepSending(every = 30_000) {
  const soon = () => { send().catch(() => {}); };
  addEventListener("online", soon);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(); });
  setInterval(async () => { if ((await queue.waiting()).length) soon(); }, every);
  queue.tidy().then(soon);
}
