// The theme opens its menu and its search by labels that a keyboard does not reach on a phone, or
// on a laptop at a zoom of 400 %. It presses a label itself that has the focus, on Enter.
// Source: WCAG 2.2, 2.1.1 and 4.1.2.
"use strict";
(() => {
  const nameOf = (toggle) => {
    const named = toggle === "__drawer" ? "nav.md-nav--primary" : "input.md-search__input";
    return document.querySelector(named)?.getAttribute("aria-label") ?? "";
  };
  for (const label of document.querySelectorAll("label.md-header__button[for]")) {
    const toggle = document.getElementById(label.htmlFor);
    label.tabIndex = 0;
    label.setAttribute("role", "button");
    label.setAttribute("aria-label", nameOf(label.htmlFor));
    const tell = () => label.setAttribute("aria-expanded", String(toggle.checked));
    toggle.addEventListener("change", tell);
    tell();
    label.addEventListener("keydown", (event) => {
      if (event.key === " ") {
        event.preventDefault();
        label.click();
      }
    });
  }
})();
