// Completion of what is typed after a slash: commands, options, choices, the bot's own offers.

import { make } from "./ask.js";

const FLAG = 5, PERSON = 6, ROOM = 7, UPLOAD = 11;
const WAIT_MS = 120;

// Commands and subcommands alike, each by its whole name.
export function leaves(commands, before = "") {
  return commands.flatMap((command) => {
    const name = before + command.name;
    const inner = command.options.filter((option) => option.kind <= 2);
    return inner.length ? leaves(inner, `${name} `) : [{ ...command, name }];
  });
}

// How far the line is read: the command, the options given, the one being typed and its text.
export function read(text, commands) {
  const typed = text.slice(1);
  const command = commands.find((c) => typed.startsWith(`${c.name} `));
  if (!command) return { command: null, typed };
  const start = 1 + command.name.length + 1;
  const names = command.options.map((option) => option.name).sort((a, b) => b.length - a.length);
  const marks = names.length
    ? [...text.slice(start).matchAll(new RegExp(`(?<=^|\\s)(${names.map(quote).join("|")}):`, "gu"))]
    : [];
  const last = marks.at(-1);
  const given = new Set(marks.map((mark) => mark[1]));
  const option = last ? command.options.find((o) => o.name === last[1]) : null;
  const from = last ? start + last.index + last[0].length : start;
  return { command, given, option, from, value: text.slice(from).trimStart() };
}

function quote(name) {
  return name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
}

export class Typing {
  // `host`: commands(), people(), rooms(), complete(text, signal), chooseFile()
  constructor(input, host) {
    this.input = input;
    this.host = host;
    this.box = document.getElementById("offers");
    this.list = document.getElementById("list");
    this.hint = document.getElementById("hint");
    this.items = [];
    this.active = -1;
    this.waiting = null;
    input.addEventListener("input", () => this.look());
    input.addEventListener("keydown", (event) => this.key(event));
    input.addEventListener("blur", () => this.close());
  }

  look() {
    clearTimeout(this.timer);
    if (this.waiting) this.waiting.abort();
    const text = this.input.value;
    if (!text.startsWith("/")) return this.close();
    const commands = leaves(this.host.commands());
    const state = read(text, commands);
    if (!state.command) return this.offerNames(state.typed, commands);
    const { option } = state;
    const items = [...this.values(text, state), ...this.options(text, state)];
    this.show(items, option ? `${option.name}: ${option.text}` : state.command.text, -1);
    if (option && option.complete) {
      this.timer = setTimeout(() => this.ask(text, state, items), WAIT_MS);
    }
    return undefined;
  }

  offerNames(typed, commands) {
    const wanted = typed.toLowerCase();
    const fits = commands.filter((c) => c.name.startsWith(wanted));
    const others = commands.filter((c) => !fits.includes(c) && c.name.includes(wanted));
    const items = [...fits, ...others].map((c) => ({
      label: `/${c.name}`, note: c.text, text: `/${c.name}${c.options.length ? " " : ""}`,
    }));
    const whole = commands.some((c) => c.name === typed.trimEnd());
    this.show(items, items.length ? "" : "There is no such command here.", whole ? -1 : 0);
  }

  values(text, { option, from, value }) {
    if (!option) return [];
    const wanted = value.trimEnd().toLowerCase();
    const put = (found) => `${text.slice(0, from)}${found} `;
    if (option.kind === UPLOAD && !value) {
      return [{ label: "Choose a file …", note: "", run: () => this.host.chooseFile() }];
    }
    let known = option.choices;
    if (option.kind === FLAG) known = ["True", "False"];
    if (option.kind === PERSON) known = this.host.people();
    if (option.kind === ROOM) known = this.host.rooms();
    return known
      .filter((name) => name.toLowerCase().includes(wanted) && name.toLowerCase() !== wanted)
      .map((name) => ({ label: name, note: "", text: put(name) }));
  }

  options(text, { command, given, option, value }) {
    const tail = /(\S*)$/.exec(text)[1];
    if (option && !value) return [];
    return command.options
      .filter((o) => !given.has(o.name) && o.name.startsWith(tail) && !tail.includes(":"))
      .map((o) => ({
        label: `${o.name}:`,
        note: o.required ? `${o.text} (needed)` : o.text,
        text: `${text.slice(0, text.length - tail.length)}${o.name}:`,
      }));
  }

  async ask(text, { option, from, value }, items) {
    this.waiting = new AbortController();
    try {
      const found = await this.host.complete(text.trimEnd(), this.waiting.signal);
      if (this.input.value !== text || document.activeElement !== this.input) return;
      const offers = found
        .filter((choice) => choice.value !== value.trimEnd())
        .map((choice) => ({
          label: choice.name, note: "", text: `${text.slice(0, from)}${choice.value} `,
        }));
      if (offers.length) this.show([...offers, ...items], `${option.name}: ${option.text}`, -1);
    } catch (error) {
      // the next key asks again
      if (error.name !== "AbortError") this.hint.textContent = "No offers came back.";
    }
  }

  show(items, hint, active) {
    this.items = items;
    this.hint.textContent = hint;
    this.hint.hidden = !hint;
    this.list.replaceChildren(...items.map((item, number) => make("li", {
      id: `offer-${number}`, role: "option",
      // keeps the focus in the line
      onmousedown: (event) => event.preventDefault(),
      onclick: () => this.take(number),
    }, make("b", { text: item.label }), item.note ? make("span", { text: item.note }) : null)));
    this.box.hidden = !items.length && !hint;
    this.input.setAttribute("aria-expanded", String(items.length > 0));
    this.mark(items.length ? active : -1);
  }

  mark(number) {
    this.active = number;
    [...this.list.children].forEach((node, place) => {
      node.setAttribute("aria-selected", String(place === number));
      if (place === number) node.scrollIntoView({ block: "nearest" });
    });
    if (number < 0) this.input.removeAttribute("aria-activedescendant");
    else this.input.setAttribute("aria-activedescendant", `offer-${number}`);
  }

  take(number) {
    const item = this.items[number];
    if (item.run) return item.run();
    this.input.value = item.text;
    this.input.focus();
    this.input.setSelectionRange(item.text.length, item.text.length);
    return this.look();
  }

  key(event) {
    if (this.box.hidden || event.isComposing) return;
    const count = this.items.length;
    if (event.key === "Escape") {
      this.close();
    } else if (event.key === "ArrowDown" && count) {
      this.mark((this.active + 1) % count);
    } else if (event.key === "ArrowUp" && count) {
      this.mark((this.active <= 0 ? count : this.active) - 1);
    } else if ((event.key === "Enter" || (event.key === "Tab" && !event.shiftKey))
      && this.active >= 0) {
      this.take(this.active);
    } else {
      return;
    }
    event.preventDefault();
  }

  close() {
    clearTimeout(this.timer);
    if (this.waiting) this.waiting.abort();
    this.items = [];
    this.box.hidden = true;
    this.input.setAttribute("aria-expanded", "false");
    this.input.removeAttribute("aria-activedescendant");
    this.active = -1;
  }
}
