// The start without a study: studies of the folder, worked examples, and the questions about a new wing.
import { ask } from "./ask.js";
import { button, make } from "./draw.js";

const $ = (id) => document.getElementById(id);
const open = (file) => location.assign(`/?file=${encodeURIComponent(file)}`);
const form = $("new");

function trouble(error) {
  $("trouble").textContent = error.message;
  $("trouble").hidden = false;
}

function row(list, head, words) {
  const line = make("li");
  line.append(head, make("span", "", words));
  list.append(line);
}

async function list() {
  const { studies, demos } = await ask("/studies", {});
  for (const study of studies) {
    const link = make("a", "", study.name);
    link.href = `/?file=${encodeURIComponent(study.file)}`;
    row($("studies"), link, study.note ? `${study.file}. ${study.note}` : study.file);
  }
  $("no-studies").hidden = studies.length > 0;
  for (const demo of demos) {
    const take = async () => {
      try {
        open((await ask("/demo", { name: demo.name })).file);
      } catch (error) {
        trouble(error);
      }
    };
    row($("demos"), button(`Open ${demo.name}`, take), demo.decides);
  }
}

// --- the questions, in the chosen units ---

async function questions() {
  const told = await ask("/questions", { units: form.elements.units.value });
  for (const question of told.questions) {
    const box = document.querySelector(`[data-question="${question.name}"]`);
    if (!box) continue;
    box.querySelector('[data-say="how"]').textContent = question.how;
    box.querySelector('[data-say="usual"]').textContent = `Usual: ${question.usual}. ${question.more}`;
    box.querySelector('[data-say="if_empty"]').textContent = question.if_empty ? ` If empty: ${question.if_empty}.` : "";
    box.querySelector("input").placeholder = question.example;
  }
  $("equipment").replaceChildren(...told.equipment.map((part) => make("li", "", `${part.name}: ${part.mass}, ${part.power}`)));
}

function fault(name, words) {
  const place = $(`f-${name}`) || $("new-fault");
  place.textContent = words;
  $(`a-${name}`)?.setAttribute("aria-invalid", String(Boolean(words)));
}

for (const box of document.querySelectorAll("[data-question]")) {
  const name = box.dataset.question, input = box.querySelector("input");
  input.addEventListener("change", async () => {
    fault(name, "");
    if (!input.value.trim()) return;
    try {
      await ask("/answer", { question: name, text: input.value });
    } catch (error) {
      fault(name, error.message);
    }
  });
}

form.elements.units.addEventListener("change", () => questions().catch(trouble));
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  $("new-fault").textContent = "";
  const answers = {};
  for (const box of document.querySelectorAll("[data-question]")) {
    const text = box.querySelector("input").value.trim();
    if (text) answers[box.dataset.question] = text;
  }
  try {
    open((await ask("/new", { name: form.elements.study.value.trim(), units: form.elements.units.value, answers })).file);
  } catch (error) {
    $("new-fault").textContent = error.message;
    const faulty = Object.values(error.answer?.questions || {}).flat();
    faulty.forEach((name) => fault(name, "This contradicts another answer; see the end of the form."));
    $(`a-${faulty[0]}`)?.focus();
  }
});

list().then(questions).catch(trouble).finally(() => { document.documentElement.dataset.ready = "yes"; });
