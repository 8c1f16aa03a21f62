"use strict";
// The form of a flight as the text of a note. The card of the day and the live page use it.
const noteField = (form, name) => form.elements[name].value.trim().replace(",", ".");

function noteWords(form) {
  const parts = [`${noteField(form, "minutes")} min`];
  if (noteField(form, "used")) parts.push(`${noteField(form, "used")} mAh`);
  if (noteField(form, "distance")) parts.push(`${noteField(form, "distance")} ${form.dataset.far}`);
  if (noteField(form, "throttle")) parts.push(`${noteField(form, "throttle")} at full throttle`);
  if (noteField(form, "wind")) parts.push(`wind ${noteField(form, "wind")} ${form.dataset.speed || "m/s"}`);
  if (noteField(form, "temperature")) parts.push(`${noteField(form, "temperature")} ${form.dataset.degrees || "C"}`);
  if (noteField(form, "pack")) parts.push(`pack ${noteField(form, "pack").replace(/[^A-Za-z0-9_-]+/g, "-")}`);
  const remark = form.elements.remark.value.replace(/[^\p{L}\p{N} .,:;+\-\/]/gu, " ").replace(/\s+/g, " ").trim();
  const said = [noteField(form, "rested") ? `rested ${noteField(form, "rested")} V` : "", remark].filter(Boolean).join(", ");
  if (said) parts.push(`(${said})`);
  return parts.join(", ");
}

function noteProblem(form) {
  if (!(Number(noteField(form, "minutes")) > 0)) return "Write the minutes in the air.";
  for (const name of ["used", "distance", "wind", "rested"]) {
    if (noteField(form, name) && !(Number(noteField(form, name)) >= 0)) return `${form.elements[name].labels[0].firstChild.textContent.trim()}: a number is wanted.`;
  }
  if (noteField(form, "temperature") && Number.isNaN(Number(noteField(form, "temperature")))) return "Temperature: a number is wanted.";
  if (!noteField(form, "used") && !noteField(form, "rested")) return "Write the mAh that the charger put back: they teach most.";
  return "";
}
