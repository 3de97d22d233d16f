// What WCAG asks of a page as it stands in the window; each function gives what fails.
window.measure = (() => {
  const channels = (text) => {
    const found = text.match(/[\d.]+/g).map(Number);
    return { rgb: found.slice(0, 3), alpha: found.length > 3 ? found[3] : 1 };
  };
  const luminance = (rgb) => {
    const [r, g, b] = rgb.map((one) => {
      const part = one / 255;
      return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const over = (top, alpha, below) => top.map((one, at) => one * alpha + below[at] * (1 - alpha));
  const ground = (element) => {
    const layers = [];
    for (let here = element; here; here = here.parentElement) {
      const { rgb, alpha } = channels(getComputedStyle(here).backgroundColor);
      if (alpha > 0) layers.push([rgb, alpha]);
      if (alpha === 1) break;
    }
    return layers.reverse().reduce((below, [rgb, alpha]) => over(rgb, alpha, below), [255, 255, 255]);
  };
  const ratio = (one, other) => {
    const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (light + 0.05) / (dark + 0.05);
  };
  const isSeen = (element) => element.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true })
    && element.getClientRects().length > 0;
  const isInWindow = (element) => {
    const box = element.getBoundingClientRect();
    return box.right > 0 && box.bottom > 0 && box.left < innerWidth && box.top < innerHeight;
  };
  const named = (element) => `${element.tagName.toLowerCase()} "${(element.textContent || "").trim().slice(0, 40)}"`;

  // 1.4.3: text stands out by 4.5 to 1, large text by 3 to 1.
  const contrast = () => {
    const failing = new Set();
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    let seen = 0;
    while (walker.nextNode()) {
      const element = walker.currentNode.parentElement;
      if (!walker.currentNode.data.trim() || !isSeen(element) || element.closest("script, style, svg")) continue;
      const style = getComputedStyle(element);
      const back = ground(element);
      const { rgb, alpha } = channels(style.color);
      const size = parseFloat(style.fontSize);
      const isLarge = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
      const found = ratio(over(rgb, alpha, back), back);
      seen += 1;
      if (found < (isLarge ? 3 : 4.5)) failing.add(`${named(element)} ${found.toFixed(2)}`);
    }
    return { seen, failing: [...failing] };
  };

  // 1.4.3 and 1.4.11: what is written in a strip stands out by 4.5 to 1, its outlines by 3 to 1.
  const strips = () => {
    const failing = [];
    const drawn = [...document.querySelectorAll(".gauge svg *")].filter(isSeen);
    for (const element of drawn) {
      const style = getComputedStyle(element);
      const back = ground(element.closest("figure"));
      const isText = element.tagName === "text";
      if (!isText && !element.matches(".green, .yellow, .avoid, .limit, .track")) continue;
      const paint = isText ? style.fill : style.stroke;
      const found = ratio(channels(paint).rgb, back);
      if (found < (isText ? 4.5 : 3)) failing.push(`${named(element)} ${element.classList} ${found.toFixed(2)}`);
    }
    return failing;
  };

  // Where a date or a card code begins on one line and ends on another.
  const broken = () => {
    const failing = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    let seen = 0;
    while (walker.nextNode()) {
      const node = walker.currentNode;
      if (!isSeen(node.parentElement) || node.parentElement.closest("script, style, option")) continue;
      for (const found of node.data.matchAll(/\d{4}-\d\d-\d\d|\b[0-9A-Z]{4}-[0-9A-Z]{4}\b/g)) {
        const range = document.createRange();
        range.setStart(node, found.index);
        range.setEnd(node, found.index + found[0].length);
        seen += 1;
        if (new Set([...range.getClientRects()].map((box) => box.top)).size > 1) failing.push(found[0]);
      }
    }
    return { seen, failing };
  };

  // 2.4.7 and 1.4.11: what has the focus is outlined, and the outline stands out by 3 to 1.
  const focus = () => {
    const element = document.activeElement;
    if (!element || element === document.body) return null;
    const style = getComputedStyle(element);
    const back = ground(element.parentElement);
    const width = style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth);
    return {
      what: named(element), isSeen: isSeen(element) && isInWindow(element), width,
      ratio: ratio(channels(style.outlineColor).rgb, back),
    };
  };

  // 2.5.8: a target is 24 pixels wide and high, stands in a sentence, or has room around it.
  const targets = () => {
    const all = [...document.querySelectorAll("a[href], button, select, summary, input:not([type=hidden]), label[for]")]
      .filter((one) => isSeen(one) && getComputedStyle(one).pointerEvents !== "none");
    const boxes = all.map((one) => one.getBoundingClientRect());
    const isSmall = (box) => box.width < 24 || box.height < 24;
    const isInSentence = (one) => {
      const block = one.closest("p, li, td, th, dd, figcaption, text, svg, h1, h2, h3");
      return block !== null && getComputedStyle(one).display.startsWith("inline")
        && block.textContent.trim() !== one.textContent.trim();
    };
    const apart = (box, other) => {
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      if (isSmall(other)) return Math.hypot(x - other.x - other.width / 2, y - other.y - other.height / 2) >= 24;
      const dx = Math.max(other.left - x, 0, x - other.right);
      const dy = Math.max(other.top - y, 0, y - other.bottom);
      return Math.hypot(dx, dy) >= 12;
    };
    return {
      seen: all.length,
      failing: all.filter((one, at) => isSmall(boxes[at]) && !isInSentence(one)
        && boxes.some((box, other) => other !== at && !all[other].contains(one) && !one.contains(all[other])
          && !apart(boxes[at], box)))
        .map((one) => `${named(one)} ${one.getBoundingClientRect().width.toFixed(0)}x${one.getBoundingClientRect().height.toFixed(0)}`),
    };
  };

  // 1.3.1 and 2.4.6: one main part, one first heading, no level left out, tables with headings.
  const structure = () => {
    const failing = [];
    const one = (selector, what) => {
      const count = document.querySelectorAll(selector).length;
      if (count !== 1) failing.push(`${count} ${what}`);
    };
    one("main", "main parts");
    one("h1", "first headings");
    let level = 0;
    for (const heading of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
      const own = Number(heading.tagName[1]);
      if (own > level + 1) failing.push(`${named(heading)} after level ${level}`);
      level = own;
    }
    for (const table of document.querySelectorAll("table")) {
      if (!table.querySelector("th")) failing.push(`table without headings: ${named(table)}`);
    }
    for (const picture of document.querySelectorAll("img")) {
      if (!picture.alt.trim()) failing.push(`picture without words: ${picture.src}`);
    }
    for (const field of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
      const label = field.labels && field.labels.length ? field.labels[0].textContent.trim() : "";
      if (isSeen(field) && !label && !field.getAttribute("aria-label")) failing.push(`unnamed ${field.outerHTML.slice(0, 80)}`);
    }
    const names = [...document.querySelectorAll("nav, [role=navigation]")].filter(isSeen)
      .map((nav) => nav.getAttribute("aria-label")
        || document.getElementById(nav.getAttribute("aria-labelledby"))?.textContent.trim() || "");
    if (names.length > 1 && names.some((name) => !name)) failing.push(`navigation without a name among ${names.length}`);
    if (!document.documentElement.lang) failing.push("no language");
    if (!document.title.trim()) failing.push("no title");
    return failing;
  };

  // 1.4.10: nothing but a drawing is to be moved sideways.
  const sideways = () => {
    const failing = [];
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth > width) failing.push(`page ${document.documentElement.scrollWidth}`);
    for (const element of document.querySelectorAll("main *")) {
      const scrolls = ["auto", "scroll"].includes(getComputedStyle(element).overflowX);
      if (scrolls && isSeen(element) && element.scrollWidth > element.clientWidth + 1) {
        failing.push(`${named(element)} ${element.scrollWidth} in ${element.clientWidth}`);
      }
    }
    return failing;
  };

  return { contrast, strips, broken, focus, targets, structure, sideways };
})();
