// Turns the form into the text of a note, and into the command that writes it. Nothing leaves the page.
const form = document.querySelector("form");
const note = document.querySelector("#note");
const command = document.querySelector("#command");
const fault = document.querySelector(".fault");

function show() {
  const words = noteProblem(form);
  const ready = Number(noteField(form, "minutes")) > 0;
  fault.textContent = form.dataset.touched ? words : "";
  note.value = ready ? noteWords(form) : "";
  command.value = ready ? `${form.dataset.command} "${noteWords(form)}"` : "";
}

async function copy(area, button) {
  const label = button.textContent;
  if (!area.value) { form.dataset.touched = "yes"; show(); return; }
  try {
    await navigator.clipboard.writeText(area.value);
  } catch (refused) {
    area.focus();
    area.select();
    document.execCommand("copy");
  }
  button.textContent = "Copied";
  setTimeout(() => { button.textContent = label; }, 1500);
}

form.addEventListener("input", () => { form.dataset.touched = "yes"; show(); });
form.addEventListener("submit", (event) => event.preventDefault());
document.querySelector("#copy-note").addEventListener("click", (event) => copy(note, event.currentTarget));
document.querySelector("#copy-command").addEventListener("click", (event) => copy(command, event.currentTarget));
show();
