// The board as it stands: what the page brought, and what this tablet has recorded since.
import { dayWords, timeWords } from "./dom.js";
import { coneOf, judge, mark, said } from "./marking.js";

const STRIP = 8;

export function findRider(data, id) { return data.riders.find((each) => each.id === id); }
export function findVariant(data, id) { return data.variants.find((each) => each.id === id); }
export const leastFor = (variant, rider) => variant.least[rider.category] ?? null;

function line(data, kept) {
  const { item } = kept;
  const variant = findVariant(data, item.variant);
  const rider = findRider(data, item.student);
  if (!variant || !rider) return null;
  const kmh = item.speed_kmh ?? null;
  const judged = judge(kmh, leastFor(variant, rider), item.second_try, data.share);
  const outcome = mark(item.faults, judged);
  const moment = new Date(item.ridden_at);
  const [day, time] = [dayWords(moment, data.zone), timeWords(moment, data.zone)];
  const words = said(outcome, item.faults, kmh, data.kinds, judged);
  return {
    id: item.id, rider: rider.id, variant: variant.id, name: variant.name, at: item.ridden_at, seq: item.seq, time,
    day, outcome, second: item.second_try, struck: false, said: words, state: kept.state,
  };
}

// The riders with all rides of the session in order, and their strips.
export function standing(data, items) {
  const here = items.filter((each) => each.session === data.session);
  const struck = new Set(
    here.filter((each) => each.item.kind === "strike_out" && each.state !== "refused").map((each) => each.item.ride));
  const known = new Set(data.riders.flatMap((rider) => rider.rides.map((ride) => ride.id)));
  const own = here.filter((each) => each.item.kind === "ride" && !known.has(each.item.id))
    .map((each) => line(data, each)).filter(Boolean);
  return data.riders.map((rider) => withOwn(rider, own.filter((ride) => ride.rider === rider.id), struck));
}

function withOwn(rider, own, struck) {
  const server = rider.rides.map((ride) => ({ ...ride, rider: rider.id, state: "sent" }));
  const rides = [...server, ...own].map((ride) => (struck.has(ride.id) ? strikeOut(ride) : ride)).map(drawn);
  return { ...rider, rides: inOrder(server.length, rides), strip: (variant) => stripOf(rider, rides, own, variant) };
}

const strikeOut = (ride) => ({ ...ride, struck: true, said: "struck out", words: null });

function drawn(ride) {
  const cone = coneOf(ride.outcome, ride.struck);
  return { ...ride, cone, words: ride.words ?? `${ride.day ? `${ride.day}, ` : ""}${cone}: ${ride.said}` };
}

// Rides of this tablet by its own sequence, after what the page brought: its clock may be wrong.
function inOrder(brought, rides) {
  return [...rides.slice(0, brought), ...rides.slice(brought).sort((a, b) => a.seq - b.seq)];
}

function stripOf(rider, rides, own, variant) {
  const now = new Map(rides.map((ride) => [ride.id, [ride.id, ride.cone, ride.words]]));
  const kept = (rider.strips[variant] ?? []).map((cone) => now.get(cone[0]) ?? cone);
  const added = own.filter((ride) => ride.variant === variant).sort((a, b) => a.seq - b.seq);
  return [...kept, ...added.map((ride) => now.get(ride.id))].slice(-STRIP);
}

export const recent = (rider) => rider.rides.slice(-STRIP).map((ride) => [ride.id, ride.cone, ride.words]);

// Whether the next ride is the second try that the speed rule gives.
export function again(rider, variant) {
  const last = rider.rides.findLast((ride) => !ride.struck);
  return Boolean(last) && last.variant === variant && last.outcome === "ride_again" && !last.second;
}

// The ride of the session that was recorded last, struck out or not: the one an undo takes back.
export function lastOf(riders) {
  const rides = riders.flatMap((rider) => rider.rides.map((ride) => ({ ...ride, who: rider.name })));
  const own = rides.filter((ride) => ride.seq !== undefined);
  const later = (a, b) => (b.seq ?? Date.parse(b.at)) > (a.seq ?? Date.parse(a.at));
  return (own.length ? own : rides).reduce((a, b) => (a === null || later(a, b) ? b : a), null);
}
