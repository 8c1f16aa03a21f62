// Forms that ask the program for something, and say below the form what came of it.

export function tellKept(name, words) {
  document.querySelector(`[data-kept="${name}"]`).textContent = words;
}

export function onSubmit(form, act, name) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const send = form.querySelector('button[type="submit"]');
    if (send.disabled) return;
    send.disabled = true;
    tellKept(name, "Being worked out.");
    try {
      const words = await act(form);
      if (words !== undefined) tellKept(name, words);
    } catch (error) {
      tellKept(name, error.message);
    }
    send.disabled = false;
  });
}
