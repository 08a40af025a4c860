"use strict";
/* The cut in hand: the next that is not done, or another that somebody looks at. */

const hand = (() => {
  const { byId, count, made, button, say } = html;
  const { steps, spoken } = told;
  const { isDone } = ticks;
  let step = null;

  /* Ticks the cut in hand and takes the next that is not done; or unticks it and stays. */
  function press() {
    const was = step;
    if (!was || was.drop.before) return;
    const done = !isDone(was);
    ticks.set([was], done);
    if (done) step = ticks.next(was.number);
    page.show();
    bringFigure();
    if (!done) say(`Cut ${was.number} is not done.`);
    else if (step) say(`Cut ${was.number} done. Next: cut ${step.number}, ${spoken(step)}`);
    else say("Everything is cut.");
  }

  /* The figure must be seen, also where the card is higher than the screen; and at once, for a button
     that still glides along loses the next tap. */
  function bringFigure() {
    const { top, bottom } = byId("hand-name").getBoundingClientRect();
    if (top < 0 || bottom > window.innerHeight) byId("hand").scrollIntoView({ behavior: "instant" });
  }

  function turn(by) {
    const at = step ? step.number + by : steps.length;
    take(steps[Math.min(Math.max(at, 1), steps.length) - 1]);
    bringFigure();
  }

  function take(other) {
    step = other;
    page.show();
    say(`Cut ${step.number} in hand: ${spoken(step)}`);
  }

  function goTo(other) {
    take(other);
    byId("hand").focus({ preventScroll: true });
    byId("hand").scrollIntoView();
  }

  /* Once something is ticked elsewhere: what is done is not in hand any more. */
  function settle() {
    if (step === null || isDone(step)) step = ticks.next();
  }

  function inHand() {
    if (!step) return [];
    return step.makes.length ? step.makes : step.touches;
  }

  function show() {
    byId("cut-shown").parentNode.hidden = !step;
    byId("hand").querySelector(".measured").hidden = !step;
    byId("done").disabled = !step || step.drop.before;
    byId("before").disabled = step !== null && step.number === 1;
    byId("after").disabled = !step || step.number === steps.length;
    byId("done").classList.toggle("undo", step !== null && isDone(step));
    if (step) showStep();
    else showEnd();
  }

  function showEnd() {
    byId("hand-name").textContent = "Everything is cut";
    byId("hand-where").textContent = `${count(steps.length, "cut")}, ${count(told.panels.length, "panel")}.`;
    for (const id of ["hand-what", "hand-laid", "hand-alike", "hand-free"]) byId(id).replaceChildren();
    byId("done").textContent = "Done";
  }

  function showStep() {
    const { drop } = step;
    const piece = told.pieces[drop.piece];
    const state = drop.before ? "cut before this plan was made" : isDone(step) ? "done" : "";
    byId("hand-name").textContent =
      (step === ticks.next() ? "Next cut: " : "Cut ") + `${step.number} of ${steps.length}` + (state && `, ${state}`);
    byId("hand-where").textContent = `${piece.name}, drop ${drop.number}`;
    byId("hand-at").textContent = step.at;
    byId("hand-at").parentNode.classList.toggle("long", step.at.length > 8);
    byId("hand-at").parentNode.classList.toggle("longer", step.at.length > 12);
    byId("hand-from").textContent = `from ${step.from}`;
    byId("hand-what").textContent = step.what;
    const begins = step === told.drops.find((each) => each.piece === drop.piece).steps[0];
    byId("hand-laid").textContent = begins ? `${piece.heading}. ${piece.laid}` : "";
    byId("hand-alike").textContent = drop.alike;
    byId("done").textContent = drop.before ? "Cut before" : isDone(step) ? "Not done after all" : "Done";
    const label = step.makes.length ? "Comes free:" : "Panels in hand:";
    byId("hand-free").replaceChildren(made("p", label, { class: "from" }), chips(inHand()));
    byId("cut-shown").setAttribute("aria-label", `The cut on the roll map: ${step.what}`);
    lights.showCut(step);
    const [first] = inHand();
    lights.bring(lights.panels.get(first));
    lights.bring(lights.faces.get(told.panel(first).shade));
  }

  function chips(numbers) {
    const list = made("ul", "", { class: "chips" });
    for (const number of numbers) {
      const item = made("li");
      const chip = button(
        `${number}: ${told.panel(number).called}`, () => pointing.pick([number], chip), { class: "chip" });
      item.append(chip);
      list.append(item);
    }
    return list;
  }

  return { press, take, turn, goTo, settle, inHand, show, get step() { return step; } };
})();
