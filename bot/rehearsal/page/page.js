// The notebook: who, where, the record as it grows, and the line to write on.

import { get, make, post } from "./ask.js";
import { draw } from "./entries.js";
import { Forms } from "./forms.js";
import { leaves, read, Typing } from "./typing.js";

const UPLOAD = 11, PAGE = 200, AGAIN_MS = 1000;
const at = (id) => document.getElementById(id);
const [who, where, log, line, text, file] = ["who", "where", "log", "line", "text", "file"].map(at);
const world = { names: new Map(), now: new Date() };
let town = { bot: { name: "" }, people: [] };
let shape = "";
let commands = [];
let files = [];
let last = PAGE;
let following = null;
let drawn = new Map();
let sent = "";
let latest = null;

const forms = new Forms(at("form"), {
  world: () => world,
  who: () => who.value,
  after: () => { if (document.activeElement === document.body) text.focus(); },
});
const typing = new Typing(text, {
  commands: () => commands,
  people: () => town.people.map((person) => person.name),
  rooms: () => places().filter((p) => p.community && p.community === place()?.community)
    .map((p) => p.name),
  complete: async (typed, signal) => (await post("/page/complete", here({ text: typed }), signal))
    .choices || [],
  chooseFile: () => file.click(),
});

function here(more = {}) {
  return { who: who.value, where: where.value, ...more };
}

function places() {
  return town.people.find((person) => person.id === who.value)?.places || [];
}

function place() {
  return places().find((p) => p.id === where.value);
}

function trouble(words) {
  at("trouble").textContent = words;
  at("trouble").hidden = !words;
}

// Menus

async function loadTown() {
  town = await get("/page/town", {});
  world.names.set(town.bot.id, town.bot.name);
  for (const person of town.people) {
    world.names.set(person.id, person.name);
    for (const p of person.places) if (!p.private) world.names.set(p.id, p.name);
  }
  const [wantedWho, wantedWhere] = who.value ? [who.value, where.value]
    : location.hash.slice(1).split("/");
  fill(who, town.people.map((p) => [p.id, p.coach ? `${p.name} (coach)` : p.name]), wantedWho);
  fillPlaces(wantedWhere);
  at("to-name").textContent = `to ${town.bot.name}`;
}

function fill(menu, rows, wanted) {
  menu.replaceChildren(...rows.map(([value, words]) => make("option", { value, text: words })));
  if (rows.some(([value]) => value === wanted)) menu.value = wanted;
}

function fillPlaces(wanted) {
  fill(where, places().map((p) => [p.id, placeName(p)]), wanted);
}

function placeName(p) {
  if (p.private) return "In private";
  const communities = new Set(places().map((other) => other.community).filter(Boolean));
  return communities.size > 1 ? `${p.name}, ${p.community}` : p.name;
}

// A word beside every other place where something new stands.
function markPlaces(found) {
  latest = latest || { ...found };
  latest[where.value] = found[where.value];
  for (const p of places()) {
    const option = [...where.options].find((o) => o.value === p.id);
    const news = BigInt(found[p.id] || 0) > BigInt(latest[p.id] || 0) ? " · new" : "";
    const words = placeName(p) + news;
    if (option && option.textContent !== words) {
      option.textContent = words;
      if (news) at("status").textContent = p.private ? "New in private." : `New in ${p.name}.`;
    }
  }
}

// The record

async function turn() {
  if (following) following.abort();
  following = new AbortController();
  const { signal } = following;
  history.replaceState(null, "", `#${who.value}/${where.value}`);
  at("to").hidden = Boolean(place()?.private);
  document.title = `${place()?.private ? "In private" : place()?.name}: tank-side notebook`;
  refreshCommands();
  let after = null;
  while (!signal.aborted) {
    try {
      const query = here(after === null ? { last } : { last, after });
      const found = await get("/page/record", query, signal);
      if (signal.aborted) return;
      if (shape && found.town !== shape) await loadTown();
      shape = found.town;
      show(found);
      if (after === null) at("status").textContent = "";
      after = found.changes;
    } catch (error) {
      if (signal.aborted) return;
      after = null;
      at("status").textContent = "No answer from the server; trying again.";
      await new Promise((done) => { setTimeout(done, AGAIN_MS); });
      if (error.status === 404) {
        await loadTown().catch(() => {});
        turn();
        return;
      }
    }
  }
}

async function refreshCommands() {
  try {
    commands = (await get("/page/commands", here())).commands || [];
  } catch {
    commands = [];
  }
  if (text.value && document.activeElement === text) typing.look();
}

