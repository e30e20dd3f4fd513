// Lets a person see the password they are typing. Without scripts the buttons stay hidden.
for (const button of document.querySelectorAll("[data-show]")) {
  const field = document.getElementById(button.dataset.show);
  const word = button.firstChild;
  button.hidden = false;
  button.addEventListener("click", () => {
    const shown = field.type === "text";
    field.type = shown ? "password" : "text";
    button.setAttribute("aria-pressed", String(!shown));
    word.textContent = shown ? "Show" : "Hide";
  });
}
