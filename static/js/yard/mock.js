// A mock test, live: every ride is in the tablet's queue before the next manoeuvre shows, so that a
// test goes on without a network. Its beginning and its end need one.
import * as queue from "./queue.js";
import { send } from "./send.js";
import { h, timeWords } from "./dom.js";
import { IMPOSSIBLE, keeper, possible, rideOf, strikeOf } from "./keep.js";
import { ridesOf, turnOf } from "./mock_model.js";
import { speedControl } from "./speed.js";
import { ticked, ticks } from "./ticks.js";
import { stateWords } from "./words.js";

const data = JSON.parse(document.getElementById("mock-data").textContent);
const main = document.getElementById("main");
const form = main.querySelector(".mock-main");
const counter = document.querySelector(".mock-count");
const keeping = keeper(data);

let rides = [];
let speed = null;

const turn = () => turnOf(data, rides);
const offers = (line) => data.offers[line.of].map(([code, severity]) => ({ code, severity, ...data.kinds[code] }));
const press = (words, kind, onclick, note) => h("button", { class: `press is-${kind}`, type: "button", onclick },
  h("span", {}, words), note && h("small", {}, note));

function drawTurn({ line, second, number }) {
  counter.textContent = counter.textContent.replace(/^\d+/, number);
  speed = line.least === null ? null
    : speedControl({ least: line.least, share: data.share, secondTry: () => second });
  form.replaceChildren(
    h("div", { class: "now-line" }, h("h2", { class: "now", tabindex: "-1" }, line.name + (second ? ": second try" : ""))),
    h("div", { class: `record${speed ? " is-timed" : ""}` }, speed?.element,
      press("Clean", "clean", () => record(line, second)),
      press("Record the fault", "clean is-record", () => record(line, second))),
    ...ticks(offers(line), speed?.watch ?? null),
    h("div", { class: "caution", role: "note", "aria-label": "Caution" },
      h("p", { class: "caution-word", "aria-hidden": "true" }, "Caution"),
      h("div", {}, line.cautions.map((each) => h("p", {}, each)))));
}

function drawEnd() {
  speed = null;
  form.replaceChildren(
    h("h2", { class: "now", tabindex: "-1" }, "Nothing is left to ride"),
    h("p", {}, "The verdict is said once every ride is sent."),
    h("div", { class: "presses" }, press("Go on to the end", "clean", goOn)));
}

// The server ends a test and says its verdict, so it must have every ride first.
async function goOn() {
  await send().catch(() => {});
  const [waiting, refused] = [await queue.waiting(), await queue.refused()];
  if (waiting.length || refused.length) keeping.tell(`${stateWords(waiting, refused, "")}. The test ends once all is sent.`);
  else location.reload();
}

function drawUndo() {
  const last = rides.at(-1);
  const note = last && `${last.name}, ${last.time ?? timeWords(new Date(last.at), data.zone)}`;
  main.querySelector(".mock-undo").replaceChildren(last
    ? h("div", { class: "undo" }, h("button", { class: "press is-undo", type: "button", onclick: () => takeBack(last) },
      h("span", { class: "undo-words" }, "Take back", h("small", {}, note))))
    : h("p", { class: "undo press is-undo is-empty" }, h("span", {}, "Nothing to take back")));
}

function drawSteps(now) {
  const steps = [...main.querySelectorAll(".mock-steps li")];
  data.lines.forEach((line, place) => {
    const here = now?.number === place + 1;
    const ridden = rides.some((ride) => ride.variant === line.variant);
    if (here) steps[place].setAttribute("aria-current", "step");
    else steps[place].removeAttribute("aria-current");
    steps[place].textContent = line.name + (here ? ": now" : line.left_out ? ": left out" : ridden ? ": ridden" : "");
  });
}

// The verdict is the server's; between two pages only what was seen is listed.
function drawSoFar() {
  const fold = main.querySelector(".mock-rest details");
  const seen = rides.filter((ride) => ride.outcome !== "clean");
  fold.replaceChildren(fold.firstElementChild,
    h("p", {}, seen.length ? "Seen so far:" : "Nothing but clean rides so far."),
    h("ul", {}, seen.map((ride) => h("li", {}, `${ride.name}: ${ride.said}`))));
}

function draw() {
  const now = turn();
  if (now) drawTurn(now);
  else drawEnd();
  drawUndo();
  drawSteps(now);
  drawSoFar();
}

const about = ({ name }) => `${data.rider}, ${name}`;

function record(line, second) {
  const { kmh, source } = speed ? speed.value() : { kmh: null, source: null };
  if (!possible(kmh)) return keeping.tell(IMPOSSIBLE);
  keeping.keep(rideOf(data, {
    student: data.student, variant: line.variant, speed_kmh: kmh, speed_source: source, second_try: second,
    faults: ticked(form, offers(line)), mock_test: data.test,
  }), about(line), (items) => drawFrom(items, `Kept: ${line.name}`));
}

function takeBack(ride) {
  keeping.keep(strikeOf(ride), about(ride), (items) => drawFrom(items, `Taken back: ${ride.name}`));
}

function drawFrom(items, words) {
  rides = ridesOf(data, items);
  draw();
  form.querySelector(".now").focus({ preventScroll: true });
  return words;
}

async function start() {
  rides = ridesOf(data, await queue.all());
  main.prepend(keeping.spoken);
  form.addEventListener("submit", (event) => event.preventDefault());
  queue.onChange(async () => {
    const fresh = ridesOf(data, await queue.all());
    if (keeping.isBusy() || fresh.map((ride) => ride.id).join() === rides.map((ride) => ride.id).join()) return;
    rides = fresh;
    draw();
  });
  draw();
  document.documentElement.dataset.board = "live";
}

start();
