// Says what is due: texts, and the elements that show them. What it says is judged elsewhere.
"use strict";
const dueShow = (() => {
  const find = (id) => document.getElementById(id);
  const page = JSON.parse(find("data").textContent);
  const { language, mark, words } = page;
  const said = (key, slots = {}) =>
    words[key].replace(/\{([a-z]+)\}/g, (_, slot) => slots[slot]);
  const make = (tag, { name = "", ...attributes } = {}, ...children) => {
    const element = document.createElement(tag);
    element.className = name;
    Object.assign(element, attributes);
    element.append(...children);
    return element;
  };
  const copied = (element) => [...element.childNodes].map((node) => node.cloneNode(true));
  const setText = (element, text) => {
    if (element.textContent !== text) element.textContent = text; // else it is read out again
  };

  // Hours and days as people read them. Due hours go down, an overrun goes up: never too late.
  const tenths = ([over, under], up) => {
    const whole = (over * 10n + (up ? under - 1n : 0n)) / under;
    return said("hours", { number: `${whole / 10n}${mark}${whole % 10n}` }).replace(" ", "\u00a0");
  };
  const written = ([over, under]) => {
    const seconds = (over * 3600n) / under;
    const two = (number) => String(number).padStart(2, "0");
    if (seconds % 36n) {
      return `${seconds / 3600n}:${two((seconds / 60n) % 60n)}:${two(seconds % 60n)}`;
    }
    const decimals = two((seconds / 36n) % 100n).replace(/0$/, "");
    return `${seconds / 3600n}${mark}${decimals}`;
  };
  // In English the day first, unless the manual is in American English; the month is a word.
  const spoken = new Intl.DateTimeFormat(language === "en" ? "en-GB" : language,
    { dateStyle: "long", timeZone: "UTC" });
  const dayText = (day) => spoken.format(day * 86400000).replaceAll(" ", "\u00a0");

  // Showing what is due. What is missing leads to where it is entered.
  const PLACES = { "hours-now": "hours", "date-now": "date", "date-new": "new-date",
    event: "questions", severe: "questions" };
  const asked = ({ task, found: { missing } }) => {
    if (missing.includes("wear")) return said("wear");
    const parts = missing.flatMap((key, at) => [at ? "; " : `${said("enter")} `,
      make("a", { href: `#${PLACES[key] ?? `work-${task.id}`}` }, said(`missing-${key}`))]);
    return make("span", {}, ...parts);
  };
  const verdict = (one) => {
    const { state, left } = one.found;
    if (state === "unknown") return asked(one);
    if (left === null) return state === "due" ? said("called") : "";
    if (state === "due") return said("today");
    const size = [left[0] < 0n ? -left[0] : left[0], left[1]];
    const isLate = left[0] < 0n;
    const amount = one.found.first.hours !== null ? tenths(size, isLate)
      : said(size[0] === 1n ? "day" : "days", { number: String(size[0]) });
    return said(!isLate ? "left" : state === "overdue" ? "over" : "over-allowed", { left: amount });
  };
  const whenDue = (found) => {
    const texts = found.points.map((point) => {
      const at = point.hours !== null ? said("at", { hours: tenths(point.hours, false) })
        : said("on", { day: dayText(point.on) });
      const why = [point.once && said("once"), point.assumed && said("assumed")].filter(Boolean);
      return why.length ? `${at} (${why.join(", ")})` : at;
    });
    return texts.join(said("or")) + (texts.length > 1 ? said("first") : "");
  };
  const chip = (state, text = said(state)) => make("span", { name: `state ${state}` }, text);
  const row = (one) => {
    const card = find(`work-${one.task.id}`);
    const link = make("a", { href: `#${card.id}` }, card.querySelector("h3").textContent);
    const isKnown = one.found.state !== "unknown";
    const lines = [verdict(one), isKnown && whenDue(one.found)].filter(Boolean);
    const interval = make("p", { name: "hint" }, ...copied(card.querySelector(".when")));
    return make("li", {}, link, ...lines.map((line) => make("p", {}, line)), interval);
  };
  const URGENT = [...due.PRESSING, "soon", "unknown"]; // what is read out
  const QUIET = ["later", "on-event", "done"]; // what need not be seen at once is folded
  const group = ([state, several]) => {
    const head = make("h3", {}, chip(state, counted([state, several])));
    const list = make("ul", {}, ...several.map(row));
    if (!QUIET.includes(state)) return [head, list];
    const isOpen = find(`group-${state}`)?.open ?? false;
    return [make("details", { id: `group-${state}`, open: isOpen }, make("summary", {}, head), list)];
  };
  const counted = ([state, several]) =>
    said("count", { state: said(state), number: String(several.length) });
  const showList = (judged, now) => {
    const isBegun = now.hours !== null || judged.some((one) => one.work.done || one.work.happened);
    const groups = due.STATES.map((state) => [state, judged.filter((one) =>
      one.found.state === state)]).filter(([, several]) => isBegun && several.length);
    find("list").replaceChildren(...groups.flatMap(group));
    const urgent = groups.filter(([state]) => URGENT.includes(state)).map(counted);
    setText(find("summary"), !isBegun ? said("start")
      : urgent.length ? `${urgent.join(". ")}.` : said("none"));
    setText(find("stamp"), isBegun && now.hours !== null && now.on !== null
      ? said("stamp", { machine: document.querySelector(".machine").textContent,
        hours: tenths(now.hours, false), day: dayText(now.on) }) : "");
  };
  // A link inside of the list leads to where something is entered, and opens it.
  find("list").addEventListener("click", (event) => {
    const address = event.target.closest("a")?.getAttribute("href") ?? "";
    if (!address.startsWith("#")) return;
    event.preventDefault();
    const place = find(address.slice(1));
    const details = place.querySelector(":scope > details");
    if (details && !details.hidden) details.open = true;
    place.scrollIntoView();
    place.focus({ preventScroll: true });
  });
  const showWork = (one) => {
    const { task, work, found } = one;
    const card = find(`work-${task.id}`);
    card.querySelector(".verdict").replaceChildren(chip(found.state));
    const details = card.querySelector("details");
    if (!details) return;
    const since = card.querySelector(".since");
    if (since) since.hidden = !work.isEvent;
    details.hidden = !card.querySelector(".field") && since.hidden;
    const done = [work.done?.hours && tenths(work.done.hours, false),
      work.done && work.done.on !== null && dayText(work.done.on)].filter(Boolean);
    setText(details.querySelector("summary"), work.never ? said("never")
      : done.length ? said("last", { what: done.join(", ") })
        : card.querySelector(".field") ? said("not-entered") : said("since"));
  };
  return { page, find, said, make, setText, written, dayText, showList, showWork };
})();
