// Looks a typed code, or the one in the address, up in the table of the page.
"use strict";
(() => {
  const find = (id) => document.getElementById(id);
  const form = find("check");
  const alphabet = form.dataset.alphabet;
  const length = Number(form.dataset.length);
  const isSound = (signs) => {
    if (signs.length !== length) return false;
    let sum = 0;
    for (let at = 0; at < length; at += 1) {
      const value = alphabet.indexOf(signs[at]);
      if (value < 0) return false;
      sum += (length - at) * value;
    }
    return sum % alphabet.length === 0;
  };
  const readAs = form.dataset.readAs.split(" ");
  const rows = new Map();
  for (const row of document.querySelectorAll("tr[data-code]")) {
    rows.set(row.dataset.code.replace("-", ""), row);
    row.removeAttribute("id"); // without script the address leads to the row, with it to the answer
  }
  const named = (card) => {
    const line = document.createElement("p");
    line.textContent = card;
    return line;
  };
  const check = () => {
    // A whole address is read as the code at its end.
    let signs = find("code").value.replace(/\S*\/\S*#/, "").replace(/[\s\-‐‑–—_.#]+/g, "").toUpperCase();
    for (const [typed, read] of readAs) signs = signs.replaceAll(typed, read);
    const row = rows.get(signs);
    const state = signs === "" ? "" : row ? "row" : isSound(signs) ? "never" : "mistyped";
    find("answer").className = row && !("urgent" in row.dataset) ? "calm" : "urgent";
    find("answer").replaceChildren(
      ...(row ? [named(row.cells[1].textContent), ...row.cells[2].cloneNode(true).childNodes]
        : state ? [...find(state).content.cloneNode(true).childNodes] : []));
    if (row) find("answer").lang = row.cells[2].lang;
    else find("answer").removeAttribute("lang");
  };
  const fromAddress = () => {
    if (location.hash.length < 2) return;
    try {
      find("code").value = decodeURIComponent(location.hash.slice(1));
    } catch {
      find("code").value = location.hash.slice(1);
    }
    check();
  };
  addEventListener("load", () => scrollTo(0, 0));
  form.hidden = false;
  form.addEventListener("submit", (event) => { event.preventDefault(); check(); });
  find("code").addEventListener("input", check);
  addEventListener("hashchange", fromAddress);
  fromAddress();
})();
