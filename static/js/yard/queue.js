// The tablet's queue, in IndexedDB. A ride is in it before the screen says so.
// An item is { n, state, reason, account, name, session, about, made, item }: state is "waiting",
// "refused" or "sent". Sent ones stay two days, so that a kept page still shows them.
import { openDB } from "../../vendor/idb/idb.js";

const KEEP_SENT_MS = 2 * 24 * 3600 * 1000;
const channel = new BroadcastChannel("yardmark-queue");
const listeners = new Set();

const opened = openDB("yardmark", 1, {
  upgrade(db) {
    db.createObjectStore("items", { keyPath: "n" }).createIndex("state", "state");
    db.createObjectStore("facts");
  },
});

channel.addEventListener("message", () => listeners.forEach((tell) => tell()));

function changed() {
  listeners.forEach((tell) => tell());
  channel.postMessage("changed");
}

export function onChange(tell) { listeners.add(tell); }

// The tablet's own name, made once. It goes only if the browser's data are cleared.
export async function tablet() {
  const tx = (await opened).transaction("facts", "readwrite");
  let id = await tx.store.get("tablet");
  if (!id) {
    id = crypto.randomUUID();
    await tx.store.put(id, "tablet");
  }
  await tx.done;
  return id;
}

// Adds an item and gives it the next number of this tablet's sequence. Resolves once it is on disk.
export async function add(item, who, session, about) {
  const db = await opened;
  const tx = db.transaction(["facts", "items"], "readwrite", { durability: "strict" });
  const n = ((await tx.objectStore("facts").get("seq")) ?? 0) + 1;
  const whole = item.kind === "ride" ? { ...item, seq: n } : item;
  await tx.objectStore("facts").put(n, "seq");
  await tx.objectStore("items").put({
    n, state: "waiting", reason: "", account: who.account, name: who.name, session, about,
    made: Date.now(), item: whole,
  });
  await tx.done;
  changed();
  return whole;
}

export async function all() { return (await opened).getAll("items"); }

export async function waiting() { return (await opened).getAllFromIndex("items", "state", "waiting"); }

export async function refused() { return (await opened).getAllFromIndex("items", "state", "refused"); }

// Notes what the server said of some items: a map from item id to { answer, reason }.
export async function answered(items, answers) {
  const tx = (await opened).transaction("items", "readwrite", { durability: "strict" });
  for (const each of items) {
    const said = answers.get(each.item.id);
    if (!said) continue;
    const state = said.answer === "refused" ? "refused" : "sent";
    await tx.store.put({ ...each, state, reason: said.reason ?? "", sent: Date.now() });
  }
  await tx.done;
  changed();
}

export async function tryAgain() {
  const tx = (await opened).transaction("items", "readwrite");
  for (const each of await tx.store.index("state").getAll("refused")) {
    await tx.store.put({ ...each, state: "waiting", reason: "" });
  }
  await tx.done;
  changed();
}

// Takes items that are not sent off this tablet; for when they are in a file.
export async function remove(numbers) {
  const tx = (await opened).transaction("items", "readwrite");
  for (const n of numbers) await tx.store.delete(n);
  await tx.done;
  changed();
}

export async function tidy(now = Date.now()) {
  const tx = (await opened).transaction("items", "readwrite");
  for (const each of await tx.store.index("state").getAll("sent")) {
    if (now - each.sent > KEEP_SENT_MS) await tx.store.delete(each.n);
  }
  await tx.done;
}
