// The state of the tablet in words.
import { count } from "./dom.js";

const WHY = {
  "": "",
  offline: "",
  "sign in": "Sign in to send.",
  "other person": "They wait for whoever recorded them.",
  server: "The server did not take them; trying again.",
};

// waiting, refused: items of the queue; trouble: what stood in the way last.
export function stateWords(waiting, refused, trouble) {
  const parts = [];
  const rides = waiting.filter((each) => each.item.kind === "ride").length;
  const strikes = waiting.length - rides;
  const what = [rides && count(rides, "ride"), strikes && count(strikes, "take-back")].filter(Boolean);
  if (what.length) parts.push(`${what.join(" and ")} waiting to send`);
  if (refused.length) {
    parts.push(`${count(refused.length, "ride")} ${refused.length === 1 ? "needs" : "need"} a look`);
  }
  if (!parts.length) return "All sent";
  return [parts.join("; "), waiting.length ? WHY[trouble] : ""].filter(Boolean).join(". ");
}

export const stateKind = (waiting, refused) => (refused.length ? "look" : waiting.length ? "waiting" : "sent");

export function exported(items, tablet) {
  return {
    yardmark_rides: 1,
    tablet,
    clock: new Date().toISOString(),
    rides: items.map((each) => ({ account: each.account, name: each.name, item: each.item })),
  };
}

// Offers the rides that are not sent as a file; whether there were any.
export function toFile(items, tablet) {
  if (!items.length) return false;
  const text = JSON.stringify(exported(items, tablet), null, 1);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = `rides-${new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-")}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return true;
}
