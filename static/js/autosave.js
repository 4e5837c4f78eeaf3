// Keeps what is typed into a paper without waiting for the button: two seconds after the last key, and on leaving the page.
// Without this module the buttons do the same.

const PAUSE = 2000;

const paper = document.querySelector("form[data-autosave]");
if (paper) {
  const says = paper.querySelector("[data-says]");
  let waiting;
  let sent = null;

  const fields = () => new URLSearchParams(new FormData(paper));

  const tell = (text) => { says.textContent = text; };

  const save = async () => {
    clearTimeout(waiting);
    const now = fields();
    const text = now.toString();
    if (text === sent) return;
    tell("Saving …");
    try {
      const answer = await fetch(paper.action, {
        method: "POST", body: now, headers: { Accept: "application/json" }, redirect: "manual", keepalive: true,
      });
      if (!answer.ok) throw new Error(answer.status);
      const kept = await answer.json();
      // What is stored now is what the next save compares with.
      for (const [name, value] of Object.entries(kept.was)) {
        const field = paper.elements[name];
        if (field) field.value = value;
      }
      sent = fields().toString();
      tell(kept.says);
    } catch {
      tell("Not saved: the club's site did not answer. It is tried again; the button below saves too.");
      waiting = setTimeout(save, 5 * PAUSE);
    }
  };

  sent = fields().toString();
  paper.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(save, PAUSE);
  });
  paper.addEventListener("submit", () => clearTimeout(waiting));
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") save(); });
}
