"use strict";
/* The cutting companion, put together: how far the cutting has come, and all that shows it. */

const page = (() => {
  const { byId, count, made, texts } = html;
  const { steps, panels } = told;
  const { isDone, isFree } = ticks;

  function showTally() {
    const done = steps.filter(isDone).length;
    byId("tally").textContent = `${done} of ${count(steps.length, "cut")} done`;
    byId("bar").value = done / steps.length;
  }

  function showCloth() {
    byId("pieces").replaceChildren(...told.pieces.map((piece, place) => {
      const off = steps.filter((step) => step.drop.piece === place && step.off && isDone(step));
      const last = off.reduce((far, step) => (step.off.share > far.share ? step.off : far), { share: 0 });
      const item = made("li");
      const left = last.share ? `${last.left} left` : `${piece.length}, not cut into yet`;
      item.append(
        made("p", piece.name, { id: `piece-${place}` }),
        made("p", left, { class: "figure" }),
        made("progress", "", { max: 1, value: last.share, "aria-labelledby": `piece-${place}` }),
      );
      if (last.share) item.append(made("p", `${last.cut} cut off, of ${piece.length}`, { class: "from" }));
      return item;
    }));
  }

  function showLights() {
    for (const [how, numbers] of [["lit", hand.step?.touches ?? []], ["free", hand.step?.makes ?? []]]) {
      lights.mark(lights.panels, how, numbers);
      lights.mark(lights.faces, how, told.shadesOf(numbers));
    }
    const hung = new Map();
    for (const panel of panels) {
      const done = isFree(panel);
      const label = `Panel ${panel.number}: ${panel.called}, ${done ? "cut" : "not cut yet"}`;
      lights.setTick(lights.panels.get(panel.number), done ? 1 : 0, 1, label);
      const face = lights.faces.get(panel.shade);
      if (!hung.has(face)) hung.set(face, new Map());
      const shades = hung.get(face);
      shades.set(panel.shade, done && shades.get(panel.shade) !== false);
    }
    for (const [face, shades] of hung) {
      const done = [...shades.values()].filter(Boolean).length;
      const names = [...shades.keys()].map(told.shade).join("; ");
      lights.setTick(face, done, shades.size, `${names}: ${done} of ${shades.size} cut`);
    }
  }

  function show() {
    showTally();
    hand.show();
    showCloth();
    showLights();
    order.show();
    back.show();
    pointing.show();
  }

  function putTexts() {
    byId("job").textContent = told.job;
    byId("short").textContent = told.short.join(" ");
    texts("first", "p", told.first);
    byId("first").classList.toggle("first", told.first.length > 0);
    texts("advice", "li", told.advice);
    byId("advice-count").textContent = `${count(told.advice.length, "thing")} to know`;
    texts("cautions-text", "p", told.cautions);
    lights.roll.setAttribute("aria-label", `Roll map: ${count(panels.length, "panel")}`);
    lights.wall.setAttribute("aria-label", `Wall view: ${count(told.shades.length, "shade")}`);
  }

  function begin() {
    putTexts();
    lights.begin();
    order.begin();
    back.begin();
    pointing.begin();
    ticks.recall();
    ticks.keep();
    hand.settle();
    show();
    if (hand.step) hand.step.drop.details.open = true;
    byId("done").addEventListener("click", hand.press);
    byId("before").addEventListener("click", () => hand.turn(-1));
    byId("after").addEventListener("click", () => hand.turn(1));
    // Another window with the same page ticks the same boxes.
    window.addEventListener("storage", (event) => {
      if (event.key !== ticks.KEY && event.key !== null) return;
      ticks.recall();
      hand.settle();
      show();
    });
  }

  return { begin, show };
})();

page.begin();
