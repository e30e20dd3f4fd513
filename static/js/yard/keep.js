// Keeps what a page records: one press, one item in the tablet's queue, then the page drawn from it.
import * as queue from "./queue.js";
import { send } from "./send.js";
import { h } from "./dom.js";

const TAKEN_BACK = "Taken back at once";

export const strikeOf = (ride) => ({ kind: "strike_out", id: crypto.randomUUID(), ride: ride.id, reason: TAKEN_BACK });

// A ride of now; what says whose, of what, and what was seen.
export function rideOf(data, what) {
  return {
    kind: "ride", id: crypto.randomUUID(), session: data.session, ridden_at: new Date().toISOString(), ...what,
  };
}

export const possible = (kmh) => kmh === null || (kmh >= 0 && kmh <= 150);
export const IMPOSSIBLE = "A speed lies between 0 and 150 km/h.";

// What the page says of it: spoken is its status line, tell() shows a sentence that must be seen.
export function keeper(data) {
  const spoken = h("p", { class: "unseen", role: "status" });
  let busy = false;

  function tell(words) {
    spoken.className = "flash";
    spoken.textContent = words;
  }

  // about says whose and what it is, for the list of what waits; draw() brings the page up to date
  // and gives the words that are said of it.
  async function keep(item, about, draw) {
    if (busy) return;
    busy = true;
    try {
      await queue.add(item, data, data.session, about);
      const words = draw(await queue.all());
      spoken.className = "unseen";
      spoken.textContent = words;
      send().catch(() => {});
    } catch (error) {
      tell(`This tablet could not keep that: ${error.message}. Write it down, and reload the page.`);
    } finally {
      busy = false;
    }
  }

  return { spoken, tell, keep, isBusy: () => busy };
}
