// The page's texts, in the language of the browser or the one that was chosen.

let all = { en: {} };
let language = "en";

export const NAMES = { en: "English", de: "Deutsch", fr: "Français", es: "Español" };

function kept() {
  try {
    return localStorage.getItem("language");
  } catch {
    return null; // storage may be switched off
  }
}

export async function loadTexts() {
  const answer = await fetch("texts");
  const found = await answer.json();
  all = found.texts;
  choose(kept() in all ? kept() : found.language);
}

export function choose(name, keep = false) {
  language = name;
  document.documentElement.lang = name;
  if (!keep) return;
  try {
    localStorage.setItem("language", name);
  } catch {
    // it is chosen for as long as the page is open
  }
}

export const chosen = () => language;

export function t(key, values = {}) {
  const text = all[language][key] ?? key;
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
}

const two = (n) => String(n).padStart(2, "0");

// 0:42, 1:02:07; whole seconds, rounded down.
export function span(ms) {
  const s = Math.floor(Math.abs(ms) / 1000);
  const h = Math.floor(s / 3600);
  const m = Math.floor(s / 60) % 60;
  return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}

// What is left of a countdown: rounded up, so that 0:01 is shown until it is over.
export const left = (ms) => span(Math.ceil(ms / 1000) * 1000);

// The time of day at the venue; where the show names no zone, or the browser does not know it, this device's own.
const clocks = new Map();

function clockOf(zone) {
  if (!clocks.has(zone)) {
    const parts = { hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23" };
    try {
      clocks.set(zone, new Intl.DateTimeFormat("en-GB", { ...parts, timeZone: zone || undefined }));
    } catch {
      clocks.set(zone, new Intl.DateTimeFormat("en-GB", parts));
    }
  }
  return clocks.get(zone);
}

export function dayTime(ms, zone) {
  return clockOf(zone).format(ms);
}

export function number(value) {
  return new Intl.NumberFormat(language, { maximumFractionDigits: 2 }).format(value);
}
