// Checklists that are this position's: a line is ticked by one touch, and taken back by another.

import { button, el, shape } from "./parts.js";
import { t } from "./texts.js";

export class Checking {
  constructor(root, send) {
    this.root = root;
    this.send = send;
    this.rows = [];
    this.left = 0;
    this.due = false;
    this.text = "";
  }

  // Whether the tab has to say something else now.
  show(rows) {
    const before = `${this.rows.length} ${this.left} ${this.due}`;
    const text = JSON.stringify(rows);
    if (text !== this.text) this.fill(rows, text);
    return before !== `${this.rows.length} ${this.left} ${this.due}`;
  }

  again(rows) {
    this.fill(rows, JSON.stringify(rows));
  }

  fill(rows, text) {
    this.text = text;
    this.rows = rows;
    const open = (row) => row.lines.filter((line) => line.by === null).length;
    this.left = rows.reduce((sum, row) => sum + open(row), 0);
    this.due = rows.some((row) => row.due);
    const focus = document.activeElement?.id;
    this.root.replaceChildren(
      ...rows.map((row) => {
        const count = t("ticked", { n: row.lines.length - open(row), of: row.lines.length });
        const before = row.item ? t("before_item", { item: row.item }) : "";
        return el(
          "section",
          row.due ? "check due" : "check",
          el("h2", "", row.name),
          el("p", "quiet", [before, count].filter(Boolean).join(" · ")),
          el("ol", "", ...row.lines.map((line, n) => this.line(row, line, n + 1))),
        );
      }),
    );
    if (focus?.startsWith("check-")) document.getElementById(focus)?.focus();
  }

  line(row, line, n) {
    const on = line.by !== null;
    const act = button(on ? "tick on" : "tick", "", () => this.send({ k: "tick", page: row.id, line: n, on: !on }));
    act.id = `check-${row.id}-${n}`;
    act.setAttribute("role", "checkbox");
    act.setAttribute("aria-checked", String(on));
    act.append(el("span", "box", on ? shape("tick") : ""), el("span", "", line.says, on && line.by ? el("span", "note", line.by) : ""));
    return el("li", "", act);
  }
}
