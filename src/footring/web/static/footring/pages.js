"use strict";
// What a page cannot do without: errors of a partial page are shown where they happened, and focus follows what changed.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.status >= 400) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});
