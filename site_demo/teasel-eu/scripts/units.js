const UNITS = {"label": "Units", "choices": [{"name": "°C · °F", "said": "Figures are shown in all units.", "side": "", "symbols": []}, {"name": "°C, bar(g) …", "said": "Figures are shown in °C, bar(g), L, L/h, mL, km/h, m, mm, cm, N·m, kg.", "side": "own", "symbols": ["degC", "bar(g)", "L", "L/h", "mL", "km/h", "m", "mm", "cm", "N*m", "kg"]}, {"name": "°F, psi(g) …", "said": "Figures are shown in °F, psi(g), US gal, US gal/h, US fl oz, mph, ft, in, lbf·ft, lb.", "side": "other", "symbols": ["degF", "psi(g)", "US gal", "US gal/h", "US fl oz", "mph", "ft", "in", "lbf*ft", "lb"]}]};
// Hides the units that a reader does not want; never what stands in one unit alone. The choices
// are given by `UNITS`, which stands before this. Without this script all units are shown.
"use strict";
(() => {
  const KEY = "placardry.units"; // holds the units chosen: the same in every manual of the site
  const root = document.documentElement;
  const select = document.createElement("select");
  const told = document.createElement("span");

  const kept = () => {
    try {
      return (localStorage.getItem(KEY) || "").split(",");
    } catch {
      return []; // a browser may keep nothing for pages from disk
    }
  };
  const keep = (symbols) => {
    try {
      localStorage.setItem(KEY, symbols.join(","));
    } catch {
      // the choice then holds for this page
    }
  };
  const show = (one) => {
    if (one.side) root.dataset.units = one.side;
    else delete root.dataset.units;
    select.value = one.side;
  };
  // What was chosen in another manual may be the other side here.
  const resume = () => {
    const wanted = kept();
    const common = (one) => one.symbols.filter((symbol) => wanted.includes(symbol)).length;
    show(UNITS.choices.reduce((best, one) => (common(one) > common(best) ? one : best)));
  };

  for (const one of UNITS.choices) select.add(new Option(one.name, one.side));
  select.className = "unit-choice";
  select.setAttribute("aria-label", UNITS.label);
  select.addEventListener("change", () => {
    const one = UNITS.choices[select.selectedIndex];
    show(one);
    keep(one.symbols);
    told.textContent = one.said;
  });
  told.className = "unit-told";
  told.setAttribute("role", "status");
  resume();
  window.addEventListener("storage", resume);
  window.addEventListener("pageshow", (event) => { if (event.persisted) resume(); });
  document.querySelector(".md-header__title")?.after(select, told);
})();
