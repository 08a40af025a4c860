"use strict";
/* The drawings of the page: what of them is lit, ticked and pointed at, and the part of the roll map
   that shows the cut in hand. Nothing here knows what is ticked; page.js says so. */

const lights = (() => {
  const roll = document.getElementById("roll");
  const wall = document.getElementById("wall");
  const panels = new Map();
  const faces = new Map();
  const ticks = new Map();

  function element(name, attributes, parent) {
    const made = document.createElementNS(roll.namespaceURI, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    parent.append(made);
    return made;
  }

  function box(rectangle) {
    const [x, y, wide, high] = ["x", "y", "width", "height"].map(
      (name) => Number(rectangle.getAttribute(name)));
    return { x, y, wide, high };
  }

  /* A tick at the upper right corner of what it belongs to, above everything that is drawn. */
  function addTick(rectangle, group) {
    const { x, y, wide, high } = box(rectangle);
    const size = Math.max(4, Math.min(9, wide / 4, high / 4));
    const at = [x + wide - size - 1, y + size + 1];
    const tick = element("g", { class: "tick" }, group);
    element("circle", { cx: at[0], cy: at[1], r: size }, tick);
    const stroke = `M${at[0] - size / 2} ${at[1]}l${size * 0.35} ${size * 0.4}l${size * 0.65} ${-size * 0.8}`;
    element("path", { d: stroke, "stroke-width": size / 4 }, tick);
    const text = element(
      "text", { x: at[0], y: at[1] + size * 0.32, "font-size": size * 0.95 }, tick);
    ticks.set(rectangle, { tick, text, path: tick.querySelector("path") });
  }

  function begin() {
    for (const [svg, all, name] of [[roll, panels, "panel"], [wall, faces, "shade"]]) {
      const group = element("g", {}, document.getElementById(`${svg.id}-all`));
      for (const rectangle of svg.querySelectorAll(`[data-${name}]`)) {
        for (const number of rectangle.dataset[name].split(" ")) all.set(Number(number), rectangle);
        rectangle.setAttribute("role", "button");
        rectangle.setAttribute("tabindex", "-1");
        rectangle.setAttribute("aria-pressed", "false");
        addTick(rectangle, group);
      }
      svg.querySelector(`[data-${name}]`).setAttribute("tabindex", "0");
      svg.setAttribute("role", "group");
    }
  }

  /* `how` is a class; those in `numbers` have it, and no other. */
  function mark(all, how, numbers) {
    const svg = all === panels ? roll : wall;
    const these = new Set(numbers.map((number) => all.get(number)));
    for (const rectangle of svg.querySelectorAll(`.${how}`)) {
      if (!these.has(rectangle)) change(rectangle, how, false);
    }
    for (const rectangle of these) if (!rectangle.classList.contains(how)) change(rectangle, how, true);
  }

  function change(rectangle, how, has) {
    rectangle.classList.toggle(how, has);
    if (how === "picked") rectangle.setAttribute("aria-pressed", String(has));
  }

  /* A tick where all is cut; where something is, of what stands for several, how many; and what the
     area is called. Nothing is touched that stays as it is: every change draws it all anew. */
  function setTick(rectangle, done, of, label) {
    if (rectangle.getAttribute("aria-label") === label) return;
    rectangle.setAttribute("aria-label", label);
    const { tick, text, path } = ticks.get(rectangle);
    tick.classList.toggle("shown", done > 0);
    const some = done > 0 && done < of;
    text.textContent = some ? `${done}/${of}` : "";
    path.setAttribute("visibility", some ? "hidden" : "visible");
  }

  /* The part of the roll map around a cut, with the cut and what measures it. */
  function showCut(step) {
    document.getElementById("cut").setAttribute("viewBox", step.view.join(" "));
    const [x, y, toX, toY] = step.measure;
    const end = Math.max(step.view[2], step.view[3]) / 60;
    const across = Math.abs(toX - x) >= Math.abs(toY - y);
    const bar = (atX, atY) => (across
      ? `M${atX} ${atY - end}L${atX} ${atY + end}` : `M${atX - end} ${atY}L${atX + end} ${atY}`);
    // Where zero lies beyond the picture the line comes in from its edge.
    const start = step.whole ? `${bar(x, y)}M${x} ${y}` : `M${x - step.view[2]} ${y}`;
    const measure = `${start}L${toX} ${toY}${bar(toX, toY)}`;
    const made = `M${step.cut[0]} ${step.cut[1]}L${step.cut[2]} ${step.cut[3]}`;
    for (const path of document.querySelectorAll("#cut .measure")) path.setAttribute("d", measure);
    for (const path of document.querySelectorAll("#cut .made")) path.setAttribute("d", made);
  }

  /* Shades on the wall, with what hangs beside them. */
  function showPlace(shades) {
    const boxes = shades.map((shade) => box(faces.get(shade)));
    const left = Math.min(...boxes.map((each) => each.x));
    const top = Math.min(...boxes.map((each) => each.y));
    const right = Math.max(...boxes.map((each) => each.x + each.wide));
    const bottom = Math.max(...boxes.map((each) => each.y + each.high));
    const [, , whole] = wall.getAttribute("viewBox").split(" ").map(Number);
    const wide = Math.min(Math.max((right - left) * 2.2, 230), whole);
    const from = Math.min(Math.max((left + right - wide) / 2, 0), whole - wide);
    const view = [from, top - 12, wide, bottom - top + 52];
    document.getElementById("place").setAttribute("viewBox", view.join(" "));
  }

  /* The wall is drawn again for that only while somebody looks. */
  function again(shown) {
    const use = document.querySelector("#place use");
    if (shown) use.setAttribute("href", "#wall-all");
    else use.removeAttribute("href");
  }

  /* Bring a panel or a face to the middle of its drawing, where that is scrolled sideways. */
  function bring(rectangle) {
    const around = rectangle.closest(".scroll");
    const [inner, outer] = [rectangle.getBoundingClientRect(), around.getBoundingClientRect()];
    around.scrollLeft += inner.left + inner.width / 2 - outer.left - outer.width / 2;
  }

  /* Arrow keys go to the next of a drawing's areas, in the order of their numbers. */
  function move(rectangle, key) {
    const all = [...new Set((roll.contains(rectangle) ? panels : faces).values())];
    const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
    let to = all.indexOf(rectangle);
    if (key in steps) to = (to + steps[key] + all.length) % all.length;
    else if (key === "Home") to = 0;
    else if (key === "End") to = all.length - 1;
    else return false;
    rectangle.setAttribute("tabindex", "-1");
    all[to].setAttribute("tabindex", "0");
    all[to].focus();
    return true;
  }

  return { roll, wall, panels, faces, begin, mark, setTick, showCut, showPlace, again, bring, move };
})();
