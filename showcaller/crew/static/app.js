// The page: it is covered until it is proved to be live, and again as soon as it is not.

import { Checking } from "./checking.js";
import { Clearing } from "./clearing.js";
import { call, languages, nameOf, showChoice, showEntry } from "./door.js";
import { Line, clockMs } from "./line.js";
import { button, el, put, shape } from "./parts.js";
import { loadTexts, span, t } from "./texts.js";
import { View } from "./view.js";

const TICK_MS = 100;
const NOT_TAKEN_MS = 2000;
const SAID_FOR_MS = 6000;
const TABS = ["now", "checks", "sheet", "notes"];

const byId = (id) => document.getElementById(id);
const cover = byId("cover");
const page = byId("page");
const door = byId("door");
let secret = location.hash.slice(1);
let me = null;
let mode = "covered"; // covered, door, page, out
let tab = "now";
let sent = 0;
let last = "";
let awake = null;
let asleep = false;

const line = new Line(hear, look);
const view = new View(line);
const clearing = new Clearing(byId("clearances"), send, line);
const checking = new Checking(byId("checks"), send);

function look() {
  const live = mode === "page" && line.isLive();
  const covered = mode !== "door" && !live;
  if (cover.hidden === covered) {
    cover.hidden = !covered;
    page.inert = covered;
    document.documentElement.dataset.live = String(live);
    document.documentElement.dataset.changed = String(performance.now());
  }
  if (covered) showCover();
}

function showCover() {
  if (mode === "out") {
    put("cover-word", t("withdrawn"));
    put("cover-for", "");
    put("cover-why", t("withdrawn_why"));
    put("cover-last", "");
    put("cover-do", "");
    return;
  }
  const before = view.state !== null;
  put("cover-word", t(before ? "not_connected" : "connecting"));
  put("cover-for", before ? t("for_time", { time: span(clockMs() - line.lostAt) }) : "");
  put("cover-why", `${t("nothing_live")}${line.socket && line.believed === false && line.back > 0 ? ` ${t("engine_silent")}` : ""}`);
  put("cover-last", before && last ? `${t("last_heard")}: ${last}` : "");
  put("cover-do", t("trying"));
}

function hear(told) {
  switch (told.k) {
    case "state":
      view.show(told);
      clearing.show(told.clearances ?? []);
      if (checking.show(told.checks ?? [])) showTabs();
      remember(told);
      if (sent && told.lamp?.answered) sent = 0;
      showAnswer();
      break;
    case "sheet":
      view.showSheet(told);
      break;
    case "result":
      sent = 0;
      say(told.refused ? `${t("refused")}: ${told.refused}` : "");
      showAnswer();
      break;
    case "again":
      check();
      break;
    case "withdrawn":
      out();
      break;
  }
}

function remember(state) {
  const { lamp } = state;
  if (lamp?.shows === "standby") last = `${t("standby")} ${lamp.standby.join(", ")}${lamp.answered ? ` · ${t("answered")}` : ""}`;
  else if (lamp?.shows === "go") last = `${t("go")} ${lamp.went.join(", ")}`;
  else if (state.item) last = state.item.name;
}

function say(words) {
  put("said", words);
  clearTimeout(say.timer);
  if (words) say.timer = setTimeout(() => put("said", ""), SAID_FOR_MS);
}

function send(said) {
  if (!line.send(said)) {
    say(t("not_taken"));
    return;
  }
  sent = clockMs();
  say(t("sending"));
  showAnswer();
}

function showAnswer() {
  const answer = byId("answer");
  const lamp = view.state?.lamp;
  answer.hidden = !lamp;
  const waits = Boolean(lamp?.standby.length) && !lamp.answered;
  const words = waits ? t("answer") : lamp?.answered ? t("answered") : t("nothing_to_answer");
  const sign = waits ? "ready" : lamp?.answered ? "given" : "";
  if (answer.textContent !== words || answer.dataset.sign !== sign) {
    answer.replaceChildren(...(sign === "given" ? [shape("tick")] : []), words);
    answer.dataset.sign = sign;
    answer.className = `answer ${sign}`;
  }
  answer.disabled = !waits || Boolean(sent);
}

