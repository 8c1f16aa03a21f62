(function () {
  "use strict";
  var each = function (selector, act, root) { Array.prototype.forEach.call((root || document).querySelectorAll(selector), act); };

  // put the markup of a field into an element; its numbers are in elements with their place in summary.json
  function put(element, words) {
    element.replaceChildren.apply(element, Array.from(new DOMParser().parseFromString(words, "text/html").body.childNodes));
  }

  // --- the slider along span ---
  var slider = document.getElementById("span-slide"), data = document.getElementById("steps");
  var steps = data ? JSON.parse(data.textContent) : [], show = function () {};
  if (slider && steps.length > 1) {
    var start = +slider.defaultValue, back = document.getElementById("span-back"), view = document.getElementById("view");
    show = function (index) {
      var step = steps[index];
      slider.value = index;
      slider.setAttribute("aria-valuetext", step.label);
      each("[data-part]", function (path) { path.setAttribute("d", step.paths[path.dataset.part]); }, view);
      each("[data-field]", function (field) { put(field, step.fields[field.dataset.field]); });
      view.classList.toggle("other", index !== start);
      back.disabled = index === start;
      each(".spot[data-step]", function (spot) { spot.classList.toggle("here", +spot.dataset.step === index); });
    };
    slider.addEventListener("input", function () { show(+slider.value); });
    back.addEventListener("click", function () { show(start); slider.focus(); });
    document.getElementById("slide").hidden = false;
    show(start);
  }

  // --- dots of a figure: a line under the figure describes the dot that is pointed at or focused ---
  each(".plot", function (plot) {
    var readout = plot.parentNode.parentNode.querySelector(".readout");
    if (!readout) { return; }
    readout.hidden = false;
    var spots = Array.from(plot.querySelectorAll(".spot"));
    // one stop of the Tab key for all dots of a figure; arrow keys step through them
    plot.addEventListener("keydown", function (event) {
      var at = spots.indexOf(document.activeElement), by = {ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1}[event.key];
      if (at < 0 || !by) { return; }
      event.preventDefault();
      var next = spots[Math.min(Math.max(at + by, 0), spots.length - 1)];
      spots.forEach(function (one) { one.tabIndex = one === next ? 0 : -1; });
      next.focus();
    });
    each(".spot", function (spot) {
      var describe = function () {
        each(".spot.shown", function (other) { other.classList.remove("shown"); }, plot);
        spot.classList.add("shown");
        readout.replaceChildren.apply(readout, Array.prototype.map.call(spot.firstElementChild.childNodes,
          function (node) { return node.cloneNode(true); }));
      };
      spot.addEventListener("mouseenter", describe);
      spot.addEventListener("focus", describe);
      spot.addEventListener("click", function () {
        describe();
        if (spot.dataset.step) { show(+spot.dataset.step); }
      });
    }, plot);
  });

  // --- tables sort by the column whose head is clicked; a second click reverses the order ---
  function sortKey(row, column) {
    var words = row.cells[column].textContent.trim().replace(/\u2212/g, "-");
    var number = parseFloat(words);
    return { words: words, number: /^[-+]?\d/.test(words) ? number : NaN, empty: words === "" || words === "\u2013" };
  }
  function sorted(table, column, downward) {
    var body = table.tBodies[0];
    var rows = Array.prototype.map.call(body.rows, function (row, at) { return { row: row, at: at, key: sortKey(row, column) }; });
    var numbers = rows.every(function (one) { return one.key.empty || !isNaN(one.key.number); });
    rows.sort(function (a, b) {
      if (a.key.empty || b.key.empty) { return a.key.empty - b.key.empty || a.at - b.at; }
      var way = numbers ? a.key.number - b.key.number : a.key.words.localeCompare(b.key.words);
      return (downward ? -way : way) || a.at - b.at;
    });
    rows.forEach(function (one) { body.appendChild(one.row); });
  }
  each("table.sorts", function (table) {
    var heads = table.tHead.rows[0].cells;
    Array.prototype.forEach.call(heads, function (head, column) {
      var button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      button.title = "sort by this column";
      button.append.apply(button, Array.prototype.slice.call(head.childNodes));
      head.append(button);
      button.addEventListener("click", function () {
        var downward = head.getAttribute("aria-sort") === "ascending";
        Array.prototype.forEach.call(heads, function (other) { other.removeAttribute("aria-sort"); });
        head.setAttribute("aria-sort", downward ? "descending" : "ascending");
        sorted(table, column, downward);
      });
    });
  });

  // --- on paper: the proposed wing, and everything that is folded ---
  var folded = [], selected = 0;
  window.addEventListener("beforeprint", function () {
    selected = slider ? +slider.value : 0;
    if (slider) { show(+slider.defaultValue); }
    each("details:not([open]):not(.screen)", function (one) { folded.push(one); one.open = true; });
  });
  window.addEventListener("afterprint", function () {
    folded.splice(0).forEach(function (one) { one.open = false; });
    show(selected);
  });

  // --- a link to something that is folded opens all folds round it ---
  function unfold(hash) {
    var target = hash.length > 1 && document.getElementById(hash.slice(1)), fold = target && target.closest("details");
    for (; fold; fold = fold.parentNode.closest("details")) { fold.open = true; }
  }
  each("a[href^='#']", function (link) { link.addEventListener("click", function () { unfold(link.hash); }); });
  unfold(location.hash);
}());
