// Lights up the parts of the diagram that a step of a worked solution speaks of, while it is pointed at or holds the
// focus. Without this script the references under each step lead to the parts, which light up as targets.

for (const step of document.querySelectorAll("[data-parts]")) {
  const parts = step.dataset.parts
    .split(" ")
    .map((id) => document.getElementById(id))
    .filter((part) => part !== null);
  const light = (on) => parts.forEach((part) => part.classList.toggle("lit", on));
  step.addEventListener("pointerenter", () => light(true));
  step.addEventListener("pointerleave", () => light(step.contains(document.activeElement)));
  step.addEventListener("focusin", () => light(true));
  step.addEventListener("focusout", () => light(false));
}
