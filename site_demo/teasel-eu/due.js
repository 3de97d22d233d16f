// What is due: the arithmetic of `placardry due` (due.py, due_points.py), on the figures that the
// page states. Hours are exact fractions, days are counted from 1970-01-01. Knows no page.
"use strict";
const due = (() => {
  const STATES = ["overdue", "in-tolerance", "due", "soon", "unknown", "every-time", "later",
    "on-event", "done"];
  const PRESSING = STATES.slice(0, 3);
  const SOON = 10n; // due soon: one part in so many of the interval is left, or less

  // Exact fractions: a pair of numerator and denominator, the second above zero.
  const whole = (number) => [BigInt(number), 1n];
  const fraction = (text) => {
    const [over, under = "1"] = text.split("/");
    return [BigInt(over), BigInt(under)];
  };
  const plus = (a, b) => [a[0] * b[1] + b[0] * a[1], a[1] * b[1]];
  const minus = (a, b) => plus(a, [-b[0], b[1]]);
  const compare = (a, b) => {
    const apart = a[0] * b[1] - b[0] * a[1];
    return apart < 0n ? -1 : apart > 0n ? 1 : 0;
  };
  const least = (a, b) => (compare(a, b) <= 0 ? a : b);

  // Days, and months that have their own length.
  const DAY = 86400000;
  const isoOf = (day) => new Date(day * DAY).toISOString().slice(0, 10);
  const dayOf = (text) => {
    if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return null;
    const [year, month, date] = text.split("-").map(Number);
    const day = Date.UTC(year, month - 1, date) / DAY;
    return year >= 1900 && isoOf(day) === text ? day : null;
  };
  const nextDay = (start, months, toTheEnd) => {
    const from = new Date(start * DAY);
    const [year, month] = [from.getUTCFullYear(), from.getUTCMonth() + months];
    const last = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
    return Date.UTC(year, month, toTheEnd ? last : Math.min(from.getUTCDate(), last)) / DAY;
  };

  // A counter as people write it: 25.5, 25,5, 25:30 or 25:30:00; else the word for what is wrong.
  const hoursOf = (text) => {
    const plain = text.replace(/\s+/g, " ").trim().replace(/ ?h$/i, "");
    const clock = /^(\d{1,6}):([0-5]\d)(?::([0-5]\d))?$/.exec(plain);
    if (clock) {
      const [hours, minutes, seconds] = clock.slice(1).map((one) => BigInt(one ?? 0));
      return [hours * 3600n + minutes * 60n + seconds, 3600n];
    }
    const number = /^(\d{1,6})(?:[.,](\d{1,2}))?$/.exec(plain);
    if (number) {
      const decimals = number[2] ?? "";
      return [BigInt(number[1] + decimals), 10n ** BigInt(decimals.length)];
    }
    if (/^[-−–] ?\d/.test(plain)) return "negative";
    return /^\d+(?:[., '’]\d{3,})+$/.test(plain) ? "ambiguous" : "hours";
  };

  // Figures as the page states them: {exact: "25/1", unit: "h"}.
  const MONTHS = { month: 1n, year: 12n };
  const isDated = (figure) => figure.unit in MONTHS;
  const monthsOf = (figure) => {
    const [over, under] = fraction(figure.exact);
    return Number((over * MONTHS[figure.unit]) / under);
  };
  const isOnce = (series) => series.points.length === 1 && series.every === null;

  // Where the intervals fall due, as in due_points.py; a word is what is not known.
  const fallsAt = (task, part, series, work, now) => {
    const deducted = task.deducted && part !== "life";
    const { hours = null, due: wasDue = null } = work.done ?? {};
    const done = hours === null ? null
      : minus(deducted && wasDue ? least(hours, wasDue) : hours, now.newHours);
    const points = series.points.filter((one) => !done || compare(fraction(one.exact), done) > 0);
    const isAhead = points.length > 0 && (!done || !isOnce(series));
    if (!isAhead && series.every === null) return null;
    const interval = isAhead ? points[0] : series.every;
    const length = fraction(interval.exact);
    const at = isAhead || !done ? length : plus(done, length);
    return { part, once: isAhead, assumed: !done && !work.never, length,
      hours: plus(at, now.newHours), on: null };
  };
  const fallsOn = (task, part, series, work, now) => {
    const { on: last = null, dueOn = null } = work.done ?? {};
    if (now.newOn === null && (last === null || series.points.length)) {
      return last === null && !work.never ? "date-done" : "date-new";
    }
    if (last !== null && isOnce(series)) return null;
    const point = (start, interval, once) => {
      const on = nextDay(start, monthsOf(interval), task.endOfMonth && part === "calendar");
      return { part, once, assumed: last === null && !work.never, length: whole(on - start),
        hours: null, on };
    };
    const ahead = series.points.map((one) => point(now.newOn, one, true))
      .filter((one) => last === null || one.on > last);
    if (ahead.length || series.every === null) return ahead[0] ?? null;
    const deducted = task.deducted && part !== "life" && dueOn !== null;
    return point(last === null ? now.newOn : deducted ? Math.min(last, dueOn) : last,
      series.every, false);
  };
  const falls = (task, work, now) => {
    const hard = now.severe ? task.severe : null;
    const several = [
      ["hours", [task.hours, hard && hard.hours]],
      ["calendar", [task.calendar, hard && hard.calendar]],
      ["life", [task.life && { points: [], every: task.life }]],
    ];
    const [points, missing] = [[], []];
    for (const [part, intervals] of several) {
      const found = intervals.filter(Boolean).map((series) =>
        (isDated(series.every ?? series.points[0]) ? fallsOn : fallsAt)(
          task, part, series, work, now));
      missing.push(...found.filter((one) => typeof one === "string"));
      points.push(...found.filter((one) => one !== null && typeof one === "object")
        .sort((a, b) => (a.hours ? compare(a.hours, b.hours) : a.on - b.on)).slice(0, 1));
    }
    return { points, missing };
  };

  // What is said of them, as in due.py.
  const leftOf = (point, now) => {
    if (point.hours !== null) return now.hours === null ? null : minus(point.hours, now.hours);
    return now.on === null ? null : whole(point.on - now.on);
  };
  const stateOf = (task, point, left) => {
    if (left[0] > 0n) {
      return compare([left[0] * SOON, left[1]], point.length) <= 0 ? "soon" : "later";
    }
    if (left[0] === 0n) return "due";
    if (task.tolerance === null || point.part === "life") return "overdue";
    let allowed = null;
    if (!isDated(task.tolerance)) allowed = point.hours && fraction(task.tolerance.exact);
    else if (point.on !== null) {
      allowed = whole(nextDay(point.on, monthsOf(task.tolerance), false) - point.on);
    }
    return allowed && compare([-left[0], left[1]], allowed) <= 0 ? "in-tolerance" : "overdue";
  };
  const judgeOnce = (task, work, now) => {
    const { points, missing } = falls(task, work, now);
    const known = [];
    for (const point of points) {
      const left = leftOf(point, now);
      const state = left && stateOf(task, point, left);
      const byHours = point.hours !== null;
      if (left === null) missing.push(byHours ? "hours-now" : "date-now");
      else if (point.assumed && PRESSING.includes(state)) {
        missing.push(byHours ? "hours-done" : "date-done");
      } else known.push({ state, left, point });
    }
    const rank = (one) => STATES.indexOf(one.state);
    known.sort((a, b) => rank(a) - rank(b) || compare(a.left, b.left));
    const state = known.length ? known[0].state : task.each ? "every-time"
      : task.after ? "on-event" : task.hours || task.calendar || task.life ? "done" : "unknown";
    const said = { state, points, first: null, left: null, missing: [] };
    if (!PRESSING.includes(state)) {
      if (task.after && work.happened) return { ...said, state: "due" };
      if (task.after && work.happened === null) missing.push("event");
      if (state === "unknown" && !missing.length) missing.push("wear");
      if (missing.length) return { ...said, state: "unknown", missing: [...new Set(missing)] };
    }
    return known.length ? { ...said, first: known[0].point, left: known[0].left } : said;
  };

  // task: as the page states it. work: {done: null or {hours, on, due, dueOn}, never, happened}.
  // now: {hours, on, newHours, newOn, severe}; null for what was not said.
  const judge = (task, work, now) => {
    if (task.severe === null || now.severe !== null) return judgeOnce(task, work, now);
    const [hard, usual] = [true, false].map((severe) => judgeOnce(task, work, { ...now, severe }));
    if (PRESSING.includes(usual.state)) return usual;
    if (!PRESSING.includes(hard.state)) return hard;
    return { ...usual, state: "unknown", first: null, left: null,
      missing: [...usual.missing, "severe"] };
  };
  return { STATES, PRESSING, judge, hoursOf, dayOf, isoOf, nextDay, compare, fraction };
})();
