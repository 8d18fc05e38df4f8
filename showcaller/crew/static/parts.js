// Small parts of a page. No text of anybody's ever becomes markup.

export function el(tag, classes = "", ...children) {
  const made = document.createElement(tag);
  if (classes) made.className = classes;
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
  return made;
}

export function button(classes, text, act) {
  const made = el("button", classes, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

export function put(id, text) {
  const found = document.getElementById(id);
  if (found.textContent !== text) found.textContent = text;
  return found;
}

const PATHS = {
  circle: "M8 1a7 7 0 1 1 0 14A7 7 0 0 1 8 1z",
  square: "M2 2h12v12H2z",
  diamond: "M8 0l8 8-8 8-8-8z",
  triangle: "M8 1l8 14H0z",
  bar: "M1 5h14v6H1z",
  hexagon: "M4 1h8l4 7-4 7H4L0 8z",
  cross: "M5 0h6v5h5v6h-5v5H5v-5H0V5h5z",
  pentagon: "M8 0l8 6-3 10H3L0 6z",
  standby: "M1 1h14v14H1z",
  go: "M1 0l15 8-15 8z",
  tick: "M1 9l3-3 3 3 6-7 3 2-9 11z",
};

export function shape(name, classes = "") {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", `shape ${classes}`);
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", PATHS[name] ?? PATHS.circle);
  svg.append(path);
  return svg;
}
