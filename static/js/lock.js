// A tablet left alone goes to its lock page, so that nobody reads or presses what is on it.
// The server decides whether it is locked; this only hides the page in time. Without a network
// nothing is left: the page may hold rides that are not sent yet.
"use strict";

const link = document.querySelector("[data-lock-after]");
const minutes = Number(link?.dataset.lockAfter);

if (link && minutes > 0) {
  const idle = (minutes * 60 + 21) * 1000;
  let used = Date.now();
  for (const kind of ["pointerdown", "keydown"]) {
    addEventListener(kind, () => { used = Date.now(); }, { passive: true });
  }
  setInterval(() => {
    if (navigator.onLine && Date.now() - used > idle) location.assign(link.href);
  }, 5000);
}
