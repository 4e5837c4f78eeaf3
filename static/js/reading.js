// Says what an answer is read as while it is typed ("read as 3.3 kΩ"), by the reader that will mark it. Nothing is marked
// by it, and without this module, or while the site does not answer, the page is as before.

const PAUSE = 400; // milliseconds after the last key
const address = new URL("../../read", import.meta.url);
address.search = "";

for (const field of document.querySelectorAll(".answer:not(.formula) > input:not([readonly])")) {
  const row = field.parentElement;
  const unit = row.querySelector(".unit")?.lastChild.textContent.trim() ?? "";
  const known = new Map();
  const says = document.createElement("span");
  let waiting;
  let asked;

  says.className = "reading";
  says.setAttribute("role", "status"); // polite: it waits for a pause in what is read out
  row.append(says);

  const ask = async (text) => {
    asked?.abort();
    asked = new AbortController();
    try {
      const query = new URLSearchParams({ text, unit });
      const answer = await fetch(`${address}?${query}`, { signal: asked.signal, credentials: "omit" });
      if (!answer.ok) return;
      const { read } = await answer.json();
      known.set(text, read ? `read as ${read}` : "not understood yet");
      if (field.value.trim() === text) says.textContent = known.get(text);
    } catch {
      says.textContent = "";
    }
  };

  field.addEventListener("input", () => {
    clearTimeout(waiting);
    const text = field.value.trim();
    says.textContent = known.get(text) ?? "";
    if (text && !known.has(text)) waiting = setTimeout(ask, PAUSE, text);
  });
}