function showTabs() {
  const shown = TABS.filter((name) => name !== "checks" || checking.rows.length);
  if (!shown.includes(tab)) tab = "now";
  byId("checks").classList.remove("front");
  page.classList.toggle("ticking", tab === "checks");
  const made = shown.map((name) => {
    const words = name === "checks" && checking.left ? `${t("tab_checks")} ${checking.left}` : t(`tab_${name}`);
    const one = button(name === "checks" && checking.due ? "tab due" : "tab", words, () => {
      tab = name;
      showTabs();
      if (name === "sheet") view.toItem();
    });
    one.setAttribute("role", "tab");
    one.id = `tab-${name}`;
    one.setAttribute("aria-controls", name);
    one.setAttribute("aria-selected", String(tab === name));
    byId(name).setAttribute("aria-labelledby", one.id);
    byId(name).classList.toggle("front", tab === name);
    return one;
  });
  byId("tabs").replaceChildren(...made);
}

function showHead() {
  const one = me.positions.find((p) => p.key === me.position);
  const sign = one?.shape ? [shape(one.shape, `hue-${one.hue}`)] : [];
  byId("who").replaceChildren(...sign, `${one ? nameOf(one) : ""}${me.name ? ` · ${me.name}` : ""}`);
  document.title = `${one ? `${nameOf(one)} · ` : ""}showcaller`;
  const other = me.fixed ? "" : button("quiet", t("other_position"), () => choosePosition());
  const leave = button("quiet", t("leave"), async () => {
    await call("leave", {}).catch(() => null);
    location.reload();
  });
  byId("foot").replaceChildren(asleep ? el("p", "quiet small", t("keep_awake")) : "", el("div", "row", languages(relabel), other, leave));
}

function relabel() {
  showHead();
  showTabs();
  clearing.again();
  byId("lamp").dataset.light = "";
  if (view.state) {
    view.show(view.state);
    clearing.show(view.state.clearances ?? []);
    checking.again(view.state.checks ?? []);
    showTabs();
  }
  view.showSheet();
  byId("answer").dataset.sign = "?";
  showAnswer();
}

function enterPage() {
  mode = "page";
  door.hidden = true;
  door.replaceChildren(); // the PIN that was typed with it
  page.hidden = false;
  view.state = null;
  const screen = ["w:", "g:", "t:"].includes(me.position);
  byId("wings").hidden = !screen || me.position === "g:";
  byId("gallery").hidden = me.position !== "g:";
  page.classList.toggle("for-wings", screen);
  page.classList.toggle("for-clock", me.position === "t:");
  relabel();
  line.start();
  look();
  keepAwake();
}

function choosePosition() {
  line.stop();
  mode = "door";
  page.hidden = true;
  door.hidden = false;
  showChoice(door, { ...me }, (found) => begin(found), () => check());
  look();
}

function begin(found) {
  me = found;
  history.replaceState(null, "", location.pathname); // the link's secret is not for the address bar
  if (me.position && me.positions.some((p) => p.key === me.position)) enterPage();
  else {
    choosePosition();
    if (!me.positions.length) setTimeout(check, 2000);
  }
}

function entry() {
  line.stop();
  mode = "door";
  page.hidden = true;
  door.hidden = false;
  showEntry(door, secret, begin);
  look();
}

function out() {
  line.stop();
  mode = "out";
  look();
}

// Is this page still let in? While it cannot be asked it stays covered.
async function check() {
  try {
    const answer = await call("me");
    if (answer.status === 401) {
      if (mode === "page") out();
      else if (mode !== "out") entry();
    } else if (answer.ok && mode !== "page") begin(await answer.json());
  } catch {
    if (mode === "covered") setTimeout(check, 1000);
  }
}

async function keepAwake() {
  if (!navigator.wakeLock || document.hidden || (awake && !awake.released)) {
    asleep = !navigator.wakeLock;
    return;
  }
  try {
    awake = await navigator.wakeLock.request("screen");
    asleep = false;
  } catch {
    asleep = true; // a low battery may forbid it
  }
  if (mode === "page") showHead();
}

function tick() {
  if (mode === "page") {
    if (line.isLive()) {
      view.tick();
      clearing.tick();
    }
    if (sent && clockMs() - sent > NOT_TAKEN_MS) {
      sent = 0;
      say(t("not_taken"));
      showAnswer();
    }
  }
  look();
}

async function start() {
  try {
    await loadTexts();
  } catch {
    setTimeout(start, 1000);
    return;
  }
  byId("answer").addEventListener("click", () => send({ k: "standing by" }));
  document.addEventListener("visibilitychange", () => mode === "page" && keepAwake());
  window.addEventListener("hashchange", () => location.reload()); // another code was scanned
  window.addEventListener("error", () => line.doubt());
  setInterval(tick, TICK_MS);
  showCover();
  if (secret) {
    const answer = await call("me").catch(() => null);
    if (answer?.ok) begin(await answer.json());
    else if (answer) entry();
    else check();
  } else check();
}

start();
