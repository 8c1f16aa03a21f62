// Saving: this wing, the study as a new file with its changes shown first, the build sheet, the report.
import { ask, askLong } from "./ask.js";
import { make, say } from "./draw.js";
import { onSubmit, tellKept } from "./forms.js";
import { wings } from "./logbook.js";

const MOST_NAMED = 4; // files that are named one by one

// Say which files were written, and in which folder.
function saved(result) {
  const files = result.files || [result.file];
  const folder = files.map((file) => file.slice(0, file.lastIndexOf("/") + 1)).reduce((one, other) => (other.length < one.length ? other : one));
  const names = files.map((file) => file.slice(folder.length));
  const first = names.sort((a, b) => rank(a) - rank(b)).slice(0, MOST_NAMED).join(", ");
  const more = names.length > MOST_NAMED ? ` and ${names.length - MOST_NAMED} more` : "";
  return `${result.words ? `${result.words} ` : ""}Saved${folder && ` in ${folder.slice(0, -1)}`}: ${first}${more}.`;
}

const rank = (name) => [/\.html$/, /\.pdf$/].findIndex((end) => end.test(name)) >>> 0; // pages, sheets, then the rest

export function prepareKeep(page) {
  const form = (name) => document.querySelector(`[data-keep="${name}"]`);
  const wing = () => ({ study: page.study, wing: page.last.wing });
  const progress = (name) => (state) => tellKept(name, state.words || "Being worked out.");
  onSubmit(form("wing"), async (own) => {
    const answer = await ask("/save/wing", { ...wing(), name: own.elements.name.value.trim() || own.elements.name.placeholder });
    await wings(page);
    return `${answer.name} is in ${answer.file}, for the logbook and the card.`;
  }, "wing");
  onSubmit(form("sheet"), async (own) => {
    const body = { ...wing(), paper: own.elements.paper.value, anyway: own.elements.anyway.checked };
    return saved(await askLong("/save/sheet", body, progress("sheet")));
  }, "sheet");
  onSubmit(form("report"), async () => saved(await askLong("/save/report", { study: page.study }, progress("report"))), "report");

  const box = document.getElementById("difference"), agree = document.getElementById("agree");
  let shown = null;
  onSubmit(form("study"), async (own) => {
    const name = own.elements.name.value.trim() || own.elements.name.placeholder;
    const answer = await ask("/save/study", { study: page.study, name, agreed: false });
    shown = { study: page.study, name, over: answer.over };
    box.querySelector("tbody").replaceChildren(...answer.difference.map((row) => {
      const line = make("tr"), head = make("th", "", row.key);
      head.scope = "row";
      line.append(head, make("td", "", row.was || "not given"), make("td", "", row.now || "left out"));
      return line;
    }));
    box.hidden = false;
    box.querySelector(".scroll").hidden = answer.difference.length === 0;
    agree.focus();
    if (answer.difference.length === 0) return `Nothing changes. It would be a copy: ${answer.file}`;
    return answer.exists ? `${answer.file} exists and would be written over with these values.` : `A new file, ${answer.file}, with these changes:`;
  }, "study");
  form("study").addEventListener("input", () => { box.hidden = true; });
  agree.addEventListener("click", async () => {
    if (!shown) return;
    try {
      const words = saved(await ask("/save/study", { ...shown, agreed: true }));
      box.hidden = true;
      tellKept("study", words);
      say(words);
    } catch (error) {
      tellKept("study", error.message);
    }
  });
}
