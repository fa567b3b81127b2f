// One entry of the record -> its nodes.

import { make } from "./ask.js";
import { utc, write, writeInline } from "./marks.js";

const ACTS = { typed: "", pressed: "pressed ", chose: "chose ", filled: "filled in " };
const STYLES = { 1: "first", 2: "plain", 3: "good", 4: "grave" };

// `act(path, body)` sends what a person does with this entry.
export function draw(entry, world, act) {
  const body = make("div", { class: "body" });
  const node = make("article", { class: `entry ${entry.kind}`, tabindex: -1 }, when(entry), body);
  if (entry.kind === "gone") {
    body.append(make("p", { class: "pencil" }, make("s", { text: `${entry.by} wrote here` }),
      " · taken back"));
  } else if (entry.kind === "note") {
    const text = entry.act === "silent" ? entry.text : ACTS[entry.act] + entry.text;
    node.classList.add(entry.act);
    body.append(make("p", { class: "pencil", text }));
  } else {
    drawMessage(node, body, entry, world, act);
  }
  return node;
}

function when(entry) {
  const date = new Date(entry.time);
  const text = date.toLocaleTimeString(undefined, { hour: "2-digit", minute: "2-digit", hour12: false });
  return make("time", { class: "when", datetime: entry.time, title: utc(date.toISOString()), text });
}

function drawMessage(node, body, entry, world, act) {
  if (entry.own) node.classList.add("own");
  const marks = [];
  if (entry.only_you) marks.push("only you");
  if (entry.pinned) marks.push("pinned");
  if (entry.edited) marks.push("edited");
  const by = make("p", { class: "by" }, make("b", { text: entry.by }));
  if (entry.to) by.append(make("span", { class: "pencil", text: ` to ${entry.to.name}` }));
  for (const mark of marks) by.append(" ", make("span", { class: "mark", text: mark }));
  body.append(by);
  if (entry.to && entry.to.text) {
    const quote = make("p", { class: "pencil answered" });
    writeInline(quote, entry.to.text.replaceAll("\n", " "), world);
    body.append(quote);
  }
  if (entry.thinking) {
    body.append(make("p", { class: "pencil thinking", text: `${entry.by} is thinking …` }));
    return;
  }
  if (entry.text) write(body, entry.text, world);
  const shown = { entry, world, act, used: new Set() };
  for (const embed of entry.embeds) body.append(drawEmbed(embed, shown));
  for (const component of entry.components) add(body, component, shown);
  for (const file of entry.files) if (!shown.used.has(file.url)) body.append(drawFile(file));
}

function add(parent, component, shown) {
  const build = COMPONENTS[component.type];
  if (build) parent.append(build(component, shown));
}

function children(tag, name, component, shown) {
  const node = make(tag, { class: name });
  for (const child of component.components || []) add(node, child, shown);
  if (component.accessory) add(node, component.accessory, shown);
  return node;
}

const COMPONENTS = {
  1: (row, shown) => children("div", "row", row, shown),
  2: drawButton,
  3: drawMenu,
  5: otherMenu, 6: otherMenu, 7: otherMenu, 8: otherMenu,
  9: (section, shown) => children("div", "section", section, shown),
  10: (text, shown) => {
    const node = make("div");
    write(node, text.content, shown.world);
    return node;
  },
  11: (part, shown) => media(part.media, part.description, shown),
  12: (part, shown) => make("div", {},
    ...part.items.map((item) => media(item.media, item.description, shown))),
  13: (part, shown) => media(part.file, "", shown),
  14: () => make("hr"),
  17: (box, shown) => children("div", "box", box, shown),
};

function drawButton(button, shown) {
  const sign = button.emoji && button.emoji.name ? `${button.emoji.name} ` : "";
  const text = sign + (button.label || "");
  // a link leads out of the town; it is shown, never followed
  if (button.url) return make("span", { class: "link", text: `${text}: ${button.url}` });
  return make("button", {
    type: "button",
    class: STYLES[button.style] || "plain",
    disabled: Boolean(button.disabled),
    "data-key": button.custom_id,
    text,
    onclick: () => shown.act("/page/press", { message: shown.entry.id, button: button.custom_id }),
  });
}

// Taking needs a press of its own: arrow keys alone already change a closed menu.
function drawMenu(menu, shown) {
  const most = menu.max_values ?? 1;
  const name = menu.placeholder || "Choose";
  const options = menu.options || [];
  let read;
  let field;
  if (most === 1) {
    field = make("select", { "aria-label": name, "data-key": `${menu.custom_id}/menu` },
      make("option", { value: "", text: name }),
      ...options.map((o) => make("option", {
        value: o.value, selected: Boolean(o.default), text: described(o),
      })));
    read = () => (field.value ? [field.value] : []);
  } else {
    field = make("fieldset", {}, make("legend", { text: name }), ...options.map((o) =>
      make("label", {}, make("input", {
        type: "checkbox", value: o.value, checked: Boolean(o.default),
      }), described(o))));
    read = () => [...field.querySelectorAll(":checked")].map((box) => box.value);
  }
  field.disabled = Boolean(menu.disabled);
  return make("div", { class: most === 1 ? "menu" : "menu many" }, field, make("button", {
    type: "button", class: "plain", text: "Choose", disabled: Boolean(menu.disabled),
    "data-key": menu.custom_id,
    onclick: () => shown.act("/page/choose",
      { message: shown.entry.id, menu: menu.custom_id, values: read() }),
  }));
}

function described(option) {
  return option.description ? `${option.label} (${option.description})` : option.label;
}

function otherMenu() {
  return make("p", { class: "pencil", text: "(a menu of people or rooms, which this page has not)" });
}

function media(item, description, shown) {
  const url = new URL(item.url, location.href);
  if (!url.pathname.startsWith("/cdn/")) return make("p", { class: "pencil", text: item.url });
  shown.used.add(url.pathname);
  const name = decodeURIComponent(url.pathname.split("/").at(-1));
  const known = shown.entry.files.find((file) => file.url === url.pathname) || {};
  const picture = (item.content_type || "").startsWith("image/");
  const { width, height } = item;
  return drawFile({ name, picture, width, height, ...known, url: url.pathname,
    description: description || known.description });
}

function drawFile(file) {
  if (!file.picture) {
    const size = file.size == null ? "" : ` (${weight(file.size)})`;
    return make("p", { class: "attached" },
      make("a", { href: file.url, download: file.name, text: file.name + size }));
  }
  const { width, height } = file;
  const alt = file.description || file.name;
  return make("figure", {},
    make("a", { href: file.url, target: "_blank", rel: "noopener" },
      make("img", { src: file.url, alt, width, height })));
}

function weight(bytes) {
  if (bytes < 1000) return `${bytes} B`;
  return bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

function drawEmbed(embed, shown) {
  const node = make("div", { class: "box" });
  if (embed.title) node.append(make("p", { class: "heading", text: embed.title }));
  if (embed.description) write(node, embed.description, shown.world);
  for (const field of embed.fields || []) {
    node.append(make("p", { class: "heading", text: field.name }));
    write(node, field.value, shown.world);
  }
  for (const picture of [embed.image, embed.thumbnail]) {
    if (picture) node.append(media(picture, "", shown));
  }
  if (embed.footer) node.append(make("p", { class: "small", text: embed.footer.text }));
  return node;
}
