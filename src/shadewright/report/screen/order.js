"use strict";
/* The cutting order: every cut with its box, drop by drop. */

const order = (() => {
  const { byId, count, made, button, say } = html;
  const { isDone } = ticks;
  const rows = new Map();

  function begin() {
    told.pieces.forEach((piece, place) => {
      const part = made("div", "", { class: "piece" });
      part.append(made("h3", piece.heading), made("p", piece.laid));
      let alike = "";
      for (const drop of told.drops.filter((each) => each.piece === place)) {
        if (drop.alike && drop.alike !== alike) part.append(made("p", drop.alike));
        alike = drop.alike;
        part.append(buildDrop(drop));
      }
      byId("order").append(part);
    });
  }

  function buildDrop(drop) {
    const summary = made("summary");
    drop.details = made("details");
    drop.count = made("span");
    summary.append(made("strong", `Drop ${drop.number}, ${drop.length} long`), drop.count);
    drop.details.append(summary);
    // Rows are made when they are first asked for: a large job has thousands.
    drop.details.addEventListener("toggle", () => fill(drop));
    return drop.details;
  }

  function fill(drop) {
    if (drop.filled || !drop.details.open) return;
    drop.filled = true;
    if (!drop.before) {
      drop.whole = button("", () => tickWhole(drop), { class: "whole" });
      drop.details.append(drop.whole);
    }
    const list = made("ol");
    list.append(...drop.steps.map(buildRow));
    drop.details.append(list);
    show();
  }

  function tickWhole(drop) {
    const done = !drop.steps.every(isDone);
    ticks.set(drop.steps, done);
    hand.settle();
    page.show();
    say(`Drop ${drop.number}: ${done ? "all its cuts are done" : "none of its cuts is done"}.`);
  }

  function buildRow(step) {
    const row = made("li", "", { class: "cut" });
    const label = made("label", "", { class: "box" });
    const name = `Cut ${step.number} done: ${told.spoken(step)}`;
    const box = made("input", "", { type: "checkbox", "aria-label": name });
    box.disabled = step.drop.before;
    box.addEventListener("change", () => {
      ticks.set([step], box.checked);
      hand.settle();
      page.show();
      say(`Cut ${step.number} is ${box.checked ? "" : "not "}done. ${byId("tally").textContent}.`);
    });
    label.append(box);
    const words = made("div", "", { class: "told" });
    words.append(made("p", `${step.number}.  ${step.at}`, { class: "at" }));
    words.append(made("p", `from ${step.from}`, { class: "small" }), made("p", step.what));
    for (const number of step.makes) {
      words.append(made("p", `Comes free: ${number}: ${told.panel(number).called}`, { class: "small" }));
    }
    const look = button("Show", () => hand.goTo(step), { "aria-label": `Show cut ${step.number} as the cut in hand` });
    row.append(label, words, look);
    rows.set(step, { row, box });
    return row;
  }

  function show() {
    for (const drop of told.drops) {
      const done = drop.steps.filter(isDone).length;
      const all = done === drop.steps.length;
      const cuts = `${all ? "✓ " : ""}${done} of ${count(drop.steps.length, "cut")} done`;
      drop.count.textContent = drop.before ? "✓ cut before" : cuts;
      if (drop.whole) drop.whole.textContent = all ? "Untick the whole drop" : "Tick the whole drop";
    }
    for (const [step, { row, box }] of rows) {
      box.checked = isDone(step);
      row.classList.toggle("is-done", isDone(step));
      row.classList.toggle("in-hand", step === hand.step);
      if (step === hand.step) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
    }
  }

  return { begin, show };
})();
