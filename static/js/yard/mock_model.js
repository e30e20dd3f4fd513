// A mock test as it stands on this tablet: what the page brought, and what was recorded since.
// What is ridden next follows app/rules/riding/mock.py; the server holds every ride against it again.
import { judge, mark, said } from "./marking.js";

const FAILING = ["serious", "dangerous"];

const lineOf = (data, variant) => data.lines.find((line) => line.variant === variant);

function judged(data, ride) {
  const line = lineOf(data, ride.variant);
  const result = judge(ride.kmh, line.least, ride.second, data.share);
  const outcome = mark(ride.faults, result);
  return { ...ride, name: line.name, result, outcome, said: said(outcome, ride.faults, ride.kmh, data.kinds, result) };
}

function fromQueue({ item }) {
  return {
    id: item.id, variant: item.variant, second: item.second_try, kmh: item.speed_kmh, faults: item.faults,
    at: item.ridden_at,
  };
}

// The rides that count, in the order of the test, the first try of a manoeuvre before the second.
export function ridesOf(data, items) {
  const taken = items.filter((each) => each.state !== "refused");
  const struck = new Set(taken.filter((each) => each.item.kind === "strike_out").map((each) => each.item.ride));
  const known = new Set([...data.rides.map((ride) => ride.id), ...data.struck]);
  const own = taken.filter(({ item }) => item.mock_test === data.test && !known.has(item.id)).map(fromQueue);
  const rides = [...data.rides, ...own].filter((ride) => !struck.has(ride.id) && lineOf(data, ride.variant));
  return data.lines.flatMap((line) => rides
    .filter((ride) => ride.variant === line.variant)
    .sort((a, b) => a.second - b.second)
    .map((ride) => judged(data, ride)));
}

const failed = (rides) => rides.some((ride) => FAILING.includes(ride.outcome));

function skipped(data, line, rides) {
  if (line.left_out) return true;
  const before = data.lines.find((each) => each.of === line.not_after);
  return Boolean(before) && failed(rides.filter((ride) => ride.variant === before.variant));
}

// What is ridden next: { line, second, number } with the number from 1; null when nothing is left.
export function turnOf(data, rides) {
  for (const [place, line] of data.lines.entries()) {
    const mine = rides.filter((ride) => ride.variant === line.variant);
    const again = mine.length > 0 && mine.at(-1).result === "ride_again" && !failed(mine);
    if (again || (!mine.length && !skipped(data, line, rides))) return { line, second: again, number: place + 1 };
  }
  return null;
}
