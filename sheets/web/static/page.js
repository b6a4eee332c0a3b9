// The little that the page does by itself: paste into the table, drag to order, the large view,
// and where the keyboard goes after a part was put in anew.
"use strict";
(function () {
  const body = document.body;
  let openDetails = new Set();
  let focusAfter = "";
  let focusOf = null;

  // A paste of several cells goes to the program as a whole; one cell is typed as usual.
  document.addEventListener("paste", function (event) {
    const cell = event.target.closest("[data-row]");
    if (!cell || !event.clipboardData) return;
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\n]/.test(text.trim())) return;
    event.preventDefault();
    htmx.ajax("POST", "/class/paste", {
      target: "#class", swap: "outerHTML",
      values: { text: text, row: cell.dataset.row, column: cell.dataset.column, window: document.getElementById("window").value },
    });
  });

  // The large view.
  const large = document.getElementById("large");
  let opener = "";
  let opening = false;
  let awaited = null;
  document.addEventListener("click", function (event) {
    const tile = event.target.closest("[data-opens]");
    if (tile) {
      opener = tile.id;
      opening = true;
    }
    if (event.target.closest("[data-closes]") || event.target === large) large.close();
    const undo = event.target.closest("[aria-disabled=true]");
    if (undo) event.preventDefault();
  });
  // The large view shows what was asked for last, in whatever order the replies come; what else
  // an earlier reply brings, such as the small picture of another page, is put in as usual.
  body.addEventListener("htmx:beforeRequest", function (event) {
    if (event.detail.target === large) awaited = event.detail.xhr;
  });
  large.addEventListener("htmx:beforeSwap", function (event) {
    if (event.detail.xhr !== awaited) event.detail.swapOverride = "none";
    else place.after(document.getElementById("message"));
  });
  large.addEventListener("close", function () {
    const back = document.getElementById(opener);
    if (back) back.focus();
  });

  // Before a part is replaced: which of its folds are open, and where the focus is.
  body.addEventListener("htmx:beforeSwap", function (event) {
    openDetails = new Set(Array.from(document.querySelectorAll("details[id][open]:not(#paste)"), (one) => one.id));
    const asked = event.detail.requestConfig && event.detail.requestConfig.elt;
    if (asked && asked.dataset && asked.dataset.thenFocus) {
      focusAfter = asked.dataset.thenFocus;
      focusOf = event.detail.xhr;
    }
    // Until that reply is put in, no other one says where the keyboard goes.
    if (focusOf) return;
    const active = document.activeElement;
    if (active && active !== body) {
      const fold = active.tagName === "SUMMARY" ? active.parentElement.id : "";
      focusAfter = active.id || (fold ? fold + " > summary" : "");
    }
  });
  body.addEventListener("htmx:afterSwap", function () {
    openDetails.forEach(function (id) {
      const fold = document.getElementById(id);
      if (fold && !fold.open) fold.open = true;
    });
  });
  body.addEventListener("htmx:afterSettle", function (event) {
    if (event.target === large && opening) {
      opening = false;
      if (!large.open) large.showModal();
      large.scrollTop = 0;
      document.getElementById("large-head").focus();
      return;
    }
    if (focusOf && event.detail.xhr !== focusOf) return;
    focusOf = null;
    let to = focusAfter.endsWith(" > summary") ? document.querySelector("#" + focusAfter) : document.getElementById(focusAfter);
    if (focusAfter === "last-name") {
      const names = document.querySelectorAll("[data-column=name]");
      to = names[names.length - 1];
    } else if (!to && focusAfter && document.activeElement === body) {
      // What had the focus is gone: a neighbour in its part, so that the keyboard is not lost.
      to = neighbour(focusAfter);
    }
    if (to && document.activeElement !== to && (document.activeElement === body || focusAfter === "last-name")) {
      to.focus({ preventScroll: focusAfter !== "last-name" });
    }
    if (document.activeElement !== body) focusAfter = "";
  });
  function neighbour(id) {
    const parts = id.match(/^(.*?)(\d+)-(up|down|out)$/);
    if (!parts) return id.startsWith("remove-") ? document.getElementById("add-child") : null;
    const at = Number(parts[2]);
    const near = [at, at - 1, at + 1].map((n) => parts[1] + n);
    for (const one of near) {
      for (const end of ["-" + parts[3], "-up", "-down", "-out"]) {
        const found = document.getElementById(one + end);
        if (found) return found;
      }
    }
    return null;
  }

  // A message must be seen wherever the page is scrolled to, in the large view too.
  const place = document.createComment("message");
  document.getElementById("message").before(place);
  body.addEventListener("refused", function () {
    const message = document.getElementById("message");
    if (large.open) large.querySelector(".dialog-head").after(message);
    else place.after(message);
    const problem = message.firstElementChild;
    if (problem) problem.focus();
  });
  large.addEventListener("close", function () {
    const message = document.getElementById("message");
    message.replaceChildren();
    place.after(message);
  });

  // Drag to order; the arrows beside each item do the same.
  let dragged = null;
  document.addEventListener("dragstart", function (event) {
    const item = event.target.closest("[data-at]");
    if (!item) return;
    dragged = item;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", "");
  });
  document.addEventListener("dragover", function (event) {
    const over = event.target.closest("[data-at]");
    if (dragged && over && over.parentElement === dragged.parentElement) event.preventDefault();
  });
  document.addEventListener("drop", function (event) {
    const over = event.target.closest("[data-at]");
    if (!dragged || !over || over.parentElement !== dragged.parentElement) return;
    event.preventDefault();
    const path = dragged.parentElement.dataset.order + "." + dragged.dataset.at;
    htmx.ajax("POST", "/theme/move", {
      target: "#theme", swap: "outerHTML",
      values: { path: path, to: over.dataset.at, window: document.getElementById("window").value },
    });
    dragged = null;
  });
})();
