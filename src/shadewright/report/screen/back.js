"use strict";
/* What is cut, to take back to the plan: a line to type, a file, and what would be refused of them. */

const back = (() => {
  const { byId, made, say } = html;
  const { isDone } = ticks;
  let clearing = false;

  const has = (drop, role) => drop.steps.some((step) => step.role === role && isDone(step));
  const isOff = (drop) => has(drop, "drop comes off");

  function line() {
    const off = told.drops.filter((drop) => !drop.before && isOff(drop));
    const listed = off.filter((drop) => drop.listed).map((drop) => drop.typed);
    const apart = off.filter((drop) => !drop.listed).map((drop) => drop.typed);
    return [...(listed.length ? [listed.join(",")] : []), ...apart].map((text) => `--done ${text}`).join(" ");
  }

  /* What `plan --after` would refuse, or take otherwise than it is meant. */
  function problems() {
    return told.pieces.flatMap((piece, place) => {
      const here = told.drops.filter((drop) => drop.piece === place);
      const found = [];
      const last = here.reduce((late, drop, at) => (isOff(drop) || has(drop, "opens its drop") ? at : late), -1);
      const missing = here.slice(0, Math.max(last, 0)).filter((drop) => !isOff(drop));
      if (missing.length) {
        const names = `${missing.length === 1 ? "drop" : "drops"} ${missing.map((drop) => drop.number).join(", ")}`;
        found.push(`${piece.name}: drop ${here[last].number} is ticked, and before it ${names} not. Drops come off a piece in order.`);
      }
      for (const drop of here.filter((each) => has(each, "within its drop") && !isOff(each))) {
        found.push(`${piece.name}: drop ${drop.number} is begun and not off yet. Cut it to its end before you go on from here.`);
      }
      return found;
    });
  }

  function saved() {
    const keys = told.steps.filter(ticks.isTicked).map((step) => step.key);
    return `${JSON.stringify({ format: told.format, job: told.job, plan: told.mark, ticked: keys }, null, 1)}\n`;
  }

  function show() {
    byId("line").value = line() || "No drop is cut off yet.";
    byId("copy").disabled = !line();
    byId("problems").replaceChildren(...problems().map((text) => made("li", text)));
    settle(false);
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
    const link = made("a", "", { download: told.file });
    link.href = URL.createObjectURL(new Blob([saved()], { type: "application/json" }));
    link.click();
    // Some browsers begin to save only after this.
    window.setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    answer(`Saved as ${told.file}, for --done-from.`);
  }

  function settle(asked) {
    clearing = asked;
    byId("clear").textContent = asked ? "Yes, clear them all" : "Clear all ticks";
  }

  function clear() {
    if (!clearing) {
      settle(true);
      answer("Every tick on this device would go. Press again to clear them all.");
      return;
    }
    ticks.set(told.steps, false);
    hand.take(ticks.next());
    answer("All ticks are cleared.");
  }

  function begin() {
    byId("copy").addEventListener("click", copy);
    byId("save").addEventListener("click", save);
    byId("clear").addEventListener("click", clear);
  }

  return { begin, show };
})();
