// Clearances that are this position's: giving asks twice, withdrawing acts at once.

import { button, el, put, shape } from "./parts.js";
import { number, span, t } from "./texts.js";

const TWICE_MS = 3000;

export class Clearing {
  constructor(root, send, line) {
    this.root = root;
    this.send = send;
    this.line = line;
    this.cards = new Map();
  }

  show(rows) {
    this.root.hidden = !rows.length;
    const ids = rows.map((row) => row.id).join(" ");
    if (ids !== this.ids) {
      this.ids = ids;
      this.cards = new Map(rows.map((row) => [row.id, this.card(row)]));
      const all = [...this.cards.values()].map((card) => card.box);
      this.root.replaceChildren(el("h2", "", t("clearances")), ...all, el("p", "quiet small", t("not_safety")));
    }
    for (const row of rows) this.fill(this.cards.get(row.id), row);
  }

  again() {
    this.ids = null;
  }

  card(row) {
    const card = { row, armed: 0 };
    card.name = el("h3", "", row.name);
    card.how = el("p", "how");
    card.act = button("clear", "", () => this.press(card));
    card.typed = null;
    if (row.unit !== null) {
      card.typed = el("input");
      Object.assign(card.typed, { type: "text", inputMode: "decimal", autocomplete: "off", maxLength: 12, id: `reading-${row.id}` });
      card.label = el("label", "", t("reading", { unit: row.unit }), card.typed);
      card.label.htmlFor = card.typed.id;
    }
    card.box = el("div", "card", card.name, card.how, card.label ?? "", card.act);
    return card;
  }

  fill(card, row) {
    if (card.row.there !== row.there || card.row.needed !== row.needed) this.disarm(card);
    card.row = row;
    this.words(card);
  }

  words(card) {
    const { row } = card;
    const now = this.line.runMs();
    const time = row.since === null || now === null ? "" : span(now - row.since);
    const values = { time, unit: row.unit, limit: row.limit === null ? "" : number(row.limit), value: row.value === null ? "–" : number(row.value) };
    let how = t(`is_${row.how.replace(" ", "_")}`, values);
    if (row.how === "clear" && row.unit !== null) how = t(row.least ? "is_reading_least" : "is_reading", values);
    if (row.how === "waiting" && row.needed) how = t("is_asked");
    if (!row.there && !row.needed) how += ` · ${t("not_needed")}`;
    if (card.how.textContent !== how) card.how.textContent = how;
    card.box.classList.toggle("there", row.there);
    card.box.classList.toggle("asked", row.needed && !row.there);
    const renew = row.unit !== null && row.there;
    const words = row.there ? t("not_clear") : card.armed ? t("clear_again") : t("clear");
    if (card.act.textContent !== words || card.act.dataset.there !== String(row.there)) {
      card.act.replaceChildren(row.there ? "" : shape("tick"), words);
      card.act.dataset.there = String(row.there);
    }
    card.act.className = row.there ? "clear withdraw" : card.armed ? "clear give armed" : "clear give";
    card.act.disabled = !row.there && !row.needed;
    if (card.label) card.label.hidden = row.there || !row.needed || renew;
  }

  disarm(card) {
    clearTimeout(card.armed);
    card.armed = 0;
  }

  press(card) {
    const { row } = card;
    if (row.there) {
      this.send({ k: "clear", id: row.id, ok: false });
      return;
    }
    let value;
    if (card.typed) {
      value = Number(card.typed.value.trim().replace(",", "."));
      if (!card.typed.value.trim() || !Number.isFinite(value)) {
        put("said", t("type_reading"));
        card.typed.focus();
        return;
      }
    }
    if (!card.armed) {
      card.armed = setTimeout(() => {
        card.armed = 0;
        this.words(card);
      }, TWICE_MS);
    } else {
      this.disarm(card);
      this.send(card.typed ? { k: "clear", id: row.id, ok: true, value } : { k: "clear", id: row.id, ok: true });
      if (card.typed) card.typed.value = "";
    }
    this.words(card);
  }

  tick() {
    for (const card of this.cards.values()) this.words(card);
  }
}
