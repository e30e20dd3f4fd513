// Keeps the speed and where it came from in step. Without this file both are chosen by hand.
"use strict";

for (const speed of document.querySelectorAll("[data-speed]")) {
  const figure = speed.querySelector("input[type=number]");
  const sources = [...speed.querySelectorAll("input[type=radio]")];
  const none = sources.find((source) => source.value === "none");
  let usual = sources.find((source) => source.value === speed.dataset.usual);

  figure.addEventListener("input", () => {
    (figure.value === "" ? none : usual).checked = true;
  });
  for (const source of sources) {
    source.addEventListener("change", () => {
      if (source === none) figure.value = "";
      else usual = source;
    });
  }
}
