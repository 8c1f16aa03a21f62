// The live page of one study: sliders ask for a look, one request at a time, and the newest value wins.
import { ask, askLong } from "./ask.js";
import { readAddress, writeAddress } from "./address.js";
import { say, showAdvised, showAfter, showFields, showLook, showPins, trouble } from "./draw.js";
import { prepareKeep } from "./keep.js";
import { prepareLogbook } from "./logbook.js";
import { prepareSearches } from "./searches.js";

const SETTLED = 300; // ms after release, when what takes longer is asked for
const IDLE = 4000; // ms after release, when the values to expect are worked out, which takes a minute
const $ = (id) => document.getElementById(id);
const first = JSON.parse($("state").textContent);
const page = { study: first.study, controls: first.controls, wing: first.look.wing, best: false, pins: [], keys: {}, last: first.look };
let due = null, busy = false, sequence = 0, settling = 0, idle = 0, held = false, moved = "", after = null, pinsShown = "", layoutsShown = "";

// --- asking: one request under way; what is due when it comes back is the newest wing ---

function request() {
  return { study: page.study, wing: page.wing, best_speed: page.best, pinned: page.pins, sequence: ++sequence };
}

function want() {
  due = request();
  document.documentElement.dataset.asked = due.sequence;
  after?.abort();
  $("worked-out").dataset.working = "yes";
  $("worked-out").textContent = "Handling, flutter and balance window are being worked out.";
  settle();
  pump();
}

async function pump() {
  if (busy) return;
  busy = true;
  while (due) {
    const asked = due;
    due = null;
    try {
      const answer = await ask("/look", asked);
      if (answer && answer.study === page.study) show(answer);
    } catch (error) {
      trouble(error.message);
    }
  }
  busy = false;
}

function show(answer) {
  trouble("");
  page.last = answer;
  if (!due) page.wing = answer.wing; // exact values: of a balance that was held, of a best speed
  showLook(answer);
  if (expecting.study === page.study) showFields({ basis: `${answer.fields.basis} ${EXPECTING}` });
  setControls(answer);
  const shown = JSON.stringify(answer.pins);
  if (shown !== pinsShown) showPins(answer.pins, pinActions);
  pinsShown = shown;
  document.documentElement.dataset.shown = answer.sequence;
}

function settle() {
  clearTimeout(settling);
  clearTimeout(idle);
  settling = setTimeout(released, SETTLED);
  idle = setTimeout(expect, IDLE);
}

async function released() {
  if (busy || due || held) return settle();
  writeAddress(page);
  say(page.last.said);
  after?.abort();
  const own = after = new AbortController();
  try {
    const answer = await ask("/after", request(), own.signal);
    if (!answer || own !== after || own.signal.aborted || answer.study !== page.study) return;
    showAfter(answer.rows, answer.flags);
    showAdvised(answer.advised);
    $("worked-out").textContent = answer.words;
    $("worked-out").dataset.working = "no";
    await newBands(own);
  } catch (error) {
    $("worked-out").textContent = error.message;
    $("worked-out").dataset.working = "no";
  }
}

// The band takes seconds, so it is worked out in a process of its own. A newer wing makes it of no use.
async function newBands(own) {
  const handle = {}, tell = () => { if (own.signal.aborted) handle.stop?.(); };
  const result = await askLong("/bands", { study: page.study, wing: page.wing, best_speed: page.best }, tell, handle);
  if (result && !own.signal.aborted) showFields(result.bands);
}

// --- values to expect: worked out once for each text of the study, when nobody moves anything ---

const EXPECTING = "Those to expect are being worked out.";
const expecting = { study: "", handle: {} }, known = new Set();

async function expect() {
  const study = page.study;
  if (page.last.expected || known.has(study) || expecting.study) return;
  known.add(study);
  Object.assign(expecting, { study, handle: {} });
  showFields({ basis: `${page.last.fields.basis} ${EXPECTING}` });
  const answer = await askLong("/expected", { study }, () => {}, expecting.handle).catch(() => null);
  expecting.study = "";
  showFields({ basis: page.last.fields.basis });
  if (answer && !answer.known && study === page.study) want();
}

