// Moving about the diary's time grid with the keys. All of it can be reached by Tab and Enter without this file.
// A key means something only while a session or a free time of the grid has the focus.
"use strict";

const frame = document.getElementById("grid");
const keys = document.getElementById("keys");
const IN_GRID = "#sessions"; // no id on the page, or the browser would take the focus there itself

const spots = () => [...frame.querySelectorAll(".spot")].filter((spot) => spot.offsetParent);

// One stop for Tab in the whole grid, and those of the riders in the session where it stands.
const settle = (here) => {
  for (const link of frame.querySelectorAll("tbody td a")) link.tabIndex = -1;
  if (!here) return;
  for (const link of here.closest("td").querySelectorAll("a")) link.tabIndex = 0;
};

const middle = (spot) => {
  const box = spot.closest("td, li").getBoundingClientRect();
  return { x: box.left + box.width / 2, y: box.top, left: box.left, right: box.right, bottom: box.bottom };
};

// The nearest spot that lies wholly on one side of this one: in its own row or column before any other.
const NEXT = {
  ArrowDown: (from, to) => [to.y - from.y, Math.abs(to.x - from.x)],
  ArrowUp: (from, to) => [from.y - to.y, Math.abs(to.x - from.x)],
  ArrowRight: (from, to) => [to.x - from.x, Math.abs(to.y - from.y)],
  ArrowLeft: (from, to) => [from.x - to.x, Math.abs(to.y - from.y)],
};

const nearest = (key, here) => {
  const from = middle(here);
  let best = null;
  let least = Infinity;
  for (const spot of spots()) {
    const [ahead, aside] = NEXT[key](from, middle(spot));
    const cost = ahead + 4 * aside;
    if (spot !== here && ahead > 1 && cost < least) [best, least] = [spot, cost];
  }
  return best;
};

const go = (rel) => {
  const link = document.querySelector(`.pager a[rel=${rel}]`);
  if (link) location.assign(link.href + IN_GRID);
  return Boolean(link);
};

const press = (event) => {
  const here = event.target.closest(".spot");
  if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (event.key === "PageUp" || event.key === "PageDown") {
    if (go(event.key === "PageUp" ? "prev" : "next")) event.preventDefault();
    return;
  }
  if (!here) return;
  const all = spots();
  const to = { Home: all[0], End: all.at(-1) }[event.key] ?? (event.key in NEXT ? nearest(event.key, here) : null);
  if (!to) return;
  event.preventDefault();
  settle(to);
  to.focus();
};

if (frame) {
  settle(spots()[0]);
  frame.addEventListener("keydown", press);
  frame.addEventListener("focusin", (event) => {
    const spot = event.target.closest(".spot");
    if (spot) settle(spot);
  });
  if (keys) keys.hidden = false;
  if (location.hash === IN_GRID) (spots()[0] ?? frame).focus();
}
