"use strict";
/* Panels and shades that somebody points at: lit on both drawings, and told of on a sheet of their
   own, with their place on the wall and their cuts. The sheet stays once it is asked for. */

const pointing = (() => {
  const { byId, count, made, button } = html;
  const { panel, shadesOf, shade, stepsOf } = told;
  const beside = window.matchMedia("(min-width: 60rem)");
  let picked = [];
  let pickedFrom = null;

  const panelsOf = (rectangle) => (rectangle.dataset.panel
    ? [Number(rectangle.dataset.panel)]
    : told.panels.filter((each) => lights.faces.get(each.shade) === rectangle).map((each) => each.number));

  const listed = (numbers) => (numbers.length > 2
    ? `panels ${numbers.join(", ")}`
    : numbers.map((number) => `panel ${number}, ${panel(number).called}`).join("; "));

  /* Lights panels and their shades, and says which; those in hand where nothing is pointed at. */
  function light(numbers) {
    lights.mark(lights.panels, "pointed-at", numbers);
    lights.mark(lights.faces, "pointed-at", shadesOf(numbers));
    const cuts = (number) => stepsOf(number).map((step) => step.number).join(", ");
    const one = (number) => `Panel ${number}: ${panel(number).called}, cut ${panel(number).size}. Cuts ${cuts(number)}.`;
    let text = hand.step ? `In hand: ${listed(hand.inHand())}` : "";
    if (numbers.length) text = numbers.length > 2 ? listed(numbers) : numbers.map(one).join(" ");
    byId("pointed-roll").textContent = byId("pointed-wall").textContent = text;
  }

  /* With a mouse the sheet comes as soon as one points, on the side where the mouse is not; where
     there is no room beside it, it would come between. */
  function hover(numbers, event) {
    light(numbers);
    if (picked.length || event.pointerType !== "mouse" || !beside.matches) return;
    byId("picked").classList.toggle("left", event.clientX > window.innerWidth / 2);
    byId("picked").hidden = numbers.length === 0;
    lights.again(numbers.length > 0);
    if (numbers.length) tell(numbers);
  }

  function pick(numbers, from) {
    picked = numbers;
    pickedFrom = from;
    lights.again(true);
    show();
    byId("picked").hidden = false;
    const rectangle = lights.panels.get(numbers[0]);
    const face = lights.faces.get(panel(numbers[0]).shade);
    for (const each of [rectangle, face]) if (each !== from) lights.bring(each);
    byId("picked").focus({ preventScroll: true });
  }

  function letGo() {
    picked = [];
    byId("picked").hidden = true;
    lights.again(false);
    show();
    pickedFrom?.focus({ preventScroll: true });
    pickedFrom = null;
  }

  function goTo(step) {
    pickedFrom = null;
    letGo();
    hand.goTo(step);
  }

  function show() {
    light([]);
    lights.mark(lights.panels, "picked", picked);
    lights.mark(lights.faces, "picked", shadesOf(picked));
    if (picked.length) tell(picked);
  }

  function tell(numbers) {
    const shades = shadesOf(numbers);
    const one = numbers.length === 1;
    byId("picked-name").textContent = one ? `Panel ${numbers[0]}` : count(numbers.length, "panel");
    lights.showPlace(shades);
    const names = [...new Set(shades)].map(shade).join("; ");
    byId("place-shown").setAttribute("aria-label", `On the wall: ${names}`);
    const list = made("ul");
    list.append(...numbers.map((number) => tellPanel(number, one)));
    byId("picked-text").replaceChildren(list);
  }

  function tellPanel(number, alone) {
    const { called, size, lies, finished } = panel(number);
    const item = made("li");
    item.append(made("strong", alone ? called : `Panel ${number}: ${called}`));
    item.append(made("p", `Cut ${size}, ${lies}. Finished ${finished}.`));
    const label = ticks.isFree(panel(number)) ? "It is cut. Its cuts:" : "Its cuts:";
    const row = made("div", "", { class: "chips" });
    for (const step of stepsOf(number)) {
      const done = ticks.isDone(step);
      const name = `Take cut ${step.number} in hand, ${told.spoken(step)}${done ? " Done." : ""}`;
      const text = `${step.number}: ${step.at}${done ? " ✓" : ""}`;
      row.append(button(text, () => goTo(step), { class: "chip", "aria-label": name }));
    }
    item.append(made("p", label, { class: "from" }), row);
    return item;
  }

  /* Around a drawing and not on it: what listens for the focus can have it, in some browsers. */
  function listen(around) {
    const area = (event) => event.target.closest("[data-panel], [data-shade]");
    around.addEventListener("pointerover", (event) => { if (area(event)) hover(panelsOf(area(event)), event); });
    around.addEventListener("pointerout", (event) => hover([], event));
    around.addEventListener("focusin", (event) => { if (area(event)) light(panelsOf(area(event))); });
    around.addEventListener("focusout", () => light([]));
    around.addEventListener("click", (event) => { if (area(event)) pick(panelsOf(area(event)), area(event)); });
    around.addEventListener("keydown", (event) => {
      const here = area(event);
      if (!here) return;
      if (event.key === "Enter" || event.key === " ") pick(panelsOf(here), here);
      else if (!lights.move(here, event.key)) return;
      event.preventDefault();
    });
  }

  function begin() {
    listen(byId("roll-scroll"));
    listen(byId("wall-scroll"));
    byId("let-go").addEventListener("click", letGo);
    document.addEventListener("keydown", (event) => { if (event.key === "Escape" && picked.length) letGo(); });
  }

  return { begin, pick, show };
})();
