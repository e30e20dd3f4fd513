// Finds students while their name is typed. Without this file the form asks for a page instead.
"use strict";

const LETTERS = 3;
const PAUSE_MS = 150;

for (const form of document.querySelectorAll("form[data-find]")) {
  const input = form.querySelector("input[type=search]");
  const found = document.getElementById("found");
  if (!found || form.getAttribute("action") !== form.dataset.find) continue;
  const before = found.innerHTML;
  let waiting = 0;
  let asking = null;

  const ask = async () => {
    if (asking) asking.abort();
    const typed = input.value.trim();
    if (typed.length < LETTERS) {
      found.innerHTML = before;
      return;
    }
    asking = new AbortController();
    try {
      const address = `${form.dataset.find}?q=${encodeURIComponent(typed)}`;
      const answer = await fetch(address, { signal: asking.signal, credentials: "same-origin" });
      if (!answer.ok || answer.redirected) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.getElementById("found");
      if (fresh) found.replaceChildren(...fresh.childNodes);
    } catch {
      // Typing went on, or the network is gone; Enter still asks for the page.
    }
  };

  input.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, PAUSE_MS);
  });
}
