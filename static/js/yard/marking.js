// What a ride comes to, for the screen only: the server marks it again and its word stands.
// The rules are those of app/rules/riding/marking.py; tests/browser compares the two.
const WORST = ["clean", "unmeasured", "riding", "ride_again", "serious", "dangerous"];
const SEVERITY = { remark: "clean", riding: "riding", serious: "serious", dangerous: "dangerous" };
const SPEED = {
  no_minimum: "clean", met: "clean", not_measured: "unmeasured",
  riding_fault: "riding", ride_again: "ride_again", serious: "serious",
};
const CONES = {
  clean: "standing", riding: "leaning", ride_again: "leaning",
  serious: "fallen", dangerous: "fallen", unmeasured: "outline",
};
const SPEED_SAID = {
  riding_fault: "too slow, riding", ride_again: "too slow, to be ridden again",
  serious: "too slow, serious", not_measured: "speed not measured",
};
const KM_PER_MILE = 1.609344;

export function judge(kmh, least, secondTry, share) {
  if (least === null || least === undefined) return "no_minimum";
  if (kmh === null) return "not_measured";
  if (kmh >= least) return "met";
  if (kmh >= least - Math.floor(Number((least * share).toFixed(6)))) return "riding_fault";
  return secondTry ? "serious" : "ride_again";
}

const worst = (outcomes) => outcomes.reduce((a, b) => (WORST.indexOf(b) > WORST.indexOf(a) ? b : a), "clean");

export function mark(faults, speedResult) {
  return worst([...faults.map((fault) => SEVERITY[fault.severity]), SPEED[speedResult]]);
}

export const coneOf = (outcome, struck) => (struck ? "outline" : CONES[outcome]);

// Cut off, never rounded up: 49.96 must not read as 50.
export function speedWords(kmh) {
  const tenths = Math.floor(Number((kmh * 10).toFixed(6)));
  return `${tenths % 10 ? (tenths / 10).toFixed(1) : tenths / 10} km/h (${Math.round(kmh / KM_PER_MILE)} mph)`;
}

function faultWords(fault, kinds) {
  const name = kinds[fault.kind]?.name ?? fault.kind.replaceAll("_", " ");
  const lower = /^.[A-Z-]/.test(name) ? name : name[0].toLowerCase() + name.slice(1);
  const where = lower + (fault.side ? ` on the ${fault.side}` : "");
  return fault.severity === "remark" ? `remark: ${where}` : `${where}, ${fault.severity}`;
}

export function said(outcome, faults, kmh, kinds, speedResult) {
  const order = ["dangerous", "serious", "riding", "remark"];
  const sorted = [...faults].sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
  const words = sorted.map((fault) => faultWords(fault, kinds));
  if (outcome === "clean") words.unshift("clean");
  else if (SPEED_SAID[speedResult]) words.unshift(SPEED_SAID[speedResult]);
  if (kmh !== null) words.push(speedWords(kmh));
  return words.join("; ");
}

// What the minimum-speed rule says of a speed, at once.
export function ruleWords(result, least) {
  const words = {
    no_minimum: "",
    not_measured: `Not measured: the minimum of ${least ? speedWords(least) : ""} cannot be judged.`,
    met: `The minimum of ${least ? speedWords(least) : ""} is met.`,
    riding_fault: "Just under the minimum: a riding fault.",
    ride_again: "Too far under the minimum: ride it again.",
    serious: "Too far under the minimum on the second try: a serious fault.",
  };
  return words[result];
}

// A dial never reads low, and high by at most a tenth of the true speed and 4 km/h (UN Regulation No. 39).
export function dialWords(shown) {
  const least = Math.max(0, (shown - 4) / 1.1);
  return `A dial that shows ${shown} may mean ${Math.floor(least * 10) / 10} to ${shown} km/h (UN Regulation 39).`;
}

export const gateKmh = (metres, seconds) => Math.floor((metres / seconds) * 36 + 1e-6) / 10;
