// The marks of the platform's texts -> nodes. What is no mark stays the text it is.

import { make } from "./ask.js";

const SPECIAL = /[\\`*_~<]/g;
const ANY = String.raw`((?:\\[\s\S]|[^\\])+?)`;
const KINDS = [
  [/\\([^A-Za-z0-9\s])/y, (match) => match[1]],
  [/(`+)([\s\S]*?[^`])\1(?!`)/y, (match) => make("code", { text: match[2].trim() })],
  [new RegExp(String.raw`\*\*${ANY}\*\*(?!\*)`, "y"), around("strong")],
  [new RegExp(`__${ANY}__(?!_)`, "y"), around("u")],
  [new RegExp(`~~${ANY}~~(?!~)`, "y"), around("s")],
  [/_((?:__|\\[\s\S]|[^\\_])+?)_(?![\p{L}\p{N}_])/uy, around("em"), /[\p{L}\p{N}_]$/u],
  [/\*(?=\S)((?:\*\*|\\[\s\S]|[^\\*])+?)\*(?!\*)/y, around("em")],
  [/<t:(-?\d{1,17})(?::([tTdDfFRsS]))?>/y, moment],
  [/<@!?(\d+)>/y, (match, world) => `@${world.names.get(match[1]) || "someone"}`],
  [/<#(\d+)>/y, (match, world) => `#${world.names.get(match[1]) || "a room"}`],
  [/<\/([^:>]{1,100}):\d+>/y, (match) => make("code", { text: `/${match[1]}` })],
];

function around(tag) {
  return (match, world) => {
    const node = make(tag);
    writeInline(node, match[1], world);
    return node;
  };
}

const STYLES = {
  t: { timeStyle: "short" },
  T: { timeStyle: "medium" },
  d: { dateStyle: "short" },
  D: { dateStyle: "long" },
  f: { dateStyle: "long", timeStyle: "short" },
  F: { dateStyle: "full", timeStyle: "short" },
  s: { dateStyle: "short", timeStyle: "short" },
  S: { dateStyle: "short", timeStyle: "medium" },
};
const STEPS = [["year", 31557600], ["month", 2629800], ["day", 86400], ["hour", 3600],
  ["minute", 60], ["second", 1]];

function moment(match, world) {
  const date = new Date(Number(match[1]) * 1000);
  if (Number.isNaN(date.getTime())) return match[0];
  const iso = date.toISOString();
  const text = match[2] === "R" ? since(date, world.now)
    : new Intl.DateTimeFormat(undefined, STYLES[match[2] || "f"]).format(date);
  return make("time", { datetime: iso, title: utc(iso), text });
}

// Against the town's clock, which need not be this computer's.
function since(date, now) {
  const seconds = Math.round((date - now) / 1000);
  const [unit, size] = STEPS.find(([, length]) => Math.abs(seconds) >= length) || ["second", 1];
  const words = new Intl.RelativeTimeFormat(undefined, { numeric: "auto" });
  return words.format(Math.trunc(seconds / size), unit);
}

export function utc(iso) {
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} UTC`;
}

export function writeInline(parent, text, world) {
  let plain = "";
  let place = 0;
  while (place < text.length) {
    SPECIAL.lastIndex = place;
    const special = SPECIAL.exec(text);
    const next = special ? special.index : text.length;
    plain += text.slice(place, next);
    place = next;
    if (!special) break;
    const found = kindAt(text, place);
    if (!found) {
      plain += text[place];
      place += 1;
      continue;
    }
    if (plain) parent.append(plain);
    plain = "";
    parent.append(found.build(found.match, world));
    place += found.match[0].length;
  }
  if (plain) parent.append(plain);
}

function kindAt(text, place) {
  for (const [pattern, build, notAfter] of KINDS) {
    if (notAfter && notAfter.test(text.slice(Math.max(place - 2, 0), place))) continue;
    pattern.lastIndex = place;
    const match = pattern.exec(text);
    if (match) return { match, build };
  }
  return null;
}

export function write(parent, text, world) {
  const parts = text.split(/```(?:[a-z]{1,10}\n)?([\s\S]+?)```/);
  parts.forEach((part, number) => {
    if (number % 2) parent.append(make("pre", { text: part.replace(/^\n|\n$/g, ""), tabindex: 0 }));
    else if (part) writeLines(parent, part.replace(/^\n/, number ? "" : "\n"), world);
  });
}

function writeLines(parent, text, world) {
  let list = null;
  for (const line of text.split("\n")) {
    const item = /^(\s*)[-*] (.+)$/.exec(line);
    if (!item) list = null;
    if (item) {
      if (!list) parent.append(list = make("ul"));
      const node = make("li", { class: item[1].length > 1 ? "deeper" : "" });
      writeInline(node, item[2], world);
      list.append(node);
      continue;
    }
    const [kind, rest] = kindOf(line);
    const node = make(kind === "quote" ? "blockquote" : "p", { class: kind });
    if (rest) writeInline(node, rest, world);
    else node.append(make("br"));
    parent.append(node);
  }
}

function kindOf(line) {
  if (line.startsWith("-# ")) return ["small", line.slice(3)];
  if (/^#{1,3} ./.test(line)) return ["heading", line.replace(/^#+ /, "")];
  if (line.startsWith("> ")) return ["quote", line.slice(2)];
  return ["plain", line];
}
