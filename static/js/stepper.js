// Gives every [data-stepper] its two big buttons. Without this file the number field stands alone.
// An empty field with a data-start begins there at the first tap of either button.
"use strict";

for (const stepper of document.querySelectorAll("[data-stepper]")) {
  const input = stepper.querySelector("input");
  for (const button of stepper.querySelectorAll("button[data-by]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      if (input.value === "" && stepper.dataset.start) input.value = stepper.dataset.start;
      else if (Number(button.dataset.by) > 0) input.stepUp();
      else input.stepDown();
      input.dispatchEvent(new Event("input", { bubbles: true }));
      input.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }
}
