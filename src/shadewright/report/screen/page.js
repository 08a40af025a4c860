"use strict";
/* The cutting companion. All it tells stands in the data of the page, and is put in as text; what is
   ticked is kept by the browser, under the mark of the plan. */

(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const KEY = `shadewright ${data.mark}`;
  const steps = data.steps.map((step, place) => ({ ...step, number: place + 1 }));
  const drops = data.drops.map((drop, place) => ({ ...drop, place }));
  const panels = data.panels.map((panel, place) => ({ ...panel, number: place + 1 }));
  for (const drop of drops) for (const number of drop.steps) steps[number - 1].drop = drop;
  for (const step of steps) for (const number of step.makes) panels[number - 1].freed = step;

  let ticked = new Set();
  let hand = null;
  let picked = [];
  let pickedFrom = null;
  let clearing = false;

  const byId = (id) => document.getElementById(id);
  const count = (number, word) => `${number} ${word}${number === 1 ? "" : "s"}`;
  const isDone = (step) => step.drop.before || ticked.has(step.number);
  const isFree = (panel) => isDone(panel.freed);
  const next = () => steps.find((step) => !isDone(step)) ?? null;

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

  function say(text) {
    byId("said").textContent = text;
  }

  // --- what is kept ------------------------------------------------------------------------------

  /* Reading may be refused, and so may writing alone, as where a browser keeps nothing in private. */
  function recall() {
    try {
      const found = JSON.parse(localStorage.getItem(KEY) ?? "[]");
      const known = (number) => Number.isInteger(number) && number >= 1 && number <= steps.length;
      ticked = new Set(Array.isArray(found) ? found.filter(known) : []);
    } catch {
      ticked = new Set();
    }
  }

  function keep() {
    try {
      localStorage.setItem(KEY, JSON.stringify([...ticked].sort((a, b) => a - b)));
      byId("unkept").hidden = true;
    } catch {
      byId("unkept").hidden = false;
    }
  }

  // --- ticking -----------------------------------------------------------------------------------

  function set(these, done) {
    for (const step of these) {
      if (step.drop.before) continue;
      if (done) ticked.add(step.number);
      else ticked.delete(step.number);
    }
    keep();
    settleClearing(false);
  }

  /* Ticks the cut in hand and takes the next that is not done; or unticks it and stays. */
  function press() {
    const step = hand;
    if (!step || step.drop.before) return;
    const done = !isDone(step);
    set([step], done);
    if (done) hand = steps.slice(step.number).find((each) => !isDone(each)) ?? next();
    show();
    if (!done) say(`Cut ${step.number} is not done.`);
    else if (hand) say(`Cut ${step.number} done. Next: cut ${hand.number}, ${spoken(hand)}`);
    else say("Everything is cut.");
  }

  const spoken = (step) => `${step.at} from the ${step.from}. ${step.what}`;

  function take(step) {
    hand = step;
    show();
    say(`Cut ${step.number} in hand: ${spoken(step)}`);
  }

  function turn(by) {
    const at = hand ? hand.number + by : steps.length;
    take(steps[Math.min(Math.max(at, 1), steps.length) - 1]);
  }

  // --- the cut in hand ---------------------------------------------------------------------------

  function showHand() {
    const step = hand;
    byId("cut-shown").parentNode.hidden = !step;
    byId("hand").querySelector(".measured").hidden = !step;
    const finished = !step;
    byId("done").disabled = finished || step.drop.before;
    byId("before").disabled = !finished && step.number === 1;
    byId("after").disabled = finished || step.number === steps.length;
    byId("done").classList.toggle("undo", !finished && isDone(step));
    byId("hand-free").replaceChildren();
    if (finished) {
      byId("hand-name").textContent = "Everything is cut";
      byId("hand-where").textContent = `${count(steps.length, "cut")}, ${count(panels.length, "panel")}.`;
      byId("hand-what").textContent = "";
      byId("hand-laid").textContent = byId("hand-alike").textContent = "";
      byId("done").textContent = "Done";
      return;
    }
    const { drop } = step;
    const piece = data.pieces[drop.piece];
    const state = drop.before ? "cut before this plan was made" : isDone(step) ? "done" : "";
    byId("hand-name").textContent =
      (step === next() ? "Next cut: " : "Cut ") + `${step.number} of ${steps.length}` + (state && `, ${state}`);
    byId("hand-where").textContent = `${piece.name}, drop ${drop.number}`;
    byId("hand-at").textContent = step.at;
    byId("hand-at").parentNode.classList.toggle("long", step.at.length > 8);
    byId("hand-at").parentNode.classList.toggle("longer", step.at.length > 12);
    byId("hand-from").textContent = `from the ${step.from}`;
    byId("hand-what").textContent = step.what;
    const begins = step === steps[drop.steps[0] - 1] && drop === drops.find((each) => each.piece === drop.piece);
    byId("hand-laid").textContent = begins ? `${piece.heading}. ${piece.laid}` : "";
    byId("hand-alike").textContent = drop.alike;
    byId("done").textContent = drop.before ? "Cut before" : isDone(step) ? "Not done after all" : "Done";
    const free = step.makes.length > 0;
    const these = free ? step.makes : step.touches;
    byId("hand-free").append(
      made("p", free ? "Comes free:" : "Panels in hand:", { class: "from" }), chips(these));
    byId("cut-shown").setAttribute("aria-label", `The cut on the roll map: ${step.what}`);
    lights.showCut(step);
  }

  function chips(numbers) {
    const list = made("ul", "", { class: "chips" });
    for (const number of numbers) {
      const item = made("li");
      const chip = button(`${number}: ${panels[number - 1].called}`, () => pick([number], chip), { class: "chip" });
      item.append(chip);
      list.append(item);
    }
    return list;
  }

  // --- counts, cloth, drawings -------------------------------------------------------------------

  function showCounts() {
    const done = steps.filter(isDone).length;
    byId("tally").textContent = `${done} of ${count(steps.length, "cut")} done`;
    byId("bar").value = steps.length ? done / steps.length : 1;
    const list = byId("pieces");
    list.replaceChildren(...data.pieces.map((piece, place) => {
      const off = steps.filter((step) => step.drop.piece === place && step.off && isDone(step));
      const last = off.reduce((far, step) => (step.off.share > far.share ? step.off : far), { share: 0 });
      const item = made("li");
      const name = made("p", piece.name, { id: `piece-${place}` });
      const bar = made("progress", "", { max: 1, value: last.share, "aria-labelledby": `piece-${place}` });
      const left = last.share ? `${last.left} left` : `${piece.length}, not cut into yet`;
      item.append(name, made("p", left, { class: "figure" }), bar);
      if (last.share) item.append(made("p", `${last.cut} cut off, of ${piece.length}`, { class: "from" }));
      return item;
    }));
  }

  const shadesOf = (numbers) => numbers.map((number) => panels[number - 1].shade);

  function showLights() {
    const touched = hand ? hand.touches : [];
    lights.mark(lights.panels, "lit", touched);
    lights.mark(lights.panels, "free", hand ? hand.makes : []);
    lights.mark(lights.faces, "lit", shadesOf(touched));
    lights.mark(lights.faces, "free", shadesOf(hand ? hand.makes : []));
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
      const names = [...shades.keys()].map((shade) => data.shades[shade - 1]).join("; ");
      lights.setTick(face, done, shades.size, `${names}: ${done} of ${shades.size} cut`);
    }
  }

  // --- what is pointed at ------------------------------------------------------------------------

  const panelsOf = (rectangle) => (rectangle.dataset.panel
    ? [Number(rectangle.dataset.panel)]
    : panels.filter((panel) => lights.faces.get(panel.shade) === rectangle).map((panel) => panel.number));

  function stepsOf(number) {
    return steps.filter((step) => step.makes.includes(number) || step.touches.includes(number));
  }

  function point(numbers) {
    lights.mark(lights.panels, "pointed-at", numbers);
    lights.mark(lights.faces, "pointed-at", shadesOf(numbers));
    if (!numbers.length) return pointed(hand ? `In hand: ${listed(hand.makes.length ? hand.makes : hand.touches)}` : "");
    const told = numbers.map((number) => {
      const panel = panels[number - 1];
      const cuts = stepsOf(number).map((step) => step.number).join(", ");
      return `Panel ${number}: ${panel.called}, cut ${panel.size}. Cuts ${cuts}.`;
    });
    return pointed(told.length > 2 ? listed(numbers) : told.join(" "));
  }

  function pointed(text) {
    byId("pointed-roll").textContent = byId("pointed-wall").textContent = text;
  }

  const listed = (numbers) => (numbers.length > 2
    ? `panels ${numbers.join(", ")}`
    : numbers.map((number) => `panel ${number}, ${panels[number - 1].called}`).join("; "));

  function pick(numbers, from) {
    picked = numbers;
    pickedFrom = from;
    lights.again(true);
    showPicked();
    byId("picked").hidden = false;
    for (const number of numbers.slice(0, 1)) {
      const rectangle = lights.panels.get(number);
      if (rectangle !== from) lights.bring(rectangle);
      const face = lights.faces.get(panels[number - 1].shade);
      if (face !== from) lights.bring(face);
    }
    byId("picked").focus({ preventScroll: true });
  }

  function letGo() {
    picked = [];
    byId("picked").hidden = true;
    lights.again(false);
    showPicked();
    pickedFrom?.focus({ preventScroll: true });
    pickedFrom = null;
  }

  function showPicked() {
    lights.mark(lights.panels, "picked", picked);
    lights.mark(lights.faces, "picked", shadesOf(picked));
    if (!picked.length) return;
    const shades = shadesOf(picked);
    const one = picked.length === 1;
    byId("picked-name").textContent = one ? `Panel ${picked[0]}` : count(picked.length, "panel");
    lights.showPlace(shades);
    byId("place-shown").setAttribute("aria-label", `On the wall: ${[...new Set(shades)].map((shade) => data.shades[shade - 1]).join("; ")}`);
    const list = made("ul");
    for (const number of picked) {
      const panel = panels[number - 1];
      const item = made("li");
      item.append(made("strong", one ? panel.called : `Panel ${number}: ${panel.called}`));
      item.append(made("p", `Cut ${panel.size}, ${panel.lies}. Finished ${panel.finished}.`));
      item.append(made("p", isFree(panel) ? "It is cut. Its cuts:" : "Its cuts:", { class: "from" }));
      const row = made("div", "", { class: "chips" });
      for (const step of stepsOf(number)) {
        const text = `${step.number}: ${step.at}${isDone(step) ? " ✓" : ""}`;
        const name = `Take cut ${step.number} in hand, ${spoken(step)}${isDone(step) ? " Done." : ""}`;
        row.append(button(text, () => goTo(step), { class: "chip", "aria-label": name }));
      }
      item.append(row);
      list.append(item);
    }
    byId("picked-text").replaceChildren(list);
  }

  function goTo(step) {
    pickedFrom = null;
    if (picked.length) letGo();
    take(step);
    byId("hand").focus({ preventScroll: true });
    byId("hand").scrollIntoView();
  }

  // --- the cutting order -------------------------------------------------------------------------

  const rows = new Map();

  function buildOrder() {
    const order = byId("order");
    data.pieces.forEach((piece, place) => {
      const part = made("div", "", { class: "piece" });
      part.append(made("h3", piece.heading), made("p", piece.laid));
      let alike = "";
      for (const drop of drops.filter((each) => each.piece === place)) {
        if (drop.alike && drop.alike !== alike) part.append(made("p", drop.alike));
        alike = drop.alike;
        part.append(buildDrop(drop));
      }
      order.append(part);
    });
  }

  function buildDrop(drop) {
    const details = made("details");
    const summary = made("summary");
    drop.count = made("span");
    drop.details = details;
    summary.append(made("strong", `Drop ${drop.number}, ${drop.length} long`), drop.count);
    details.append(summary);
    // Rows are made when they are first asked for: a large job has thousands.
    details.addEventListener("toggle", () => fill(drop));
    return details;
  }

  function fill(drop) {
    if (drop.filled || !drop.details.open) return;
    drop.filled = true;
    const list = made("ol");
    for (const number of drop.steps) list.append(buildRow(steps[number - 1]));
    if (!drop.before) {
      drop.whole = button("", () => {
        const these = drop.steps.map((number) => steps[number - 1]);
        const done = !these.every(isDone);
        set(these, done);
        if (done && hand?.drop === drop) hand = next();
        show();
        say(`Drop ${drop.number}: ${done ? "all its cuts are done" : "none of its cuts is done"}.`);
      }, { class: "whole" });
      drop.details.append(drop.whole);
    }
    drop.details.append(list);
    showOrder();
  }

  function buildRow(step) {
    const row = made("li", "", { class: "cut" });
    const label = made("label", "", { class: "box" });
    const box = made("input", "", { type: "checkbox", "aria-label": `Cut ${step.number} done: ${spoken(step)}` });
    box.disabled = step.drop.before;
    box.addEventListener("change", () => {
      set([step], box.checked);
      if (hand === null || isDone(hand)) hand = next();
      show();
      say(`Cut ${step.number} is ${box.checked ? "" : "not "}done. ${byId("tally").textContent}.`);
    });
    label.append(box);
    const told = made("div", "", { class: "told" });
    told.append(made("p", `${step.number}.  ${step.at}`, { class: "at" }));
    told.append(made("p", `from the ${step.from}`, { class: "small" }), made("p", step.what));
    for (const number of step.makes) {
      told.append(made("p", `Comes free: ${number}: ${panels[number - 1].called}`, { class: "small" }));
    }
    row.append(label, told, button("Show", () => goTo(step), { "aria-label": `Show cut ${step.number} as the cut in hand` }));
    rows.set(step.number, { row, box });
    return row;
  }

  function showOrder() {
    for (const drop of drops) {
      const done = drop.steps.filter((number) => isDone(steps[number - 1])).length;
      const all = done === drop.steps.length;
      drop.count.textContent = drop.before ? "✓ cut before" : `${all ? "✓ " : ""}${done} of ${count(drop.steps.length, "cut")} done`;
      if (drop.whole) drop.whole.textContent = all ? "Untick the whole drop" : "Tick the whole drop";
    }
    for (const [number, { row, box }] of rows) {
      const step = steps[number - 1];
      box.checked = isDone(step);
      row.classList.toggle("is-done", isDone(step));
      row.classList.toggle("in-hand", step === hand);
      if (step === hand) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
    }
  }

  // --- what goes back ----------------------------------------------------------------------------

  const comesOff = (drop) => steps[drop.steps.find((number) => steps[number - 1].role === "drop comes off") - 1];
  const isOff = (drop) => isDone(comesOff(drop));

  function line() {
    const off = drops.filter((drop) => !drop.before && isOff(drop));
    const listed = off.filter((drop) => drop.listed).map((drop) => drop.typed);
    const apart = off.filter((drop) => !drop.listed).map((drop) => drop.typed);
    return [...(listed.length ? [listed.join(",")] : []), ...apart].map((text) => `--done ${text}`).join(" ");
  }

  /* What `plan --after` would refuse, or take otherwise than it is meant. */
  function problems() {
    const found = [];
    data.pieces.forEach((piece, place) => {
      const here = drops.filter((drop) => drop.piece === place);
      const opened = (drop) => drop.steps.some((number) => steps[number - 1].role === "opens its drop" && isDone(steps[number - 1]));
      const last = here.reduce((late, drop, at) => (isOff(drop) || opened(drop) ? at : late), -1);
      const missing = here.slice(0, Math.max(last, 0)).filter((drop) => !isOff(drop));
      if (missing.length) {
        const names = missing.map((drop) => drop.number).join(", ");
        found.push(`${piece.name}: drop ${here[last].number} is ticked, and before it ${missing.length === 1 ? "drop" : "drops"} ${names} not. Drops come off a piece in order.`);
      }
      for (const drop of here) {
        const inside = drop.steps.some((number) => steps[number - 1].role === "within its drop" && isDone(steps[number - 1]));
        if (inside && !isOff(drop)) found.push(`${piece.name}: drop ${drop.number} is begun and not off yet. Cut it to its end before you go on from here.`);
      }
    });
    return found;
  }

  function saved() {
    const keys = steps.filter((step) => ticked.has(step.number)).map((step) => step.key);
    return `${JSON.stringify({ format: data.format, job: data.job, plan: data.mark, ticked: keys }, null, 1)}\n`;
  }

  function showBack() {
    byId("line").value = line() || "No drop is cut off yet.";
    byId("copy").disabled = !line();
    byId("problems").replaceChildren(...problems().map((text) => made("li", text)));
  }

  function answer(text) {
    byId("answer").textContent = text;
    say(text);
  }

  async function copy() {
    try {
      await navigator.clipboard.writeText(line());
      answer("Copied.");
    } catch {
      // Where the clipboard is not open to pages, the old way may still be.
      byId("line").select();
      const worked = document.execCommand("copy");
      answer(worked ? "Copied." : "The line is marked: copy it with the keys of your device.");
    }
  }

  function save() {
    const link = made("a", "", { download: data.file });
    link.href = URL.createObjectURL(new Blob([saved()], { type: "application/json" }));
    link.click();
    URL.revokeObjectURL(link.href);
    answer(`Saved as ${data.file}, for --done-from.`);
  }

  function settleClearing(asked) {
    clearing = asked;
    byId("clear").textContent = asked ? "Yes, clear them all" : "Clear all ticks";
  }

  function clear() {
    if (!clearing) {
      settleClearing(true);
      answer("Every tick on this device would go. Press again to clear them all.");
      return;
    }
    set(steps, false);
    hand = next();
    show();
    answer("All ticks are cleared.");
  }

  // --- all of it ---------------------------------------------------------------------------------

  function show() {
    showHand();
    showCounts();
    showLights();
    showOrder();
    showBack();
    point([]);
    if (picked.length) showPicked();
  }

  /* Around a drawing and not on it: what listens for the focus can have it, in some browsers. */
  function listen(around) {
    const area = (event) => event.target.closest("[data-panel], [data-shade]");
    const pointed = (event) => { if (area(event)) point(panelsOf(area(event))); };
    around.addEventListener("pointerover", pointed);
    around.addEventListener("focusin", pointed);
    for (const away of ["pointerout", "focusout"]) around.addEventListener(away, () => point([]));
    around.addEventListener("click", (event) => { if (area(event)) pick(panelsOf(area(event)), area(event)); });
    around.addEventListener("keydown", (event) => {
      const here = area(event);
      if (!here) return;
      if (event.key === "Enter" || event.key === " ") pick(panelsOf(here), here);
      else if (!lights.move(here, event.key)) return;
      event.preventDefault();
    });
  }

  function texts(id, name, all) {
    byId(id).replaceChildren(...all.map((text) => made(name, text)));
  }

  function begin() {
    byId("job").textContent = data.job;
    byId("short").textContent = data.short.join(" ");
    texts("first", "p", data.first);
    byId("first").classList.toggle("first", data.first.length > 0);
    texts("advice", "li", data.advice);
    texts("cautions-text", "p", data.cautions);
    lights.begin();
    lights.roll.setAttribute("aria-label", `Roll map: ${count(panels.length, "panel")}`);
    lights.wall.setAttribute("aria-label", `Wall view: ${count(data.shades.length, "shade")}`);
    buildOrder();
    recall();
    keep();
    hand = next();
    show();
    if (hand) hand.drop.details.open = true;
    byId("done").addEventListener("click", press);
    byId("before").addEventListener("click", () => turn(-1));
    byId("after").addEventListener("click", () => turn(1));
    byId("let-go").addEventListener("click", letGo);
    byId("copy").addEventListener("click", copy);
    byId("save").addEventListener("click", save);
    byId("clear").addEventListener("click", clear);
    document.addEventListener("keydown", (event) => { if (event.key === "Escape" && picked.length) letGo(); });
    // Another window with the same page ticks the same boxes.
    window.addEventListener("storage", (event) => {
      if (event.key !== KEY && event.key !== null) return;
      recall();
      if (hand === null || isDone(hand)) hand = next();
      show();
    });
    listen(byId("roll-scroll"));
    listen(byId("wall-scroll"));
  }

  begin();
})();
