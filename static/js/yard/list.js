// The page about the queue: what waits, what was refused and why, and what can be done about it.
import * as queue from "./queue.js";
import { onState, send, state } from "./send.js";
import { count, dayWords, h, timeWords } from "./dom.js";
import { stateWords, toFile } from "./words.js";

const place = document.querySelector("[data-queue-list]");
let exportedNumbers = [];

const when = (made) => `${dayWords(made)}, ${timeWords(made)}`;
const line = (each) => h("li", {},
  `${each.item.kind === "ride" ? "" : "Taken back: "}${each.about ?? "A ride"}, `,
  `${when(new Date(each.made))}, recorded by ${each.name}`,
  each.reason ? h("strong", {}, `: ${each.reason}`) : null);

const key = (words, act) => h("button", { class: "press", type: "button", onclick: act }, h("span", {}, words));

async function remove(items) {
  await queue.remove(items.map((each) => each.n).filter((n) => exportedNumbers.includes(n)));
}

async function show() {
  const [waiting, refused] = [await queue.waiting(), await queue.refused()];
  const unsent = [...waiting, ...refused];
  const saved = unsent.filter((each) => exportedNumbers.includes(each.n));
  place.replaceChildren(
    h("h2", { class: "now" }, stateWords(waiting, refused, state.trouble)),
    ...(refused.length ? [h("h3", {}, "Not taken by the server"), h("ul", {}, refused.map(line))] : []),
    ...(waiting.length ? [h("h3", {}, "Waiting"), h("ul", {}, waiting.map(line))] : []),
    h("div", { class: "presses ways" },
      waiting.length ? key("Send now", send) : null,
      refused.length ? key("Try the refused ones again", async () => { await queue.tryAgain(); send(); }) : null,
      unsent.length ? key("Save all to a file", async () => {
        if (toFile(unsent, await queue.tablet())) exportedNumbers = unsent.map((each) => each.n);
        show();
      }) : null,
      saved.length ? key(`Take ${count(saved.length, "saved ride")} off this tablet`, () => remove(saved)) : null),
  );
}

queue.onChange(show);
onState(show);
show();
