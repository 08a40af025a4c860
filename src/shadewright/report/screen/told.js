"use strict";
/* What the page is told, and what it is made of. All it tells stands in its data, and is put in as
   text. */

const html = (() => {
  const byId = (id) => document.getElementById(id);
  const count = (number, word) => `${number} ${word}${number === 1 ? "" : "s"}`;

  function made(name, text = "", attributes = {}) {
    const element = document.createElement(name);
    element.textContent = text;
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  }

  function button(text, press, attributes = {}) {
    const element = made("button", text, { type: "button", ...attributes });
    element.addEventListener("click", press);
    return element;
  }

  function texts(id, name, all) {
    byId(id).replaceChildren(...all.map((text) => made(name, text)));
  }

  function say(text) {
    byId("said").textContent = text;
  }

  return { byId, count, made, button, texts, say };
})();

const told = (() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const steps = data.steps.map((step, place) => ({ ...step, number: place + 1 }));
  const { panels } = data;
  const byNumber = new Map(panels.map((panel) => [panel.number, panel]));
  const panel = (number) => byNumber.get(number);
  const drops = data.drops.map((drop) => ({ ...drop, steps: drop.steps.map((number) => steps[number - 1]) }));
  for (const drop of drops) for (const step of drop.steps) step.drop = drop;
  for (const step of steps) for (const number of step.makes) panel(number).freed = step;

  const shadesOf = (numbers) => numbers.map((number) => panel(number).shade);
  const shade = (number) => data.shades[number - 1];
  const stepsOf = (number) => steps.filter((step) => step.makes.includes(number) || step.touches.includes(number));
  const spoken = (step) => `${step.at} from ${step.from}. ${step.what}`;

  return { ...data, steps, panels, drops, panel, shadesOf, shade, stepsOf, spoken };
})();
