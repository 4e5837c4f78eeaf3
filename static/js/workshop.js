// Helps at the workshop's bench: the drawing and the question follow what is typed, parts are moved by pulling them, and a
// proof's page looks again by itself. Without this module the buttons do all of it.

const PAUSE = 500;
const GRID = 10; // pixels of the drawing a grid unit

// -- live preview -----------------------------------------------------------------------------------------------------
const form = document.querySelector("form[data-preview]");
const sketch = document.getElementById("sketch");

if (form && sketch) {
  let waiting;
  let asked = 0;
  const look = async () => {
    const mine = ++asked;
    const answer = await fetch(form.dataset.preview, { method: "POST", body: new URLSearchParams(new FormData(form)) });
    // A later one may have come back first.
    if (answer.ok && mine === asked) {
      sketch.innerHTML = await answer.text();
      pullable();
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(look, PAUSE);
  });
}

// -- pulling parts ----------------------------------------------------------------------------------------------------
const moved = document.getElementById("moved");

function pullable() {
  const drawing = sketch && sketch.querySelector("svg.schematic");
  if (!drawing || !moved) return;
  for (const part of drawing.querySelectorAll("g.part")) {
    part.classList.add("pullable");
    // A symbol is mostly air: something to lay hold of lies over it.
    const { x, y, width, height } = part.getBBox();
    const hold = document.createElementNS("http://www.w3.org/2000/svg", "rect");
    for (const [name, value] of Object.entries({ x, y, width, height, fill: "transparent", stroke: "none" })) hold.setAttribute(name, value);
    part.append(hold);
    part.addEventListener("pointerdown", (event) => pull(event, drawing, part));
  }
}

function pull(event, drawing, part) {
  event.preventDefault();
  const scale = drawing.getScreenCTM().a;
  const steps = (now) => [(now.clientX - event.clientX) / scale / GRID, (now.clientY - event.clientY) / scale / GRID].map(Math.round);
  const follow = (now) => {
    const [dx, dy] = steps(now);
    part.setAttribute("transform", `translate(${dx * GRID} ${dy * GRID})`);
  };
  const drop = (now) => {
    window.removeEventListener("pointermove", follow);
    const [dx, dy] = steps(now);
    if (now.type === "pointercancel" || (dx === 0 && dy === 0)) {
      part.removeAttribute("transform");
      return;
    }
    moved.disabled = false;
    moved.value = `move:${part.id.replace(/^bench-/, "")}:${dx}:${dy}`;
    form.submit();
  };
  window.addEventListener("pointermove", follow);
  window.addEventListener("pointerup", drop, { once: true });
  window.addEventListener("pointercancel", drop, { once: true });
}

pullable();

// -- a proof that runs ------------------------------------------------------------------------------------------------
const running = document.getElementById("running");
if (running) {
  const again = setInterval(async () => {
    const answer = await fetch(location.href);
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const still = page.getElementById("running");
    if (still) {
      running.innerHTML = still.innerHTML;
      return;
    }
    clearInterval(again);
    location.reload();
  }, Number(running.dataset.reload));
}
