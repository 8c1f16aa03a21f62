"use strict";
// Turns the form into the text of a note, and into the command that writes it. Nothing leaves the page.
const form = document.querySelector("form");
const note = document.querySelector("#note");
const command = document.querySelector("#command");
const fault = document.querySelector(".fault");

const read = (name) => form.elements[name].value.trim().replace(",", ".");

function noteWords() {
  const parts = [`${read("minutes")} min`];
  if (read("used")) parts.push(`${read("used")} mAh`);
  if (read("distance")) parts.push(`${read("distance")} ${form.dataset.far}`);
  if (read("throttle")) parts.push(`${read("throttle")} at full throttle`);
  if (read("wind")) parts.push(`wind ${read("wind")} m/s`);
  if (read("temperature")) parts.push(`${read("temperature")} C`);
  if (read("pack")) parts.push(`pack ${read("pack").replace(/[^A-Za-z0-9_-]+/g, "-")}`);
  const remark = form.elements.remark.value.replace(/[^\p{L}\p{N} .,:;+\-\/]/gu, " ").replace(/\s+/g, " ").trim();
  const said = [read("rested") ? `rested ${read("rested")} V` : "", remark].filter(Boolean).join(", ");
  if (said) parts.push(`(${said})`);
  return parts.join(", ");
}

function problem() {
  if (!(Number(read("minutes")) > 0)) return "Write the minutes in the air.";
  for (const name of ["used", "distance", "wind", "rested"]) {
    if (read(name) && !(Number(read(name)) >= 0)) return `${form.elements[name].labels[0].firstChild.textContent.trim()}: a number is wanted.`;
  }
  if (read("temperature") && Number.isNaN(Number(read("temperature")))) return "Temperature: a number is wanted.";
  if (!read("used") && !read("rested")) return "Write the mAh that the charger put back: they teach most.";
  return "";
}

function show() {
  const words = problem();
  const ready = Number(read("minutes")) > 0;
  fault.textContent = form.dataset.touched ? words : "";
  note.value = ready ? noteWords() : "";
  command.value = ready ? `${form.dataset.command} "${noteWords()}"` : "";
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
