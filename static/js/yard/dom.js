// Makes elements. Text is always text: nothing here reads HTML.
const SVG = "http://www.w3.org/2000/svg";

export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children.flat().filter((child) => child !== null && child !== false && child !== undefined));
  return made;
}

export function cone(shape, size = "") {
  const made = document.createElementNS(SVG, "svg");
  if (size) made.setAttribute("class", `cone is-${size}`);
  made.setAttribute("aria-hidden", "true");
  const use = document.createElementNS(SVG, "use");
  use.setAttribute("href", `#cone-${shape}`);
  made.append(use);
  return made;
}

export function strip(rides, label, size) {
  if (!rides.length) {
    return h("p", { class: "cone-strip-none" }, "No rides yet", h("span", { class: "unseen" }, `: ${label}`));
  }
  const cones = rides.map(([, shape, words]) => h("li", {}, cone(shape), h("span", {}, words)));
  return h("ol", { class: `cone-strip is-${size}`, "aria-label": label }, cones);
}

// Dates and times as the pages write them: Thu 3 Dec 2026, 14:30. Without a zone, the tablet's own.
export const timeWords = (moment, zone) => moment.toLocaleTimeString("en-GB",
  { hour: "2-digit", minute: "2-digit", timeZone: zone });

export const dayWords = (moment, zone) => moment.toLocaleDateString("en-GB",
  { weekday: "short", day: "numeric", month: "short", year: "numeric", timeZone: zone }).replace(",", "");

export function count(number, word) { return `${number} ${word}${number === 1 ? "" : "s"}`; }
