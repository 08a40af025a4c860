"use strict";
/* What is ticked. The browser keeps it, under the mark of the plan, as the numbers of steps. */

const ticks = (() => {
  const KEY = `shadewright ${told.mark}`;
  let ticked = new Set();

  const isDone = (step) => step.drop.before || ticked.has(step.number);
  const isTicked = (step) => ticked.has(step.number);
  const isFree = (panel) => isDone(panel.freed);
  const next = (from = 0) => told.steps.slice(from).find((step) => !isDone(step)) ?? told.steps.find((step) => !isDone(step)) ?? null;

  /* Reading may be refused, and so may writing alone, as where a browser keeps nothing in private. */
  function recall() {
    try {
      const found = JSON.parse(localStorage.getItem(KEY) ?? "[]");
      const known = (number) => Number.isInteger(number) && number >= 1 && number <= told.steps.length;
      ticked = new Set(Array.isArray(found) ? found.filter(known) : []);
    } catch {
      ticked = new Set();
    }
  }

  function keep() {
    try {
      localStorage.setItem(KEY, JSON.stringify([...ticked].sort((a, b) => a - b)));
      html.byId("unkept").hidden = true;
    } catch {
      html.byId("unkept").hidden = false;
    }
  }

  function set(steps, done) {
    for (const step of steps) {
      if (step.drop.before) continue;
      if (done) ticked.add(step.number);
      else ticked.delete(step.number);
    }
    keep();
  }

  return { KEY, isDone, isTicked, isFree, next, recall, keep, set };
})();
