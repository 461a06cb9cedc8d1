// Put what the server sends into the page: it was escaped by the templates.
"use strict";
(() => {
  const live = document.getElementById("live");
  const link = document.getElementById("link");
  const lines = document.getElementById("lines");
  const most = 100;
  const source = new EventSource(live.dataset.events);
  const put = (place, html) => {
    const holder = document.createElement("template");
    holder.innerHTML = html;
    place(holder.content);
  };
  source.addEventListener("open", () => { link.textContent = link.dataset.follows; });
  source.addEventListener("error", () => { link.textContent = link.dataset.lost; });
  source.addEventListener("line", (event) => {
    document.getElementById("none").hidden = true;
    put((content) => lines.prepend(content), event.data);
    while (lines.childElementCount > most) lines.lastElementChild.remove();
  });
  source.addEventListener("now", (event) => {
    put((content) => document.getElementById("now").replaceChildren(content), event.data);
  });
  source.addEventListener("over", () => {
    source.close();
    link.textContent = link.dataset.over;
    document.getElementById("record").hidden = false;
  });
  source.addEventListener("failed", (event) => {
    source.close();
    link.textContent = event.data;
  });
})();
