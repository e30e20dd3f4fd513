// On every page of the yard: what waits to be sent, in words; the worker; and care at signing out.
import * as queue from "./queue.js";
import { keepSending, onState, send, state } from "./send.js";
import { h } from "./dom.js";
import { stateKind, stateWords, toFile } from "./words.js";

const shown = document.querySelector("[data-queue-status]");

async function show() {
  if (!shown) return;
  const [waiting, refused] = [await queue.waiting(), await queue.refused()];
  const words = stateWords(waiting, refused, state.trouble);
  shown.hidden = false;
  shown.className = `yard-status is-${stateKind(waiting, refused)}`;
  const link = shown.querySelector("a");
  if (link.textContent !== words) link.textContent = words;
  const signIn = waiting.length && state.trouble === "sign in";
  const here = encodeURIComponent(location.pathname + location.search);
  link.href = signIn ? `/sign-in?next=${here}` : "/yard/queue";
}

// Another person takes over or signs in: what waits is sent first, or the choice is theirs.
async function ask(form, words) {
  const unsent = [...await queue.waiting(), ...await queue.refused()];
  if (!unsent.length) return leave(form);
  const dialog = h("dialog", { class: "leave", "aria-labelledby": "leave-title" });
  const close = () => { dialog.close(); dialog.remove(); };
  const key = (words, act) => h("button", { class: "press", type: "button", onclick: act }, h("span", {}, words));
  dialog.append(
    h("h2", { id: "leave-title" }, stateWords(unsent, [], "")),
    h("p", {}, "They are on this tablet alone. Kept here, they are sent once you sign in again."),
    h("div", { class: "presses" },
      key("Send now", async () => { await send(); if (!(await queue.waiting()).length) leave(form); else close(); }),
      key("Save them to a file", async () => { toFile(unsent, await queue.tablet()); }),
      key(words, () => leave(form)),
      key("Stay", close)),
  );
  document.body.append(dialog);
  dialog.showModal();
}

async function leave(form) {
  await caches.delete("yardmark-pages").catch(() => false);
  form.submit();
}

for (const form of document.querySelectorAll("form[action='/sign-out']")) {
  form.addEventListener("submit", (event) => { event.preventDefault(); ask(form, "Sign out and keep them here"); });
}
const handOver = document.querySelector("form.tablet-form");
handOver?.addEventListener("submit", async (event) => {
  event.preventDefault();
  await send().catch(() => {});
  if ((await queue.waiting()).length) ask(handOver, "Hand over and keep them here");
  else handOver.submit();
});

async function install() {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/worker.js", { updateViaCache: "none" });
  const ready = await navigator.serviceWorker.ready;
  ready.active.postMessage("keep pages");
}

queue.onChange(show);
onState(show);
show();
keepSending();
install().catch(() => {});
