// The speed of a timed ride: figure, source, stopwatch for a gate, and what the rule says at once.
import { dialWords, gateKmh, judge, ruleWords } from "./marking.js";
import { h } from "./dom.js";

const SOURCES = [["gate", "Gate"], ["radar", "Radar or GPS"], ["dial", "Dial"], ["none", "Not measured"]];
const kept = { usual: "gate", metres: 7.5 };

// The control and, apart from it, the stopwatch; .value() is { kmh, source } with null for not measured.
export function speedControl({ least, share, secondTry }) {
  const figure = h("input", {
    id: "speed", name: "speed", type: "number", inputmode: "decimal", step: "1", min: "0", max: "150",
    "aria-describedby": "speed-rule",
  });
  const radios = SOURCES.map(([value, words]) => {
    const input = h("input", { type: "radio", name: "source", value, checked: value === "none", onchange: chosen });
    return h("label", { class: "chip" }, input, h("span", {}, words));
  });
  const picked = () => radios.map((r) => r.firstChild).find((r) => r.checked).value;
  const rule = h("p", { class: "small", id: "speed-rule", role: "status" });

  function pick(value) { for (const r of radios) r.firstChild.checked = r.firstChild.value === value; }

  function say() {
    const { kmh, source } = value();
    const dial = source === "dial" && kmh !== null ? ` ${dialWords(kmh)}` : "";
    rule.textContent = ruleWords(judge(kmh, least, secondTry(), share), least) + dial;
  }

  function typed() {
    pick(figure.value === "" ? "none" : picked() === "none" ? kept.usual : picked());
    say();
  }

  function chosen() {
    if (picked() === "none") figure.value = "";
    else kept.usual = picked();
    say();
  }

  function step(by) {
    if (figure.value === "") figure.value = String(Math.trunc(least));
    else figure.value = String(Math.min(150, Math.max(0, Math.round(Number(figure.value)) + by)));
    typed();
  }

  function value() {
    // One decimal is kept, cut off: rounding could lift a speed over the minimum that it missed.
    const kmh = figure.value === "" ? null : Math.floor(Number(figure.value) * 10 + 1e-6) / 10;
    return { kmh, source: kmh === null ? null : picked() };
  }

  figure.addEventListener("input", typed);
  const button = (words, label, by) => h("button",
    { class: "press", type: "button", "aria-label": label, onclick: () => step(by) }, words);
  const element = h("div", { class: "speed" },
    h("div", { class: "stepper" },
      h("label", { for: "speed" }, "Speed ", h("span", { class: "stepper-unit" }, "km/h")),
      rule,
      h("div", { class: "stepper-row" }, button("−", "1 less", -1), figure, button("+", "1 more", 1))),
    h("fieldset", { class: "chips" }, h("legend", {}, "Speed from"), radios));
  const watch = stopwatch((kmh) => { figure.value = String(kmh); kept.usual = "gate"; pick("gate"); say(); });
  say();
  return { element, watch, value, say };
}

// Start at the first line of the gate, stop at the second: the mean speed between them.
function stopwatch(timed) {
  let began = null;
  const metres = h("input", {
    type: "number", id: "gate-length", min: "1", max: "100", step: "0.1", value: kept.metres, inputmode: "decimal",
    onchange: () => { kept.metres = Number(metres.value) || kept.metres; },
  });
  const words = h("span", {}, "Start the watch");
  const press = h("button", { class: "press", type: "button", onclick: () => {
    if (began === null) {
      began = performance.now();
      words.textContent = "Stop the watch";
      return;
    }
    const seconds = (performance.now() - began) / 1000;
    began = null;
    words.textContent = `${seconds.toFixed(2)} s. Start again`;
    const kmh = gateKmh(kept.metres, seconds);
    if (kmh >= 0.1 && kmh <= 150) timed(kmh);
  } }, words);
  return h("details", { class: "more" },
    h("summary", { class: "press" }, "Stopwatch for a gate"),
    h("div", { class: "watch" }, h("label", { for: "gate-length" }, "Length of the gate, m "), metres, press));
}
