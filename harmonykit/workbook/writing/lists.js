// What is listed below the text: statements, minutes, what was built; and how far work is.

function progressBar(press) {
  const box = element("div", { class: "hk-progress", hidden: "" });
  const words = element("span", {});
  const bar = element("progress", { max: "1", "aria-label": "Progress" });
  const button = element("button", { type: "button", "data-control": "stop" }, "Stop");
  button.addEventListener("click", () => press(button.dataset.control));
  box.append(words, bar, button);
  return {
    box,
    show: (busy, [done, total], stopped) => {
      box.hidden = !busy && !stopped;
      bar.hidden = !busy;
      words.textContent = busy ? `${busy}: ${Math.round(100 * done / total)} %` : "Stopped before all was drawn.";
      button.textContent = busy ? "Stop" : "Go on";
      button.dataset.control = busy ? "stop" : "go_on";
      bar.value = done / total;
    },
  };
}

const HOW = { fails: "The fact", "cannot be used": "The rule", proved: "Proof" };

function showStatements(box, summary, verdicts, go) {
  const items = verdicts.map(([line, column, kind, source, said, how, mend, text, caret]) => {
    const item = element("li", { class: isWrong(kind) ? "wrong" : "proved" });
    const where = element("button", { type: "button", class: "hk-line" }, `line ${line}`);
    where.addEventListener("click", () => go(line));
    const words = element("div", {});
    const first = element("p", {});
    first.append(element("b", {}, kind), " ", said);
    words.append(first);
    if (how) words.append(element("p", { class: "hk-how" }, `${HOW[kind]}: ${how}`));
    if (mend) words.append(element("p", { class: "hk-how" }, `Try: ${mend}`));
    if (isWrong(kind) && text) words.append(element("pre", {}, `${text}\n${" ".repeat(caret)}^`));
    item.append(where, words);
    return item;
  });
  const key = JSON.stringify([summary, verdicts]);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  // What is read out has to stay where it is.
  if (!box.firstChild) {
    box.append(
      element("h3", {}, "Statements"),
      element("p", { role: "status", "aria-live": "polite", class: "hk-summary" }),
      element("ol", {}),
    );
  }
  const [, told, list] = box.children;
  if (told.textContent !== summary) told.textContent = summary;
  list.replaceChildren(...items.filter((each) => each.className === "wrong"), ...items.filter((each) => each.className !== "wrong"));
}

function showSides(box, sides) {
  const parts = [];
  const part = (title, ...inside) => {
    if (!inside.length) return;
    const section = element("section", {});
    section.append(element("h3", {}, title), ...inside);
    parts.push(section);
  };
  if (sides.minutes) {
    const table = element("table", {});
    for (const [title, spent, share] of sides.minutes) {
      const row = element("tr", {});
      const bar = element("td", { class: "hk-share" });
      const length = element("i", {});
      length.style.width = `${Math.max(share * 100, share ? 1 : 0)}%`;
      bar.append(length);
      row.append(element("th", { scope: "row" }, title), element("td", {}, spent), bar);
      table.append(row);
    }
    part("Minutes", ...(sides.total ? [element("p", {}, `All: ${sides.total}`)] : []), table);
  }
  if (sides.cautions?.length) {
    part("Take care", ...sides.cautions.map(([shapes, text]) => {
      const words = element("p", {});
      words.append(element("b", {}, shapes), `: ${text}`);
      return words;
    }));
  }
  if (sides.rights) part("Rights", ...sides.rights.map((each) => element("p", {}, each)));
  if (sides.doubts?.length) part("Notes on the tune", ...sides.doubts.map((each) => element("p", {}, each)));
  box.replaceChildren(...parts);
}

function showResults(box, results, note, open) {
  const groups = new Map();
  for (const [name, group] of results) {
    if (!groups.has(group)) groups.set(group, []);
    groups.get(group).push(name);
  }
  const key = JSON.stringify([results, note]);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  if (!results.length) {
    box.replaceChildren();
    return;
  }
  const list = element("dl", {});
  for (const [group, names] of groups) {
    const cell = element("dd", {});
    for (const name of names) {
      const button = element("button", { type: "button", class: "hk-open", "data-open": name }, name);
      button.addEventListener("click", () => open(name));
      cell.append(button);
    }
    list.append(element("dt", {}, group), cell);
  }
  box.replaceChildren(element("h3", {}, "What was built"), element("p", {}, note), list);
}

// A page or a sheet opens beside the notebook; a sound is played here.
function opened(box, { opened: name, kind }, data) {
  const address = URL.createObjectURL(new Blob([data], { type: kind }));
  setTimeout(() => URL.revokeObjectURL(address), 600000);
  if (kind.startsWith("audio/") && kind !== "audio/midi") {
    box.querySelector("audio")?.remove();
    const audio = element("audio", { controls: "", "aria-label": name });
    audio.src = address;
    box.append(audio);
    audio.play().catch(() => {});
    return;
  }
  const link = element("a", { href: address, target: "_blank", rel: "noopener" });
  if (!/html|pdf|text|svg/.test(kind)) link.download = name.split("/").pop();
  link.click();
}
