// The session board, live: riders and manoeuvres change without a network, and every ride is in
// the tablet's queue before the board shows it.
import * as queue from "./queue.js";
import { IMPOSSIBLE, keeper, possible, rideOf, strikeOf } from "./keep.js";
import { cone, count, h, strip } from "./dom.js";
import { again, findVariant, lastOf, leastFor, recent, standing } from "./model.js";
import { speedControl } from "./speed.js";
import { ticked, ticks } from "./ticks.js";

const data = JSON.parse(document.getElementById("board-data").textContent);
const main = document.getElementById("main");
const form = main.querySelector(".board-main");
const tabs = [...main.querySelectorAll(".riders > ul > li")];
const keys = [...main.querySelectorAll(".is-keys a")];
const keeping = keeper(data);
const PLACES = `yardmark-places-${data.session}`;

let riders = standing(data, []);
let speed = null;
const at = place();

// Who is on the board, and the manoeuvre that each rider is on.
function place() {
  const asked = new URLSearchParams(location.search);
  const kept = JSON.parse(localStorage.getItem(PLACES) ?? "{}");
  const on = Object.fromEntries(data.riders.map((each) => [each.id, kept.on?.[each.id] ?? each.variant]));
  const known = (id) => data.riders.some((each) => each.id === id);
  const rider = [Number(asked.get("rider")), kept.rider, data.riders[0].id].find(known);
  const variant = Number(asked.get("variant"));
  if (findVariant(data, variant)) on[rider] = variant;
  for (const id of Object.keys(on)) if (!findVariant(data, on[id])) on[id] = data.variants[0].id;
  return { rider, on };
}

const rider = () => riders.find((each) => each.id === at.rider);
const variant = () => findVariant(data, at.on[at.rider]);
const offers = () => data.offers[variant().of].map(([code, severity]) => ({ code, severity, ...data.kinds[code] }));
const address = (who, what) => `/yard/sessions/${data.session}?rider=${who}&variant=${what}`;

function go(who, what) {
  at.rider = who;
  at.on[who] = what;
  localStorage.setItem(PLACES, JSON.stringify(at));
  history.replaceState(null, "", address(who, what));
  drawForm();
  drawRest();
}

function drawTabs() {
  riders.forEach((each, i) => {
    const link = tabs[i].querySelector("a");
    link.href = address(each.id, at.on[each.id]);
    mark(link, each.id === at.rider, "page");
    link.querySelector("small").textContent = `${each.bike} · ${findVariant(data, at.on[each.id]).name}`;
    tabs[i].lastElementChild.replaceWith(strip(recent(each), `${each.name}, last rides`, "small"));
  });
  data.variants.forEach((each, i) => {
    keys[i].href = address(at.rider, each.id);
    mark(keys[i], each.id === variant().id, "true");
    keys[i].querySelector("small").textContent = rider().flagged.find(([id]) => id === each.id)?.[2] ?? "";
  });
}

function mark(link, current, word) {
  if (current) link.setAttribute("aria-current", word);
  else link.removeAttribute("aria-current");
}

function drawUndo() {
  const old = main.querySelector(".undo");
  const focused = old.contains(document.activeElement);
  const last = lastOf(riders);
  const about = last && `${last.who}, ${last.name}, ${last.time}: ${last.said}`;
  const can = last && !last.struck;
  const words = h("span", { class: "undo-words" }, can ? "Take back" : "Nothing to take back",
    about && h("small", {}, about));
  const fresh = can
    ? h("div", { class: "undo" }, h("button", {
      class: "press is-undo", type: "button", onclick: () => takeBack(last),
    }, cone(last.cone, "large"), words))
    : h("p", { class: "undo press is-undo is-empty", tabindex: "-1" }, cone("outline", "large"), words);
  old.replaceWith(fresh);
  if (focused) (fresh.querySelector("button") ?? fresh).focus();
}

function drawRides() {
  const rides = [...rider().rides].reverse();
  const open = document.querySelector("#rides details")?.open;
  const where = { waiting: "waiting to send", refused: "needs a look" };
  const item = (ride) => {
    const words = [h("span", {}, ride.name),
      h("small", {}, [`${ride.time}, ${ride.said}`, where[ride.state]].filter(Boolean).join(" · "))];
    return h("li", {}, ride.state === "sent"
      ? h("a", { class: "press", href: `/yard/rides/${ride.id}` }, words)
      : h("p", { class: "press is-empty" }, words));
  };
  const list = h("details", { class: "more", open },
    h("summary", { class: "press" }, `${count(rides.length, "ride")} of ${rider().name} in this session`),
    h("ol", { class: "ride-list" }, rides.map(item)));
  document.getElementById("rides").replaceChildren(...(rides.length ? [list] : []));
}

