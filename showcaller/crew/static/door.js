// Getting in, and choosing a position.

import { button, el, shape } from "./parts.js";
import { NAMES, choose, chosen, t } from "./texts.js";

export async function call(path, body) {
  const asked = body === undefined ? {} : { method: "POST", body: JSON.stringify(body) };
  return fetch(path, { ...asked, cache: "no-store" });
}

export function languages(again) {
  const made = el("select", "languages");
  made.setAttribute("aria-label", t("language"));
  for (const [name, words] of Object.entries(NAMES)) {
    const option = el("option", "", words);
    option.value = name;
    option.lang = name;
    option.selected = name === chosen();
    made.append(option);
  }
  made.addEventListener("change", () => {
    choose(made.value, true);
    again();
  });
  return made;
}

export function showEntry(root, secret, entered) {
  const typed = { pin: root.querySelector("#pin")?.value ?? "", name: root.querySelector("#name")?.value ?? "" };
  const said = el("p", "problem");
  said.setAttribute("role", "alert");
  const form = el("form", "entry");
  form.noValidate = true;
  const field = (id, text, value, hint) => {
    const input = el("input");
    Object.assign(input, { id, value, autocomplete: "off" });
    const label = el("label", "", text, hint ? el("small", "", hint) : "", input);
    label.htmlFor = id;
    form.append(label);
    return input;
  };
  const pin = field("pin", t("pin"), typed.pin, t("pin_hint"));
  Object.assign(pin, { inputMode: "numeric", maxLength: 6, pattern: "[0-9]*" });
  const name = field("name", t("your_name"), typed.name);
  name.maxLength = 24;
  const go = el("button", "answer ready", t("enter"));
  go.type = "submit";
  form.append(said, go);
  if (!secret) said.textContent = t("no_link");
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    go.disabled = true;
    try {
      const answer = await call("enter", { link: secret, pin: pin.value.trim(), name: name.value });
      if (answer.ok) {
        entered(await answer.json());
        return;
      }
      const why = answer.status === 429 || answer.status === 403 ? await answer.json() : { wait_s: 0 };
      said.textContent = why.wait_s ? t("wait", { s: why.wait_s }) : t("wrong");
      pin.value = "";
      pin.focus();
    } catch {
      said.textContent = t("not_reached");
    }
    go.disabled = false;
  });
  root.replaceChildren(el("h1", "", t("title")), form, languages(() => showEntry(root, secret, entered)));
}

const SCREENS = { "w:": () => t("wings"), "g:": () => t("gallery"), "t:": () => t("clock") };

export const nameOf = (one) => (SCREENS[one.key] ? SCREENS[one.key]() : one.name);

export function showChoice(root, me, chosenOne, again) {
  const list = el("ul", "choices");
  for (const one of me.positions) {
    const words = one.clears ? el("small", "", t("clears")) : "";
    const sign = shape(one.shape || "circle", one.hue ? `hue-${one.hue}` : "hue-none");
    const row = button("choice", "", async () => {
      try {
        const answer = await call("position", { position: one.key });
        if (answer.ok) chosenOne(await answer.json());
        else again();
      } catch {
        again();
      }
    });
    row.append(sign, el("span", "", nameOf(one), words));
    list.append(el("li", "", row));
  }
  const none = me.positions.length ? "" : el("p", "", t("no_positions"));
  root.replaceChildren(el("h1", "", t("choose")), none, list, languages(() => showChoice(root, me, chosenOne, again)));
}