// A search finds these values too, so it need not wait for them.
page.beforeSearch = () => expecting.handle.stop?.();

// --- controls ---

function setControls(answer) {
  for (const slider of page.controls.sliders) {
    const slide = $(`slide-${slider.key}`), box = $(`box-${slider.key}`);
    const spoken = answer.spoken[slider.key], plain = `${answer.boxes[slider.key]} ${slider.unit}`;
    slide.setAttribute("aria-valuetext", spoken);
    box.nextElementSibling.textContent = spoken.replace("\u2212", "-") === plain ? "" : `, ${spoken}`; // in inches where the study is
    if (due || slider.key === moved && (held || document.activeElement === box)) continue;
    if (slider.key !== moved) slide.value = answer.sliders[slider.key];
    if (document.activeElement !== box) box.value = answer.boxes[slider.key];
  }
  setPackEnds(answer.ends);
  setLayouts(answer.layouts);
  for (const part of [...page.controls.parts, { key: "layout", options: answer.layouts }]) {
    const value = JSON.stringify(answer.wing.choice[part.key] ?? null);
    const index = part.options.findIndex((option) => JSON.stringify(option.value) === value);
    if (!due && index >= 0) document.querySelector(`[data-part-of="${part.key}"]`).value = index;
  }
  $("best-speed")?.setAttribute("aria-pressed", String(page.best));
}

// The pack may lie where its bay and what stands beside it let it, which depends on the parts.
function setPackEnds(ends) {
  const slide = $(`slide-${first.pack_key}`);
  if (!slide || held) return;
  slide.min = $(`box-${first.pack_key}`).min = ends.low;
  slide.max = $(`box-${first.pack_key}`).max = ends.high;
  slide.parentElement.querySelector('[data-end="low"]').textContent = ends.low_text;
  slide.parentElement.querySelector('[data-end="high"]').textContent = ends.high_text;
  const { stock } = page.controls.sliders.find((slider) => slider.key === first.pack_key);
  slide.parentElement.querySelector('[data-end="stock"]').hidden = stock < ends.low || stock > ends.high;
}

// The ways to lay the cells depend on the pack.
function setLayouts(layouts) {
  const words = JSON.stringify(layouts);
  if (words === layoutsShown) return;
  layoutsShown = words;
  $("layout-row").hidden = layouts.length < 2;
  $("layout-row").querySelector("select").replaceChildren(...layouts.map((one, index) => {
    const option = new Option(one.words, index);
    option.disabled = Boolean(one.why);
    option.title = one.why;
    return option;
  }));
}

function set(key, value) {
  if (!Number.isFinite(value)) return;
  moved = key;
  const variables = { ...page.wing.variables, [key]: value };
  delete variables[page.controls.sliders.find((slider) => slider.key === key).replaces];
  page.wing = { choice: page.wing.choice, variables };
  if (key === first.speed_key) page.best = false;
  want();
}

function put(wing, best = false) {
  page.wing = { choice: { ...wing.choice }, variables: { ...wing.variables } };
  page.best = best;
  moved = "";
  want();
}

for (const slider of first.controls.sliders) {
  const slide = $(`slide-${slider.key}`), box = $(`box-${slider.key}`);
  slide.addEventListener("input", () => {
    box.value = slide.value;
    set(slider.key, slide.valueAsNumber);
  });
  slide.addEventListener("pointerdown", () => { held = true; });
  box.addEventListener("change", () => {
    const value = Math.min(Math.max(box.valueAsNumber, Number(slide.min)), Number(slide.max));
    if (!Number.isFinite(value)) return setControls(page.last);
    slide.value = value;
    set(slider.key, value);
    moved = "";
  });
}
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => { held = false; });
$("controls").addEventListener("submit", (event) => event.preventDefault());
// What goes with a part is left out when that part changes: the program lays another pack as a search would.
const FOLLOWING = {
  parallel: ["layout", "raised_lid_mm"],
  bays: ["layout", "raised_lid_mm"],
  pack: ["series", "parallel", "layout", "raised_lid_mm"],
};
for (const select of document.querySelectorAll("[data-part-of]")) {
  select.addEventListener("change", () => {
    const key = select.dataset.partOf;
    const options = key === "layout" ? page.last.layouts : page.controls.parts.find((one) => one.key === key).options;
    const choice = { ...page.wing.choice, [key]: options[select.value].value };
    for (const name of FOLLOWING[key] || []) delete choice[name];
    moved = "";
    page.wing = { ...page.wing, choice };
    want();
  });
}
$("best-speed")?.addEventListener("click", () => {
  page.best = !page.best;
  moved = "";
  if (!page.best) page.wing = page.last.wing;
  want();
});
$("to-stock").addEventListener("click", () => put(page.controls.stock));

