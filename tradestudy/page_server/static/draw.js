// Puts an answer on the screen. Texts come ready from the program; here they are only set, always as text.
const $ = (id) => document.getElementById(id);
const byName = (attribute) => {
  const found = new Map();
  for (const element of document.querySelectorAll(`[data-${attribute}]`)) found.set(element.getAttribute(`data-${attribute}`), element);
  return found;
};
const fields = byName("field"), entries = byName("entry"), parts = byName("part"), dashed = byName("dashed"), curves = byName("curve");

export function make(tag, className, words) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (words !== undefined) element.textContent = words;
  return element;
}

export function button(words, act, described) {
  const made = make("button", "", words);
  made.type = "button";
  if (described) made.setAttribute("aria-label", described);
  made.addEventListener("click", act);
  return made;
}

export function showFields(texts) {
  for (const [name, text] of Object.entries(texts)) {
    const field = fields.get(name);
    if (field && field.textContent !== text) field.textContent = text;
  }
}

function setPaths(elements, paths) {
  for (const [name, path] of Object.entries(paths)) elements.get(name)?.setAttribute("d", path || "M0 0");
}

export function showLook(answer) {
  for (const entry of answer.strip) {
    const texts = { "": entry.value, "-head": entry.head, "-unit": entry.unit, "-less": entry.less, "-change": entry.change };
    showFields(Object.fromEntries(Object.entries(texts).map(([end, text]) => [entry.key + end, text])));
    entries.get(entry.key).dataset.state = entry.state;
  }
  showFields(answer.fields);
  setPaths(parts, answer.paths);
  setPaths(dashed, answer.dashed);
  $("key-pinned").hidden = $("key-pinned-curve").hidden = !answer.dashed.pinned;
  showLimits(answer.limits);
  showCurve(answer.curve);
}

function limitRow() {
  const row = make("li");
  row.append(make("span", "limit-state"), make("b"), make("span", "limit-figure"), make("span", "limit-whose quiet"));
  return row;
}

function fill(list, limits) {
  while (list.children.length > limits.length) list.lastChild.remove();
  while (list.children.length < limits.length) list.append(limitRow());
  limits.forEach((limit, index) => {
    const row = list.children[index];
    row.dataset.state = limit.state;
    [limit.standing, limit.words, limit.figure, limit.whose].forEach((text, at) => {
      if (row.children[at].textContent !== text) row.children[at].textContent = text;
    });
  });
}

function showLimits({ first, others }) {
  fill($("limits"), first);
  fill($("other-limits"), others);
  $("more-limits").hidden = others.length === 0;
}

function showCurve(curve) {
  setPaths(curves, { ...curve.paths, advised: "" });
  putLabels($("curve-labels"), curve.labels);
  putLabels($("advised-label"), []);
}

// The highest advised speed is known after release only, so a new wing has none until then.
export function showAdvised(advised) {
  setPaths(curves, { advised: advised.path });
  putLabels($("advised-label"), advised.labels);
}

function putLabels(area, labels) {
  const old = [...area.children];
  labels.forEach((label, index) => {
    const shown = old[index] || area.appendChild(make("span"));
    if (shown.textContent !== label.text) shown.textContent = label.text;
    shown.className = `label ${label.look}`;
    shown.style.left = `${label.left}%`;
    shown.style.top = `${label.top}%`;
  });
  old.slice(labels.length).forEach((one) => one.remove());
}

export function showFlags(list, lines) {
  list.replaceChildren(...lines.map((line) => make("li", "", line)));
}

// Numbers that follow after release: rows of head, value and a second line.
export function showAfter(rows, flags) {
  $("after").replaceChildren(...rows.map((row) => {
    const box = make("div", row.less.length > 50 ? "long" : ""), value = make("dd");
    value.append(make("span", "", row.value), " ", make("span", "unit", row.unit));
    box.append(make("dt", "", row.head), value, make("dd", "band", row.less));
    return box;
  }));
  showFlags($("flags"), flags);
}

// Pinned wings side by side. `act` holds what the buttons of a column do.
export function showPins(pins, act) {
  $("pins").hidden = pins.columns.length < 2;
  $("no-pins").hidden = pins.columns.length > 1;
  $("pin-heads").replaceChildren(make("th", "", ""), ...pins.columns.map((column, index) => {
    const head = make("th", "number");
    head.scope = "col";
    head.append(make("span", "", column.name));
    if (index > 0) {
      const row = make("div", "row");
      row.append(button("On the sliders", () => act.take(index - 1), `Put wing ${column.name} on the sliders`));
      if (index > 1) row.append(button("Compare", () => act.first(index - 1), `Show differences from wing ${column.name}`));
      row.append(button("Unpin", () => act.drop(index - 1), `Unpin wing ${column.name}`));
      head.append(row);
    }
    return head;
  }));
  $("pin-rows").replaceChildren(...pins.rows.map((row) => {
    const line = make("tr"), head = make("th", "", row.head);
    head.scope = "row";
    line.append(head, ...row.cells.map((cell) => make("td", cell.length < 12 ? "number" : "long", cell)));
    return line;
  }));
}

export function say(words) {
  $("said").textContent = words;
}

export function trouble(words) {
  $("trouble").textContent = words;
  $("trouble").hidden = !words;
  if (words) say(words);
}