function show(found) {
  world.now = new Date(found.now);
  const atEnd = log.scrollHeight - log.scrollTop - log.clientHeight < 60;
  const first = !drawn.size;
  const kept = new Map();
  const focused = document.activeElement;
  const nodes = [];
  const fixed = (key, build) => {
    const standing = drawn.get(key) || { key, node: build() };
    kept.set(key, standing);
    nodes.push(standing.node);
  };
  if (found.earlier) fixed("earlier", earlier);
  let day = "";
  for (const entry of found.entries) {
    const date = new Date(entry.time).toLocaleDateString(undefined, { dateStyle: "full" });
    if (date !== day) fixed(date, () => make("h2", { class: "day", text: date }));
    day = date;
    const key = JSON.stringify(entry);
    const old = drawn.get(entry.id);
    const node = old && old.key === key ? old.node : draw(entry, world, act);
    kept.set(entry.id, { key, node });
    nodes.push(node);
  }
  if (!found.entries.length) {
    fixed("empty", () => make("p", { class: "empty", text: "Nothing written here yet." }));
  }
  const before = drawn;
  drawn = kept;
  lay(nodes);
  refocus(focused, before);
  if (atEnd || first) log.scrollTop = log.scrollHeight;
  // what stood there before need not be read out
  if (first) setTimeout(() => log.setAttribute("aria-live", "polite"), 100);
  markPlaces(found.latest);
  forms.show(found.form);
}

// Moves as few nodes as it can, so that what is under a finger or in focus stays.
function lay(nodes) {
  const wanted = new Set(nodes);
  for (const child of [...log.children]) if (!wanted.has(child)) child.remove();
  nodes.forEach((node, number) => {
    if (log.children[number] !== node) log.insertBefore(node, log.children[number] || null);
  });
}

function refocus(focused, before) {
  if (focused.isConnected || !focused.closest) return;
  const entry = focused.closest(".entry");
  const id = [...before].find(([, old]) => old.node === entry)?.[0];
  const now = id && drawn.get(id)?.node;
  if (!now) {
    text.focus();
    return;
  }
  const same = [...now.querySelectorAll("[data-key]")]
    .find((node) => node.dataset.key === focused.dataset.key && !node.disabled);
  (same || now).focus();
}

function earlier() {
  return make("button", { type: "button", class: "plain earlier", text: "Earlier pages",
    onclick: () => { last += PAGE; turn(); } });
}

async function act(path, body) {
  await send(path, here(body));
}

async function send(path, body) {
  trouble("");
  try {
    const { refused } = await post(path, body);
    if (refused) trouble(refused);
    return !refused;
  } catch (error) {
    trouble(error.status ? error.message : "No answer from the server.");
    return false;
  }
}

// The line

async function carried(chosen) {
  return Promise.all(chosen.map((one) => new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done({ name: one.name, data: reader.result.split(",", 2)[1] || "" });
    reader.onerror = () => fail(reader.error);
    reader.readAsDataURL(one);
  })));
}

function showFiles() {
  at("chosen").hidden = !files.length;
  at("chosen").replaceChildren(...files.map((one, number) => make("li", {}, one.name,
    make("button", { type: "button", class: "plain", "aria-label": `Leave out ${one.name}`,
      text: "leave out", onclick: () => {
        files.splice(number, 1);
        showFiles();
        text.focus();
      } }))));
}

// A file chosen while a command is typed becomes the value of its option.
function named(one) {
  if (!text.value.startsWith("/")) return;
  const state = read(`${text.value.trimEnd()} `, leaves(commands));
  if (!state.command) return;
  const waiting = state.option?.kind === UPLOAD && !state.value.trim() ? state.option
    : state.command.options.find((o) => o.kind === UPLOAD && !state.given.has(o.name));
  if (!waiting) return;
  const begun = state.option === waiting ? "" : ` ${waiting.name}:`;
  text.value = `${text.value.trimEnd()}${begun}${one.name}`;
}

async function submit(event) {
  event.preventDefault();
  typing.close();
  if (!text.value.trim() && !files.length) return;
  const words = text.value;
  const body = here({ text: words.startsWith("/") ? words.trimEnd() : words,
    mention: at("mention").checked, files: await carried(files) });
  if (await send("/page/say", body)) {
    sent = words;
    text.value = "";
    files = [];
    showFiles();
    log.scrollTop = log.scrollHeight;
  }
  text.focus();
}

line.addEventListener("submit", submit);
text.addEventListener("input", () => {
  trouble("");
  if (text.value === "/") refreshCommands();
});
text.addEventListener("keydown", (event) => {
  if (event.key === "ArrowUp" && !text.value && sent) {
    event.preventDefault();
    text.value = sent;
  }
});
file.addEventListener("change", () => {
  for (const one of file.files) {
    files.push(one);
    named(one);
  }
  file.value = "";
  showFiles();
  typing.close();
  text.focus();
});

function begin() {
  last = PAGE;
  drawn = new Map();
  log.replaceChildren();
  log.setAttribute("aria-live", "off");
  trouble("");
  forms.show(null);
  turn();
}

who.addEventListener("change", () => {
  latest = null;
  fillPlaces(where.value);
  begin();
});
where.addEventListener("change", begin);

async function start() {
  try {
    await loadTown();
    begin();
    text.focus();
  } catch {
    at("status").textContent = "No answer from the server; trying again.";
    setTimeout(start, AGAIN_MS);
  }
}

start();
