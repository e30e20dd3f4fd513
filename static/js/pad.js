// Big digits for a code typed in gloves. Without scripts the field's own number keyboard does.
"use strict";

for (const pad of document.querySelectorAll("[data-pad]")) {
  const field = document.getElementById(pad.dataset.pad);
  field.inputMode = "none";
  pad.hidden = false;
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("button")?.dataset.key;
    if (key === undefined) return;
    field.value = key === "" ? field.value.slice(0, -1) : (field.value + key).slice(0, field.maxLength);
  });
}
