// Three searches beside the sliders: start, share done, stop, and the wings found, ready for the sliders.
import { askLong } from "./ask.js";
import { button, make, say } from "./draw.js";

// `put` puts a wing on the sliders, and `again` looks at the present one anew: a search brings values to expect.
export function prepareSearches(page, put, again) {
  for (const box of document.querySelectorAll("[data-search]")) {
    const kind = box.dataset.search, start = box.querySelector('[data-do="start"]'), stop = box.querySelector('[data-do="stop"]');
    const bar = box.querySelector("progress"), state = box.querySelector('[data-say="state"]'), found = box.querySelector('[data-say="found"]');
    let handle = {}, words = "";

    start.addEventListener("click", async () => {
      handle = {};
      page.beforeSearch();
      start.hidden = true;
      stop.hidden = bar.hidden = stop.disabled = false;
      bar.value = 0;
      stop.focus();
      const tell = (known) => {
        bar.value = known.share || 0;
        const told = known.state === "queued" ? "It waits for another search to end." : known.words;
        if (told !== words) state.textContent = words = told;
      };
      try {
        const result = await askLong("/search", { study: page.study, kind }, tell, handle);
        if (result) {
          state.textContent = result.message;
          say(result.message);
          show(result.shown);
          again();
        } else {
          state.textContent = "Stopped.";
        }
      } catch (error) {
        state.textContent = error.message;
      }
      const hadFocus = box.contains(document.activeElement) || document.activeElement === document.body;
      start.hidden = false;
      stop.hidden = bar.hidden = true;
      if (hadFocus) start.focus();
    });
    stop.addEventListener("click", () => {
      stop.disabled = true;
      state.textContent = "Stopping. What is finished is kept.";
      handle.stop?.();
    });

    function show(rows) {
      found.hidden = !rows.length;
      found.querySelector("tbody").replaceChildren(...rows.map((row) => {
        const line = make("tr"), take = make("td");
        take.append(button("Put on the sliders", () => {
          put(row.wing);
          document.getElementById("controls").scrollIntoView({ block: "nearest" });
          say(`On the sliders: ${row.cells[0]}`);
        }, `Put on the sliders: ${row.cells[0]}`));
        const head = make("th", "", row.cells[0]);
        head.scope = "row";
        line.append(head, ...row.cells.slice(1).map((cell) => make("td", cell.length < 12 ? "number" : "long", cell)), take);
        return line;
      }));
    }
  }
}
