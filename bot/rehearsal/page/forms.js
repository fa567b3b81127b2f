// An open form: a slip of paper over the page; Escape puts it away.

import { make, post } from "./ask.js";
import { write } from "./marks.js";

const MENU = 3, TEXT_INPUT = 4, TEXT = 10, RADIO = 21, CHECKBOXES = 22, CHECKBOX = 23;

export class Forms {
  // `host`: world(), who(), after() to put the focus back
  constructor(dialog, host) {
    this.dialog = dialog;
    this.host = host;
    this.id = null;
    this.done = null;
    dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      this.dismiss();
    });
  }

  show(form) {
    if (!form) {
      if (this.id !== null) this.away();
      return;
    }
    // a record that was on its way while the form went off still shows it
    if (form.id === this.id || form.id === this.done) return;
    this.id = form.id;
    this.fields = [];
    this.error = make("p", { class: "trouble", role: "alert", hidden: true });
    const inner = make("form", { novalidate: true, onsubmit: (event) => this.send(event) },
      make("h2", { id: "form-title", text: form.title }),
      ...form.parts.map((part, number) => this.part(part, number)),
      this.error,
      make("div", { class: "row" },
        make("button", { type: "submit", class: "first", text: "Send" }),
        make("button", { type: "button", class: "plain", text: "Close",
          onclick: () => this.dismiss() })));
    this.dialog.replaceChildren(inner);
    if (!this.dialog.open) this.dialog.showModal();
    const first = inner.querySelector("input, textarea, select");
    if (first) first.focus();
  }

  part(part, number) {
    if (part.kind === TEXT) {
      const node = make("div");
      write(node, part.text, this.host.world());
      return node;
    }
    const id = `field-${number}`;
    const field = this.field(part, id);
    if (!field) return make("p", { class: "pencil", text: `${part.label}: not on this page` });
    const label = part.required && part.kind !== CHECKBOX ? `${part.label} (needed)` : part.label;
    const text = part.text ? make("p", { class: "small", id: `${id}-text`, text: part.text }) : null;
    this.fields.push({ ...field, part });
    if (field.group) {
      field.node.prepend(make("legend", { text: label }), text || "");
      return field.node;
    }
    if (text) field.node.setAttribute("aria-describedby", `${id}-text`);
    return make("div", { class: "field" }, make("label", { for: id, text: label }), text, field.node);
  }

  field(part, id) {
    const taken = part.value ? part.value.split(",") : [];
    if (part.kind === TEXT_INPUT) {
      const node = make(part.long ? "textarea" : "input", {
        id, placeholder: part.placeholder, maxlength: part.max_length,
        rows: part.long ? 4 : null, type: part.long ? null : "text", autocomplete: "off",
      });
      node.value = part.value;
      return { node, read: () => node.value };
    }
    if (part.kind === CHECKBOX) {
      const node = make("input", { id, type: "checkbox" });
      return { node, read: () => node.checked };
    }
    if (part.kind === MENU && part.most === 1) {
      const node = make("select", { id }, make("option", { value: "", text: part.placeholder || "–" }),
        ...part.options.map((o) => make("option", {
          value: o.value, text: o.label, selected: taken.includes(o.value),
        })));
      return { node, read: () => (node.value ? [node.value] : []) };
    }
    if (![MENU, RADIO, CHECKBOXES].includes(part.kind)) return null;
    const type = part.kind === RADIO ? "radio" : "checkbox";
    const node = make("fieldset", {}, ...part.options.map((o) => make("label", {},
      make("input", { type, name: id, value: o.value, checked: taken.includes(o.value) }), o.label)));
    return { node, group: true,
      read: () => [...node.querySelectorAll(":checked")].map((box) => box.value) };
  }

  async send(event) {
    event.preventDefault();
    const values = Object.fromEntries(this.fields.map((field) => [field.part.id, field.read()]));
    let refused;
    try {
      ({ refused } = await post("/page/submit", { who: this.host.who(), form: this.id, values }));
    } catch (error) {
      refused = error.message;
    }
    if (refused) {
      this.complain(refused);
      return;
    }
    this.done = this.id;
    this.away();
  }

  complain(refused) {
    this.error.textContent = refused;
    this.error.hidden = false;
    for (const { node, part } of this.fields) {
      const wrong = refused.startsWith(`${part.label}:`);
      node.setAttribute("aria-invalid", String(wrong));
      if (wrong) (node.matches("fieldset") ? node.querySelector("input") : node).focus();
    }
  }

  async dismiss() {
    const form = this.id;
    this.done = form;
    this.away();
    // put away here in any case; the server's own answer changes nothing
    await post("/page/dismiss", { who: this.host.who(), form }).catch(() => {});
  }

  away() {
    this.id = null;
    this.dialog.close();
    this.dialog.replaceChildren();
    this.host.after();
  }
}