// --- pinned wings ---

const pinActions = {
  take(index) { put(page.pins[index]); $("controls").querySelector("input").focus(); },
  first(index) { page.pins.unshift(...page.pins.splice(index, 1)); want(); },
  drop(index) { page.pins.splice(index, 1); $("pin").focus(); want(); },
};
$("pin").addEventListener("click", () => {
  if (page.pins.length === 4) return say("Four wings are pinned. Unpin one first.");
  page.pins.push(page.last.wing);
  want();
});

// --- keys of the study ---

const keyFields = [...document.querySelectorAll("[data-key-of]")];

function setEnds() {
  for (const slider of page.controls.sliders) {
    const slide = $(`slide-${slider.key}`), box = $(`box-${slider.key}`), row = slide.parentElement;
    [slide.min, slide.max, slide.step] = [slider.low, slider.high, slider.step];
    [box.min, box.max] = [slider.low, slider.high];
    $(`tick-${slider.key}`).firstElementChild.value = slider.stock;
    row.querySelector('[data-end="low"]').textContent = slider.low_text;
    row.querySelector('[data-end="stock"]').textContent = `stock ${slider.stock_text}`;
    row.querySelector('[data-end="high"]').textContent = slider.high_text;
    row.querySelector('[data-end="held"]').textContent = slider.held;
    row.querySelector('[data-end="held"]').hidden = !slider.held;
    slide.disabled = box.disabled = Boolean(slider.held);
    row.classList.toggle("is-held", Boolean(slider.held));
  }
}

async function edit(keys) {
  const fault = $("keys-fault");
  fault.textContent = "Being worked out.";
  try {
    const answer = await ask("/edit", { study: first.study, set: keys });
    if (!answer) return;
    Object.assign(page, { study: answer.study, controls: answer.controls, keys });
    fault.textContent = "";
    $("edited").textContent = [`Changed: ${Object.entries(keys).map((one) => one.join(" = ")).join(", ")}.`, ...answer.notes].join(" ");
    $("edited").hidden = $("drop-keys").hidden = Object.keys(keys).length === 0;
    for (const field of keyFields) field.value = page.controls.keys.find((key) => key.key === field.dataset.keyOf)?.value ?? field.value;
    setEnds();
    want();
  } catch (error) {
    fault.textContent = error.message;
    say(error.message);
  }
}

$("apply-keys")?.addEventListener("click", () => {
  const own = new Map(first.controls.keys.map((key) => [key.key, key.value]));
  edit(Object.fromEntries(keyFields.map((field) => [field.dataset.keyOf, field.value.trim()]).filter(([key, value]) => value && value !== own.get(key))));
});
$("drop-keys")?.addEventListener("click", () => edit({}));

// --- on small screens the drawing stays below the strip, whose height depends on its words ---

new ResizeObserver(([strip]) => {
  document.body.style.setProperty("--strip", `${strip.borderBoxSize[0].blockSize}px`);
}).observe(document.querySelector(".strip"));

// --- start: the state of the address, or the wing that the page came with ---

prepareSearches(page, put, want);
prepareKeep(page);
prepareLogbook(page);
setEnds();
show(first.look);
const kept = readAddress();
Object.assign(page, { pins: kept.pins, best: kept.best, wing: kept.wing || page.wing });
if (Object.keys(kept.keys).length) {
  $("study-keys").open = true;
  edit(kept.keys);
} else if (kept.wing || kept.pins.length) {
  want();
} else {
  settle();
}
document.documentElement.dataset.ready = "yes";
