// A table without room is read row by row, each cell below the heading of its column; so is every
// one of more than three columns on a narrow screen. The roles keep it a table for a screen reader,
// which loses that with the layout of one.
"use strict";
(() => {
  const EMPTY = "–"; // what an empty cell holds
  const narrow = matchMedia("screen and (max-width: 47.9375em)");
  const give = (elements, role) => {
    for (const element of elements) element.setAttribute("role", role);
  };
  const stacks = [];
  for (const table of document.querySelectorAll(".md-typeset table:not([class])")) {
    const heads = [...table.querySelectorAll("thead th")];
    if (heads.length < 3 || table.tBodies.length === 0) continue;
    give([table], "table");
    give(table.querySelectorAll("thead, tbody"), "rowgroup");
    give(table.rows, "row");
    give(heads, "columnheader");
    for (const row of table.tBodies[0].rows) {
      give(row.cells, "cell");
      [...row.cells].forEach((cell, at) => {
        cell.dataset.label = heads[at] ? heads[at].textContent : "";
        cell.toggleAttribute("data-nothing", cell.textContent.trim() === EMPTY);
      });
    }
    stacks.push(() => {
      table.removeAttribute("data-stacked");
      // The theme puts a table that scrolls into a wrapper later; until then it scrolls itself.
      const room = table.closest(".md-typeset").clientWidth;
      const lacksRoom = table.scrollWidth > table.clientWidth || table.offsetWidth > room;
      table.toggleAttribute("data-stacked", lacksRoom || (narrow.matches && heads.length > 3));
    });
  }
  const all = () => stacks.forEach((stack) => stack());
  addEventListener("resize", all);
  document.fonts.ready.then(all); // its own letters may be wider
  all();
})();
