// What the page shows of a state. Instants are counted down here, by the run's clock as the line knows it.

import { el, put, shape } from "./parts.js";
import { dayTime, left, span, t } from "./texts.js";

export class View {
  constructor(line) {
    this.line = line;
    this.state = null;
    this.sheet = null;
    this.counting = [];
  }

  // ms from now until an instant of the state.
  until(at) {
    if (this.state.frozen) return at;
    const now = this.line.runMs();
    return now === null ? at : (at - now) / (this.line.clock.speed || 1);
  }

  show(state) {
    this.state = state;
    this.counting = [];
    this.showNow();
    this.showNotes();
    this.showGallery();
    this.tick();
  }

  // Ten times a second: what changes with time alone.
  tick() {
    const state = this.state;
    if (!state) return;
    const wall = this.line.wallMs();
    put("wall", wall === null ? "" : dayTime(wall, this.state.zone));
    this.showBanner();
    this.showLamp();
    this.showWings();
    for (const count of this.counting) count();
  }

  showBanner() {
    const { phase, held } = this.state;
    const now = this.line.runMs();
    let words = "";
    if (phase === "none" || phase === "idle") words = `${t("no_show")}. ${t("no_show_why")}`;
    else if (phase === "ended") words = t("ended");
    else if (held) words = `${t("held")} ${now === null ? "" : span(now - held.since)}${held.reason ? ` · ${held.reason}` : ""}`;
    const banner = put("banner", words);
    banner.hidden = !words;
    banner.classList.toggle("held", Boolean(held));
  }

  // Which light is on: a go goes out by itself when its time is over.
  light() {
    const lamp = this.state.lamp;
    if (!lamp) return "off";
    if (lamp.shows === "go") {
      const now = this.line.runMs();
      if (now === null || now < lamp.until) return "go";
      return lamp.standby.length ? "standby" : "off";
    }
    return lamp.shows;
  }

  showLamp() {
    const box = document.getElementById("lamp");
    const { lamp, next } = this.state;
    const light = this.light();
    if (box.dataset.light !== light) {
      box.dataset.light = light;
      box.className = `lamp ${light}`;
      const word = document.getElementById("lamp-word");
      word.replaceChildren(...(light === "off" ? [] : [shape(light), t(light)]));
    } else if (light !== "off" && !document.getElementById("lamp-word").textContent.endsWith(t(light))) {
      document.getElementById("lamp-word").replaceChildren(shape(light), t(light));
    }
    const first = next?.[0];
    if (light === "go") {
      put("lamp-cue", lamp.went.join(", "));
      put("lamp-does", lamp.shows === "go" ? lamp.does : "");
      put("lamp-when", "");
    } else if (light === "standby") {
      put("lamp-cue", lamp.standby.join(", "));
      put("lamp-does", lamp.shows === "standby" ? lamp.does : "");
      const row = next.find((one) => lamp.standby.includes(one.name));
      put("lamp-when", row ? this.when(row) : "");
    } else if (first) {
      const [ms, key] = this.toCome(first);
      const soon = ms !== null && ms > 0;
      put("lamp-cue", soon ? left(ms) : first.name);
      put("lamp-when", soon ? t(key) : this.when(first));
      put("lamp-does", soon ? `${first.name} · ${first.does}` : first.does);
    } else {
      const open = this.state.phase === "running" || this.state.phase === "held";
      put("lamp-cue", open ? t("nothing_ahead") : "");
      put("lamp-does", "");
      put("lamp-when", "");
    }
    box.classList.toggle("small", !lamp);
    box.classList.toggle("counts", light === "off" && Boolean(first));
  }

  // To the next thing asked of this position: ms (null where it cannot be told), and its words.
  toCome(row) {
    if (row.how === "automatic") return [row.firm ? this.until(row.at) : null, "next_automatic"];
    if (row.standby_at !== null && this.state.lamp) {
      const ms = this.until(row.standby_at);
      if (ms > 0) return [row.firm ? ms : null, "next_standby"];
    }
    return [row.firm ? this.until(row.at) : null, this.state.lamp ? "next_go" : "the_go"];
  }

  when(row) {
    if (row.sees) return t("by_eye", { sees: row.sees });
    if (!row.firm) return row.status || this.state.item?.name === row.item ? t("when_called") : t("when_begins", { item: row.item });
    const ms = this.until(row.at);
    if (row.how === "automatic") return t("automatic_in", { time: left(Math.max(0, ms)) });
    return ms > 0 ? t("go_in", { time: left(ms) }) : t("go_now");
  }

  // The big screen: what is on, how long it has left, what is next, the time of day.
  showWings() {
    const { item, up, over_s, phase } = this.state;
    const root = document.getElementById("wings");
    if (root.hidden) return;
    put("wings-now", item ? item.name : up ? t("next_up", { item: up }) : "");
    const ms = item ? item.length_s * 1000 - this.elapsed(item) : null;
    put("wings-left", ms === null ? "" : ms >= 0 ? left(ms) : `+${span(ms)}`);
    root.classList.toggle("late", ms !== null && ms < 0);
    put("wings-next", item?.then ? t("after_it", { item: item.then }) : "");
    put("wings-over", over_s === null || over_s === undefined || phase === "ended" ? "" : this.overWords());
    const wall = this.line.wallMs();
    put("wings-clock", wall === null ? "" : dayTime(wall, this.state.zone));
  }

