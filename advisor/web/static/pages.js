// What is better with a little script. Every page works without it.
"use strict";

// One press sends one form. The server takes no answer twice in any case; this only spares a message.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  form.setAttribute("aria-busy", "true");
});
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form")) delete form.dataset.sent;
});

// On a keyboard a figure presses the answer of that number.
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
  if (!/^[1-9]$/.test(event.key)) return;
  document.querySelector(`.answers button.answer[name=say][value="${event.key}"]`)?.click();
});

// Whether somebody has answered elsewhere, asked now and then while the page is seen.
const elsewhere = document.getElementById("elsewhere");
if (elsewhere) {
  const ask = async () => {
    if (document.hidden) return;
    try {
      const answer = await fetch(`/session/${elsewhere.dataset.session}/events`);
      if (answer.ok) elsewhere.hidden = (await answer.json()).events <= Number(elsewhere.dataset.events);
    } catch {
      // The server is away for a moment; a press of a button would say so.
    }
  };
  setInterval(ask, 10000);
  document.addEventListener("visibilitychange", ask);
}

// Readings as they come: the part of the page that moves, twice a second while the page is seen.
const live = document.getElementById("live");
if (live) {
  const made = live.firstElementChild.dataset.page;
  const types = () => [...document.querySelectorAll("input:not([type=hidden])")].some((one) => one.value !== one.defaultValue);
  let asking = false;
  const look = async () => {
    if (document.hidden || asking) return;
    asking = true;
    try {
      const answer = await fetch(live.dataset.path);
      if (!answer.ok) return;
      const box = document.createElement("div");
      box.innerHTML = await answer.text();
      if (box.firstElementChild.dataset.page === made) live.replaceChildren(...box.childNodes);
      else if (types()) document.getElementById("newer").hidden = false;
      else location.reload();
    } catch {
      // The server is away for a moment.
    } finally {
      asking = false;
    }
  };
  setInterval(look, 500);
}
