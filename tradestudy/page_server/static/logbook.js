// Logbook and card: note a flight, read a log whose columns are named here, and the card of today.
import { ask, askLong } from "./ask.js";
import { make } from "./draw.js";
import { onSubmit, tellKept } from "./forms.js";

const lines = (name, texts) => document.querySelector(`[data-lines="${name}"]`).replaceChildren(...texts.map((text) => make("li", "", text)));

// The wings that may have flown: the stock wing, and those that were saved under a name.
export async function wings(page) {
  const answer = await ask("/wings", { study: page.study }).catch(() => null);
  for (const select of document.querySelectorAll("[data-wings]")) {
    const before = select.value;
    select.replaceChildren(...(answer?.wings || ["stock"]).map((name) => new Option(name, name)));
    if (before) select.value = before;
  }
}

export function prepareLogbook(page) {
  onSubmit(document.querySelector('[data-day="card"]'), async (form) => {
    const names = ["wind", "temperature", "pack", "wing"].filter((name) => form.elements[name].value.trim());
    const given = Object.fromEntries(names.map((name) => [name, form.elements[name].value.trim()]));
    const result = await askLong("/card", { study: page.study, ...given }, (state) => tellKept("card", state.words || "Being worked out."));
    document.querySelector('[data-lines="card"]').textContent = (result.lines || []).join("\n");
    return result.words || "";
  }, "card");

  const note = document.getElementById("note-form"), fault = document.getElementById("note-fault"), words = document.getElementById("note-words");
  note.addEventListener("input", () => {
    fault.textContent = "";
    words.textContent = noteProblem(note) ? "" : `The note: ${noteWords(note)}`;
  });
  onSubmit(note, async () => {
    fault.textContent = noteProblem(note);
    if (fault.textContent) return "";
    const result = await askLong("/note", { study: page.study, text: noteWords(note), wing: note.elements.wing.value }, (state) => tellKept("note", state.words || "Being worked out."));
    lines("note", result.lines || []);
    return result.words || "";
  }, "note");

  onSubmit(document.querySelector('[data-day="season"]'), async () => {
    const result = await askLong("/season", { study: page.study }, (state) => tellKept("season", state.words || "Being worked out."));
    lines("season", result.lines || []);
    return result.words || "";
  }, "season");

  wings(page);
  const drop = document.getElementById("drop"), chosen = document.getElementById("log-file");
  const form = document.querySelector('[data-day="log"]'), columns = document.getElementById("log-columns");
  let log = null;

  async function take(file) {
    if (!file) return;
    log = { name: file.name, text: await file.text() };
    try {
      const answer = await ask("/log", { study: page.study, ...log, columns: null });
      columns.replaceChildren(...answer.quantities.map((quantity) => {
        const label = make("label", "", `${quantity.meaning} `), select = make("select");
        select.name = quantity.name;
        select.append(new Option("not in the log", ""), ...answer.heads.map((head) => new Option(head, head)));
        select.value = answer.heads.includes(quantity.guess) ? quantity.guess : "";
        label.append(select);
        return label;
      }));
      form.hidden = false;
      tellKept("log", `${file.name}: ${answer.heads.length} columns.`);
      columns.querySelector("select")?.focus();
    } catch (error) {
      form.hidden = true;
      tellKept("log", error.message);
    }
  }

  chosen.addEventListener("change", () => take(chosen.files[0]));
  for (const kind of ["dragover", "dragenter"]) {
    drop.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add("over"); });
  }
  for (const kind of ["dragleave", "drop"]) drop.addEventListener(kind, () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => { event.preventDefault(); take(event.dataTransfer.files[0]); });
  onSubmit(form, async () => {
    const named = [...columns.querySelectorAll("select")].filter((select) => select.value).map((select) => [select.name, select.value]);
    const result = await askLong("/log", { study: page.study, ...log, columns: Object.fromEntries(named) }, (state) => tellKept("log", state.words || ""));
    lines("log", result.lines || []);
    return result.words || "";
  }, "log");
}