  // The gallery's screen: each source in its own place, which never moves.
  showGallery() {
    const root = document.getElementById("gallery");
    if (root.hidden) return;
    const cards = this.state.board ?? [];
    if (root.children.length !== cards.length) {
      root.replaceChildren(...cards.map(() => el("li", "tally", el("p", "name"), el("p", "word"))));
    }
    cards.forEach((card, n) => {
      const row = root.children[n];
      row.className = `tally is-${card.shows}`;
      row.children[0].textContent = card.name;
      const words = () => {
        const ms = card.at === null ? null : this.until(card.at);
        const text = card.shows === "on" ? t("on_wall") : ms === null ? t("is_free") : t("next_in", { time: left(Math.max(0, ms)) });
        const sign = shape(card.shows === "on" ? "circle" : card.shows === "coming" ? "go" : "bar");
        if (row.children[1].textContent !== text) row.children[1].replaceChildren(sign, text);
      };
      words();
      if (card.at !== null) this.counting.push(words);
    });
  }

  overWords() {
    const { over_s } = this.state;
    return t(over_s > 0 ? "over" : over_s < 0 ? "under" : "on_plan", { time: span(over_s * 1000) });
  }

  count(node, words) {
    const update = () => {
      const text = words();
      if (node.textContent !== text) node.textContent = text;
    };
    this.counting.push(update);
    update();
    return node;
  }

  place(place, item) {
    const where = "bar" in place ? t("bar", { bar: place.bar }) : span(place.s * 1000);
    return item ? `${item} · ${where}` : where;
  }

  showNow() {
    const { next, item, over_s, phase } = this.state;
    const parts = [];
    if (item) {
      const where = [item.section, "bar" in item ? t("bar", { bar: item.bar }) : ""].filter(Boolean).join(" · ");
      const clock = this.count(el("span", "figure"), () =>
        t("of_length", { at: span(Math.max(0, this.elapsed(item))), length: span(item.length_s * 1000) }),
      );
      const then = el("p", "quiet", [item.then ? t("after_it", { item: item.then }) : "", this.state.muted ? t("muted") : ""].filter(Boolean).join(" · "));
      parts.push(el("div", "item", el("h2", "", t("on_now")), el("p", "name", item.name), el("p", "", clock, where ? ` · ${where}` : ""), then));
    }
    if (over_s !== null && over_s !== undefined && phase !== "ended") {
      parts.push(el("p", over_s > 0 ? "over" : "quiet", this.overWords()));
    }
    const cautions = new Set();
    const caution = (row) => {
      const seen = cautions.has(row.hazard); // the same words once are read, five times they are not
      cautions.add(row.hazard);
      return row.hazard ? el("p", "hazard", seen ? "" : row.hazard) : "";
    };
    const rows = (next ?? []).map((row) =>
      el(
        "li",
        row.status ? "asked" : "",
        el("p", "", el("strong", "", row.name), " ", row.does),
        this.count(el("p", "when"), () => this.when(row)),
        el("p", "quiet", this.place(row.place, row.item)),
        row.notes ? el("p", "note", row.notes) : "",
        caution(row),
      ),
    );
    if (rows.length) parts.push(el("ol", "next", ...rows));
    document.getElementById("now").replaceChildren(...parts);
  }

  elapsed(item) {
    if (this.state.frozen) return -item.since;
    const now = this.line.runMs();
    return now === null ? 0 : now - item.since;
  }

  showNotes() {
    const rows = (this.state.notes ?? []).map((note) => el("li", "", el("p", "", note.text), el("p", "quiet", note.item)));
    document.getElementById("notes").replaceChildren(rows.length ? el("ul", "notes", ...rows.reverse()) : el("p", "quiet", t("no_notes")));
  }

  showSheet(sheet) {
    if (sheet) this.sheet = sheet;
    const items = (this.sheet?.rows ?? []).map((row) => {
      let before = "";
      const caution = (cue) => {
        const words = cue.hazard === before ? "" : cue.hazard;
        before = cue.hazard || before;
        return cue.hazard ? el("span", "hazard", words) : "";
      };
      const cues = row.cues.map((cue) => {
        const how = { fired: t("gone"), skipped: t("skipped"), missed: t("missed") }[cue.status] ?? (cue.how === "automatic" ? t("automatic") : "");
        return el(
          "li",
          cue.status,
          el("span", "place", this.place(cue.place)),
          el("span", "what", el("strong", "", cue.name), " ", cue.does, cue.notes ? el("span", "note", cue.notes) : "", caution(cue)),
          el("span", "quiet", how),
        );
      });
      const head = el("h2", "", row.item, el("span", "quiet", span(row.length_s * 1000)));
      const kind = row.on ? "on" : row.over ? "done" : "";
      return el("li", cues.length ? kind : `${kind} none`, head, cues.length ? el("ol", "", ...cues) : "");
    });
    document.getElementById("sheet").replaceChildren(el("ol", "sheet", ...items));
  }

  // The running sheet opens where the show is.
  toItem() {
    document.querySelector("#sheet .on")?.scrollIntoView({ block: "start" });
  }
}