function drawLinks() {
  const mock = main.querySelector("a[href*='/mock-test']");
  if (mock) {
    const running = rider().mock;
    mock.href = running ? `/yard/mock-tests/${running}` : `/yard/sessions/${data.session}/riders/${at.rider}/mock-test`;
    mock.textContent = `${running ? "Go on with the mock test" : "Mock test"}: ${rider().name}`;
  }
  for (const link of document.querySelectorAll(".ways a, .is-due, .yard-band a[href*='rider=']")) {
    link.href = link.getAttribute("href").replace(/rider=\d+/, `rider=${at.rider}`);
  }
}

function drawStrip() {
  const label = `${rider().name}, ${variant().name}, last rides`;
  form.querySelector(".now-line > :nth-child(2)").replaceWith(strip(rider().strip(variant().id), label, "large"));
}

function drawForm() {
  const least = leastFor(variant(), rider());
  const second = h("input", { type: "checkbox", name: "second_try", checked: again(rider(), variant().id) });
  second.addEventListener("change", () => speed?.say());
  speed = least === null ? null : speedControl({ least, share: data.share, secondTry: () => second.checked });
  const big = (words, kind) => h("button", {
    class: `press is-${kind}`, type: "button", onclick: () => record(second.checked),
  }, h("span", {}, words));
  form.replaceChildren(
    h("div", { class: "now-line" },
      h("h2", { class: "now" }, `${rider().name}: ${variant().name}`), h("p", {}),
      again(rider(), variant().id) ? h("label", { class: "chip" }, second, h("span", {}, "Second try")) : null),
    h("div", { class: `record${speed ? " is-timed" : ""}` }, speed?.element,
      big("Clean", "clean"), big("Record the fault", "clean is-record")),
    ...ticks(offers(), speed?.watch ?? null));
  drawStrip();
}

function drawRest() {
  drawTabs();
  drawUndo();
  drawRides();
  drawLinks();
  drawStrip();
}

function record(second) {
  // Without a network the check cannot be confirmed here, and a ride that was ridden is not to be lost.
  if (!data.checked && navigator.onLine) return keeping.tell("Do the safety check before the first ride.");
  const { kmh, source } = speed ? speed.value() : { kmh: null, source: null };
  if (!possible(kmh)) return keeping.tell(IMPOSSIBLE);
  const [who, what] = [rider(), variant()]; // a tap may change both before the ride is written
  const ride = rideOf(data, {
    student: who.id, variant: what.id, speed_kmh: kmh, speed_source: source,
    second_try: second && speed !== null, faults: ticked(form, offers()),
  });
  keeping.keep(ride, `${who.name}, ${what.name}`, (items) => {
    drawFrom(items);
    form.querySelector(".is-clean").focus();
    const kept = riders.flatMap((each) => each.rides).find((each) => each.id === ride.id);
    return `Kept: ${who.name}, ${what.name}: ${kept?.said}`;
  });
}

function takeBack(ride) {
  keeping.keep(strikeOf(ride), `${ride.who}, ${ride.name}`, (items) => {
    drawFrom(items);
    return `Taken back: ${ride.who}, ${ride.name}`;
  });
}

function drawFrom(items) {
  riders = standing(data, items);
  drawForm();
  drawRest();
}

async function start() {
  riders = standing(data, await queue.all());
  main.prepend(keeping.spoken);
  tabs.forEach((tab, i) => tab.querySelector("a").addEventListener("click", (event) => {
    event.preventDefault();
    go(data.riders[i].id, at.on[data.riders[i].id]);
  }));
  keys.forEach((key, i) => key.addEventListener("click", (event) => {
    event.preventDefault();
    go(at.rider, data.variants[i].id);
  }));
  form.addEventListener("submit", (event) => event.preventDefault());
  queue.onChange(async () => {
    riders = standing(data, await queue.all());
    if (!keeping.isBusy()) drawRest();
  });
  drawForm();
  drawRest();
  document.documentElement.dataset.board = "live";
}

// A board that is opened before its day takes no rides yet. Once kept, it goes live on its day.
const today = new Date().toLocaleDateString("sv-SE", { timeZone: data.zone });
if (data.day <= data.served || today > data.served) start();
