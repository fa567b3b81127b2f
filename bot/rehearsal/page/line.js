// The line to write on: its words, the files that go with them, and the sending.

import { make } from "./ask.js";
import { leaves, read, Typing } from "./typing.js";

const UPLOAD = 11;
const at = (id) => document.getElementById(id);

export class Line {
  // `host`: here(more), commands(), people(), rooms(), complete(), send(path, body), trouble(words),
  // refresh() for the commands, sent()
  constructor(host) {
    this.host = host;
    this.text = at("text");
    this.file = at("file");
    this.chosen = at("chosen");
    this.files = [];
    this.sent = "";
    this.sending = false;
    this.typing = new Typing(this.text, { ...host, chooseFile: () => this.file.click() });
    at("line").addEventListener("submit", (event) => {
      event.preventDefault();
      this.submit();
    });
    this.text.addEventListener("input", () => this.typed());
    this.text.addEventListener("keydown", (event) => this.recall(event));
    this.file.addEventListener("change", () => this.take());
  }

  focus() {
    this.text.focus();
  }

  // The commands came anew while a command was being typed.
  look() {
    if (this.text.value && document.activeElement === this.text) this.typing.look();
  }

  typed() {
    this.host.trouble("");
    if (this.text.value === "/") this.host.refresh();
  }

  recall(event) {
    if (event.key !== "ArrowUp" || this.text.value || !this.sent) return;
    event.preventDefault();
    this.text.value = this.sent;
  }

  async submit() {
    this.typing.close();
    const words = this.text.value;
    // a second press while the first is on its way would say it twice
    if (this.sending || (!words.trim() && !this.files.length)) return;
    this.sending = true;
    try {
      const body = this.host.here({
        text: words.startsWith("/") ? words.trimEnd() : words,
        mention: at("mention").checked,
        files: await carried(this.files),
      });
      if (await this.host.send("/page/say", body)) this.clear(words);
    } catch {
      this.host.trouble("A file could not be read.");
    }
    this.sending = false;
    this.focus();
  }

  clear(words) {
    this.sent = words;
    this.text.value = "";
    this.files = [];
    this.showFiles();
    this.host.sent();
  }

  take() {
    for (const one of this.file.files) {
      this.files.push(one);
      this.name(one);
    }
    this.file.value = "";
    this.showFiles();
    this.typing.close();
    this.focus();
  }

  // A file chosen while a command is typed becomes the value of its option.
  name(one) {
    const words = this.text.value.trimEnd();
    if (!words.startsWith("/")) return;
    const state = read(`${words} `, leaves(this.host.commands()));
    if (!state.command) return;
    const here = state.option?.kind === UPLOAD && !state.value.trim() ? state.option : null;
    const waiting = here
      || state.command.options.find((o) => o.kind === UPLOAD && !state.given.has(o.name));
    if (waiting) this.text.value = `${words}${here ? "" : ` ${waiting.name}:`}${one.name}`;
  }

  showFiles() {
    this.chosen.hidden = !this.files.length;
    this.chosen.replaceChildren(...this.files.map((one, number) => make("li", {}, one.name,
      make("button", {
        type: "button", class: "plain", "aria-label": `Leave out ${one.name}`, text: "leave out",
        onclick: () => this.leaveOut(number),
      }))));
  }

  leaveOut(number) {
    this.files.splice(number, 1);
    this.showFiles();
    this.focus();
  }
}

async function carried(chosen) {
  return Promise.all(chosen.map((one) => new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done({ name: one.name, data: reader.result.split(",", 2)[1] || "" });
    reader.onerror = () => fail(reader.error);
    reader.readAsDataURL(one);
  })));
}
