// What can be ticked for a ride, with its severity; the same markup as the page without scripts.
import { h } from "./dom.js";

const IN_SIGHT = 6;

function keysOf(offers) {
  return offers.flatMap((offer) => (offer.sided ? ["left", "right"] : [""]).map((side) => ({
    ...offer, side, value: side ? `${offer.code}:${side}` : offer.code,
    label: side ? `${offer.name}, ${side}` : offer.name,
  })));
}

function tick(key, number) {
  const id = `fault-${key.value.replace(":", "-")}`;
  const kind = key.severity === "remark" ? "remark" : "fault";
  return h("div", { class: `tick is-${kind}` },
    h("input", { class: `tick-${number}`, type: "checkbox", id, name: "fault", value: key.value }),
    h("label", { class: "press", for: id }, h("span", {}, key.label), h("small", {}, key.severity)));
}

function severity(key, number) {
  const chips = ["riding", "serious", "dangerous"].map((word) => h("label", { class: "chip" },
    h("input", { type: "radio", name: `severity-${key.value}`, value: word, checked: word === key.severity }),
    h("span", {}, word[0].toUpperCase() + word.slice(1))));
  return h("fieldset", { class: `chips severity severity-${number}` },
    h("legend", {}, `${key.label}: how bad`), chips);
}

const grid = (keys, first) => h("div", { class: "presses" }, keys.map((key, i) => tick(key, first + i)));

function fold(words, keys, first) {
  return keys.length ? h("details", { class: "more" }, h("summary", { class: "press" }, words), grid(keys, first)) : null;
}

// The grid of faults, their severities, and what is one tap away; watch is the stopwatch or null.
export function ticks(offers, watch) {
  const keys = keysOf(offers);
  const faults = keys.filter((key) => key.severity !== "remark");
  const remarks = keys.filter((key) => key.severity === "remark");
  return [
    grid(faults.slice(0, IN_SIGHT), 1),
    ...faults.map((key, i) => severity(key, i + 1)),
    h("div", { class: "mores" },
      fold("More faults", faults.slice(IN_SIGHT), IN_SIGHT + 1),
      fold("Remarks, not faults", remarks, faults.length + 1), watch),
  ];
}

// The faults that are ticked in a form, in the order of the page.
export function ticked(form, offers) {
  const byCode = new Map(offers.map((offer) => [offer.code, offer]));
  return [...form.querySelectorAll("input[name=fault]:checked")].map((input) => {
    const [kind, side] = input.value.split(":");
    const chosen = form.querySelector(`input[name="severity-${input.value}"]:checked`);
    return { kind, severity: chosen ? chosen.value : byCode.get(kind).severity, side: side ?? null };
  });
}
