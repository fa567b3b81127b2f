// The notebook: who, where, and the record as it grows.

import { get, make, post } from "./ask.js";
import { Clock } from "./clock.js";
import { draw } from "./entries.js";
import { Forms } from "./forms.js";
import { Line } from "./line.js";

const PAGE = 200, AGAIN_MS = 1000, BREATH_MS = 80;
const at = (id) => document.getElementById(id);
const [who, where, log, status] = ["who", "where", "log", "status"].map(at);
const world = { names: new Map(), now: new Date() };
let town = { bot: { name: "" }, people: [] };
let shape = "";
let commands = [];
let last = PAGE;
let following = null;
let drawn = new Map();
let latest = null;
let atEnd = true;
let topBefore = 0;

const line = new Line({
  here,
  send,
  trouble,
  commands: () => commands,
  people: () => town.people.map((person) => person.name),
  rooms: () => places().filter((p) => p.community && p.community === place()?.community)
    .map((p) => p.name),
  complete: async (typed, signal) => (await post("/page/complete", here({ text: typed }), signal))
    .choices || [],
  refresh: refreshCommands,
  sent: toEnd,
});
const forms = new Forms(at("form"), {
  world: () => world,
  who: () => who.value,
  after: () => { if (document.activeElement === document.body) line.focus(); },
});

const clock = new Clock({
  who: () => town.people.find((person) => person.id === who.value)?.name,
  trouble,
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

function pause(milliseconds) {
  return new Promise((done) => { setTimeout(done, milliseconds); });
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
      if (news) status.textContent = p.private ? "New in private." : `New in ${p.name}.`;
    }
  }
}

async function refreshCommands() {
  const before = JSON.stringify(commands);
  try {
    commands = (await get("/page/commands", here())).commands || [];
  } catch {
    commands = [];
  }
  // showing the same offers again would lose the one that is marked
  if (JSON.stringify(commands) !== before) line.look();
}

// The record

async function follow() {
  if (following) following.abort();
  following = new AbortController();
  const { signal } = following;
  history.replaceState(null, "", `#${who.value}/${where.value}`);
  at("to").hidden = Boolean(place()?.private);
  document.title = `${place()?.private ? "In private" : place()?.name}: tank-side notebook`;
  refreshCommands();
  let after = null;
  while (!signal.aborted) {
    const begun = performance.now();
    try {
      after = await lookOnce(after, signal);
      // many changes at once are one look
      await pause(BREATH_MS - (performance.now() - begun));
    } catch (error) {
      if (signal.aborted) return;
      after = null;
      status.textContent = "No answer from the server; trying again.";
      await pause(AGAIN_MS);
      if (error.status === 404) await loadTown().catch(() => {});
    }
  }
}

async function lookOnce(after, signal) {
  const query = here(after === null ? { last } : { last, after });
  const found = await get("/page/record", query, signal);
  if (signal.aborted) return after;
  if (shape && found.town !== shape) await loadTown();
  shape = found.town;
  if (after === null) status.textContent = "";
  show(found);
  return found.changes;
}

function show(found) {
  world.now = new Date(found.now);
  clock.show(found.clock);
  const first = !drawn.size;
  const before = drawn;
  const focused = document.activeElement;
  drawn = drawAll(found, before);
  lay([...drawn.values()].map((standing) => standing.node));
  refocus(focused, before);
  keepEnd();
  // what stood there before need not be read out
  if (first) setTimeout(() => log.setAttribute("aria-live", "polite"), 100);
  markPlaces(found.latest);
  forms.show(found.form);
}

// A picture takes whole rules, so that what follows stands on them; and the end stays in sight.
function settle(event) {
  const frame = event.target.closest("figure");
  if (!frame) return;
  const rule = parseFloat(getComputedStyle(log).lineHeight);
  frame.style.minHeight = `${Math.ceil(frame.offsetHeight / rule) * rule}px`;
  keepEnd();
}

// Only going up leaves the end: that the record grew or lost room meanwhile does not.
function noteEnd() {
  if (log.scrollHeight - log.scrollTop - log.clientHeight < 4) atEnd = true;
  else if (log.scrollTop < topBefore) atEnd = false;
  topBefore = log.scrollTop;
}

function keepEnd() {
  // one may have gone up since the last word about it
  noteEnd();
  if (atEnd) toEnd();
}

function toEnd() {
  log.scrollTop = log.scrollHeight;
  topBefore = log.scrollTop;
  atEnd = true;
}

// What has not changed keeps its node, and with it focus and what was chosen there.
function drawAll(found, before) {
  const after = new Map();
  const keep = (id, key, build) => {
    const old = before.get(id);
    after.set(id, old && old.key === key ? old : { key, node: build() });
  };
  if (found.earlier) keep("earlier", "", earlier);
  let day = "";
  for (const entry of found.entries) {
    const date = new Date(entry.time).toLocaleDateString(undefined, { dateStyle: "full" });
    if (date !== day) keep(date, "", () => make("h2", { class: "day", text: date }));
    day = date;
    keep(entry.id, JSON.stringify(entry), () => draw(entry, world, act));
  }
  if (!found.entries.length) {
    keep("empty", "", () => make("p", { class: "empty", text: "Nothing written here yet." }));
  }
  return after;
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
  if (focused.isConnected) return;
  const entry = focused.closest(".entry");
  const id = [...before].find(([, old]) => old.node === entry)?.[0];
  const now = id && drawn.get(id)?.node;
  if (!now) {
    line.focus();
    return;
  }
  const same = [...now.querySelectorAll("[data-key]")]
    .find((node) => node.dataset.key === focused.dataset.key && !node.disabled);
  (same || now).focus();
}

function earlier() {
  return make("button", { type: "button", class: "plain earlier", text: "Earlier pages",
    onclick: () => { last += PAGE; follow(); } });
}

async function act(path, body) {
  await send(path, here(body));
}

function begin() {
  last = PAGE;
  drawn = new Map();
  atEnd = true;
  topBefore = 0;
  log.replaceChildren();
  log.setAttribute("aria-live", "off");
  trouble("");
  forms.show(null);
  follow();
}

log.addEventListener("load", settle, true);
log.addEventListener("scroll", noteEnd);
// offers, files and a phone's keys take room from the record
new ResizeObserver(keepEnd).observe(log);
who.addEventListener("change", () => {
  latest = null;
  fillPlaces(where.value);
  begin();
});
where.addEventListener("change", begin);

async function start() {
  try {
    await loadTown();
  } catch {
    status.textContent = "No answer from the server; trying again.";
    setTimeout(start, AGAIN_MS);
    return;
  }
  begin();
  line.focus();
}

start();
