// The page of the due calculator: reads what is entered, lets `due` judge it, shows what it says.
// The fields are the only state; they are kept in this browser and in files that the owner saves.
"use strict";
(() => {
  const { page, find, said, make, setText, written, dayText, showList, showWork } = dueShow;
  const { tasks } = page;
  const fields = [...document.querySelectorAll("[name]")].filter((one) => one.type !== "file");
  const field = (name) => fields.find((one) => one.name === name);
  const isTicked = (name) => field(name)?.checked ?? false;
  const today = () => {
    const now = new Date();
    return due.isoOf(Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / 86400000);
  };

  // Reading the fields. A field that cannot be read counts as empty, and says what is wrong.
  const settled = new Set(); // fields that were left: no one is told of half a number
  const faults = new Map();
  const read = (name, latest = null) => {
    const input = field(name);
    faults.delete(name);
    if (!input || input.disabled) return null;
    const isDate = input.dataset.kind === "date";
    if (isDate && latest !== null) input.max = due.isoOf(latest); // for who picks a day
    const text = input.value.trim();
    if (!text && !input.validity.badInput) return null;
    const value = isDate ? due.dayOf(text) : due.hoursOf(text);
    const fault = value === null ? "date" : typeof value === "string" ? value
      : latest === null ? null
        : isDate ? (value > latest ? "later-date" : null)
          : due.compare(value, latest) > 0 ? "later-hours" : null;
    if (fault) faults.set(name, fault);
    return fault ? null : value;
  };
  const readNow = () => {
    const [hours, on] = [read("hours"), read("date")];
    return { hours, on, newHours: read("new-hours", hours) ?? [0n, 1n],
      newOn: read("new-date", latestDay(on)) };
  };
  // Nothing was done after today, which the device knows where no one says it.
  const latestDay = (on) => on ?? due.dayOf(device);
  const readWork = (task, now) => {
    const { id } = task;
    const never = isTicked(`never:${id}`);
    for (const name of ["hours", "date", "hours-due", "date-due"]) {
      const input = field(`${name}:${id}`);
      if (input) input.disabled = never;
    }
    const done = {
      hours: read(`hours:${id}`, now.hours), on: read(`date:${id}`, latestDay(now.on)),
      due: read(`hours-due:${id}`, now.hours), dueOn: read(`date-due:${id}`, latestDay(now.on)),
    };
    // What was overrun cannot be taken off where it cannot be read.
    if (faults.has(`hours-due:${id}`)) done.hours = null;
    if (faults.has(`date-due:${id}`)) done.on = null;
    const isSaid = done.hours !== null || done.on !== null;
    const isEvent = task.events.some((key) => isTicked(`event:${key}`));
    const happened = isEvent && !isTicked(`since:${id}`);
    return { never, done: isSaid ? done : null, isEvent,
      happened: happened || (isTicked("nothing") ? false : null) };
  };
  const hardUse = (task) => {
    if (task.hardUse === null) return false;
    const chosen = fields.find((one) => one.name === `severe:${task.hardUse}` && one.checked);
    return chosen ? chosen.value === "yes" : null;
  };

  const showFaults = () => {
    for (const input of fields.filter((one) => one.dataset.kind)) {
      const fault = settled.has(input.name) ? faults.get(input.name) : undefined;
      input.setAttribute("aria-invalid", String(Boolean(fault)));
      setText(find(`${input.name}-fault`), fault ? said(`bad-${fault}`) : "");
      const folded = input.closest("details");
      if (fault && folded) folded.open = true; // what is wrong is seen
    }
  };
  const judgeAll = (now) => tasks.map((task) => {
    const work = readWork(task, now);
    return { task, work, found: due.judge(task, work, { ...now, severe: hardUse(task) }) };
  }).sort((a, b) => due.STATES.indexOf(a.found.state) - due.STATES.indexOf(b.found.state)
    || due.compare(a.found.left ?? [0n, 1n], b.found.left ?? [0n, 1n])
    || (a.task.id < b.task.id ? -1 : 1));
  const refresh = () => {
    const now = readNow();
    const judged = judgeAll(now);
    showList(judged, now);
    judged.forEach(showWork);
    showFaults();
    keep(now);
  };

  // Keeping what was entered. Hours, date and "nothing has happened" hold for a visit only.
  const PASSING = ["hours", "date", "nothing"];
  const KEY = `placardry/due/${page.book}/${page.machine}`;
  let last = null;
  const valueOf = (input) => (input.type === "checkbox" ? input.checked : input.value);
  const entered = (passing) => Object.fromEntries(fields
    .filter((one) => PASSING.includes(one.name) === passing)
    .filter((one) => (one.type === "radio" ? one.checked : valueOf(one)))
    .map((one) => [one.name, valueOf(one)]));
  const enter = (entries, passing) => {
    for (const input of fields.filter((one) => PASSING.includes(one.name) === passing)) {
      const value = Object.hasOwn(entries, input.name) ? entries[input.name] : "";
      if (input.type === "checkbox") input.checked = value === true;
      else if (input.type === "radio") input.checked = value === input.value;
      else input.value = String(value);
      if (input.dataset.kind) settled.add(input.name);
    }
  };
  const attempt = (act) => {
    try {
      act();
    } catch {
      setText(find("kept"), said("not-kept"));
    }
  };
  const stored = () => ({ page: "placardry-due", version: 1, book: page.book,
    machine: page.machine, last, entries: entered(false) });
  const keep = (now) => {
    if (now.hours !== null && now.on !== null) last = { hours: field("hours").value, on: now.on };
    attempt(() => localStorage.setItem(KEY, JSON.stringify(stored())));
    attempt(() => sessionStorage.setItem(KEY, JSON.stringify({ ...entered(true), today: today() })));
  };
  const recall = (from) => {
    try {
      return JSON.parse(from().getItem(KEY)) ?? {};
    } catch {
      return {}; // nothing can be kept, which `keep` says, or not by this page
    }
  };
  const isEntries = (one) => one?.page === "placardry-due" && one.version === 1
    && typeof one.entries === "object" && one.entries !== null;
  const take = (one) => {
    const isSound = typeof one.last?.hours === "string" && Math.abs(one.last.on) < 100000;
    last = isSound ? { hours: one.last.hours, on: Math.trunc(one.last.on) } : null;
    enter(one.entries, false);
    offerLast();
  };
  const offerLast = () => {
    const isOffered = last !== null && !field("hours").value;
    find("last").hidden = !isOffered;
    if (!isOffered) return;
    find("last").children[0].textContent =
      said("last-time", { hours: last.hours, day: dayText(last.on) });
    find("last").children[1].textContent = said("again", { hours: last.hours });
  };
  let device = today();
  const setDate = () => {
    device = today();
    field("date").value = device;
  };

  // What the owner does.
  const answersGoStale = (input) => {
    if (["hours", "date"].includes(input.name) && field("nothing")) field("nothing").checked = false;
    if (input.name.startsWith("event:") && input.checked) {
      const key = input.name.slice("event:".length);
      for (const task of tasks.filter((one) => one.events.includes(key))) {
        field(`since:${task.id}`).checked = false;
      }
    }
  };
  const doneNow = (task, card) => {
    const now = readNow();
    const own = fields.filter((one) => one.name.endsWith(`:${task.id}`) && card.contains(one));
    const lacks = [["hours", now.hours], ["date", now.on]].find(([name, value]) =>
      field(`${name}:${task.id}`) && value === null);
    if (lacks) {
      field(lacks[0]).focus();
      setText(find(`${lacks[0]}-fault`), `${said("enter")} ${said(`missing-${lacks[0]}-now`)}.`);
      return;
    }
    const before = own.map((one) => [one, valueOf(one)]);
    const { points } = due.judge(task, readWork(task, now), { ...now, severe: hardUse(task) });
    const late = points.filter((one) => !one.assumed && one.part !== "life");
    const hours = late.find((one) => one.hours && now.hours
      && due.compare(one.hours, now.hours) < 0);
    const day = late.find((one) => one.on !== null && one.on < now.on);
    const set = {
      hours: field("hours").value, date: field("date").value,
      "hours-due": hours ? written(hours.hours) : "", "date-due": day ? due.isoOf(day.on) : "",
    };
    for (const input of own) {
      const name = input.name.split(":")[0];
      if (input.type === "checkbox") input.checked = name === "since" && !input.closest("[hidden]");
      else input.value = set[name];
      settled.add(input.name);
    }
    const undo = card.querySelector(".undo");
    undo.hidden = false;
    undo.onclick = () => {
      for (const [input, value] of before) {
        input[input.type === "checkbox" ? "checked" : "value"] = value;
      }
      undo.hidden = true;
      card.querySelector(".finish").focus();
      refresh();
    };
    refresh();
  };
  const save = () => {
    const file = new Blob([JSON.stringify(stored(), null, 1)], { type: "application/json" });
    const link = make("a", { href: URL.createObjectURL(file), download: `${page.machine}-due.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  };
  const load = async (input) => {
    let found = null;
    try {
      found = JSON.parse(await input.files[0].text());
    } catch { /* told below, as any other file */ }
    input.value = "";
    const isOurs = isEntries(found);
    const isMine = isOurs && found.machine === page.machine && found.book === page.book;
    if (isMine) take(found);
    refresh();
    setText(find("told"), said(isMine ? "loaded" : isOurs ? "other-machine" : "not-loaded"));
  };
  const clear = (button) => {
    if (!button.dataset.sure) {
      button.dataset.sure = "yes";
      button.textContent = said("sure");
      return;
    }
    calm(button);
    last = null;
    enter({}, false);
    enter({}, true);
    settled.clear();
    setDate();
    for (const undo of document.querySelectorAll(".undo")) undo.hidden = true;
    refresh();
    offerLast();
    attempt(() => { localStorage.removeItem(KEY); sessionStorage.removeItem(KEY); });
    setText(find("told"), said("cleared"));
  };
  const calm = (button) => {
    delete button.dataset.sure;
    button.textContent = said("clear");
  };

  for (const form of document.forms) {
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", (event) => { answersGoStale(event.target); refresh(); });
    form.addEventListener("change", (event) => {
      settled.add(event.target.name);
      refresh();
      offerLast();
    });
  }
  for (const task of tasks) {
    const card = find(`work-${task.id}`);
    card.querySelector(".finish")?.addEventListener("click", () => doneNow(task, card));
  }
  find("last").children[1].addEventListener("click", () => {
    field("hours").value = last.hours;
    field("hours").focus();
    answersGoStale(field("hours"));
    refresh();
    offerLast();
  });
  find("print").addEventListener("click", () => print());
  addEventListener("beforeprint", () => {
    for (const folded of document.querySelectorAll("#list details")) folded.open = true;
  });
  find("save").addEventListener("click", save);
  find("load").addEventListener("change", (event) => load(event.target));
  find("clear").addEventListener("click", (event) => clear(event.currentTarget));
  find("clear").addEventListener("blur", (event) => calm(event.currentTarget));
  document.addEventListener("visibilitychange", () => {
    // A page left open over night: the day has changed, and so may have the counter.
    if (document.visibilityState !== "visible" || device === today()) return;
    enter({}, true);
    setDate();
    refresh();
    offerLast();
  });

  for (const part of ["now", "answer", "questions", "works-hint", "keep"]) find(part).hidden = false;
  setDate();
  const visit = recall(() => sessionStorage);
  if (visit.today === device) enter(visit, true);
  const kept = recall(() => localStorage);
  if (isEntries(kept)) take(kept);
  refresh();
  offerLast();
  find("script").hidden = true; // all has worked
})();
