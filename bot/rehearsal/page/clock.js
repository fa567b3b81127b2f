// The clock: the time now, how fast it runs, a step to a day and time, and what is due next.

import { get, make, post } from "./ask.js";
import { utc } from "./marks.js";

const LOOK_MS = 1000, DAY_MS = 86400000, SHOWN = 4;
const PATH = "/page/clock";
const at = (id) => document.getElementById(id);
const ours = new Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";

export class Clock {
  // `host`: who() for the chosen person's name, trouble(words)
  constructor(host) {
    this.host = host;
    this.box = at("clock");
    this.then = at("then");
    this.list = at("coming");
    this.speeds = [...this.box.querySelectorAll("[data-speed]")];
    this.zones = new Map();
    this.state = null;
    this.listed = "";
    this.chosen = false;
    this.asking = false;
    this.again = false;
    this.told = 0;
    for (const button of this.speeds) {
      button.addEventListener("click", () => this.tell({ speed: Number(button.dataset.speed) }));
    }
    at("next").addEventListener("click", () => this.tell({ next: true }));
    at("step").addEventListener("submit", (event) => {
      event.preventDefault();
      this.step();
    });
    this.then.addEventListener("input", () => { this.chosen = Boolean(this.then.value); });
    setInterval(() => this.tick(), LOOK_MS);
  }

  // What every look at the record brings; null where there is no clock to turn.
  show(state) {
    this.box.hidden = !state;
    if (!state) {
      this.state = null;
      return;
    }
    this.take(state);
    this.look();
  }

  tick() {
    if (this.state && (this.state.speed || this.state.walking) && !document.hidden) this.look();
  }

  async look() {
    if (!this.state) return;
    // what came up while a look is on its way is seen by one more after it
    if (this.asking) {
      this.again = true;
      return;
    }
    this.asking = true;
    const { told } = this;
    try {
      const state = await get(PATH, {});
      // what came of a press is newer
      if (told === this.told) this.take(state);
    } catch {
      // the record says that there is no answer
    }
    this.asking = false;
    if (this.again) setTimeout(() => this.look(), LOOK_MS / 4);
    this.again = false;
  }

  step() {
    if (this.then.value) this.tell({ to: this.then.value, zone: this.zone() });
    else this.host.trouble("Choose a day and a time to step to.");
  }

  async tell(body) {
    this.host.trouble("");
    this.told += 1;
    try {
      const state = await post(PATH, body);
      this.told += 1;
      if (state.refused) {
        this.host.trouble(state.refused);
        return;
      }
      if (body.to) this.chosen = false;
      this.take(state);
    } catch (error) {
      this.host.trouble(error.status ? error.message : "No answer from the server.");
    }
  }

  take(state) {
    const before = this.state;
    this.state = state;
    if (state.coming) this.showComing(state.coming);
    const words = this.showNow();
    for (const button of this.speeds) {
      const on = !state.walking && Number(button.dataset.speed) === state.speed;
      button.setAttribute("aria-pressed", String(on));
    }
    if (state.walking && !before?.walking) at("turned").textContent = "Stepping …";
    if (before?.walking && !state.walking) {
      if (state.trouble) this.host.trouble(state.trouble);
      // the time itself is not read out whenever it changes
      at("turned").textContent = `It is ${words}.`;
    }
  }

  // The chosen person's, as far as anything due ever told it.
  zone() {
    return this.zones.get(this.host.who()) || ours;
  }

  showNow() {
    const now = new Date(this.state.now);
    const [day, hour] = spoken(now, this.zone());
    const node = at("now");
    const shown = this.state.walking ? `${day} …` : day;
    if (node.textContent !== `${shown} ${hour}`) {
      node.replaceChildren(make("span", { text: shown }), " ", make("span", { text: hour }));
    }
    node.dateTime = this.state.now;
    node.title = `${this.zone()}, ${utc(now.toISOString())}`;
    // one day on, until somebody chooses: never while they do
    if (!this.chosen && document.activeElement !== this.then) {
      const value = wall(new Date(now.getTime() + DAY_MS), this.zone());
      if (this.then.value !== value) this.then.value = value;
    }
    return `${day}, ${hour}`;
  }

  showComing(coming) {
    for (const one of coming) this.zones.set(one.who, one.zone);
    const rows = coming.slice(0, SHOWN);
    const listed = JSON.stringify(rows);
    if (listed === this.listed) return;
    this.listed = listed;
    const items = rows.map((one) => make("li", {},
      make("time", { datetime: one.due, title: utc(new Date(one.due).toISOString()),
        text: one.local }),
      ` · ${one.who} · ${one.text}`));
    this.list.replaceChildren(...(items.length ? items
      : [make("li", { class: "pencil", text: "Nothing is due." })]));
  }
}

function parts(date, zone, options, locale = "en-GB") {
  const format = new Intl.DateTimeFormat(locale, { timeZone: zone, ...options });
  return Object.fromEntries(format.formatToParts(date).map((part) => [part.type, part.value]));
}

// As the server writes what is due, with the zone's short name as the browser's owner knows it.
function spoken(date, zone) {
  const p = parts(date, zone, { weekday: "short", day: "numeric", month: "short",
    hour: "numeric", minute: "2-digit", hourCycle: "h12" });
  const { timeZoneName } = parts(date, zone, { timeZoneName: "short" }, []);
  const hour = `${p.hour}:${p.minute} ${p.dayPeriod.toLowerCase()} ${timeZoneName}`;
  return [`${p.weekday} ${p.day} ${p.month}`, hour];
}

function wall(date, zone) {
  const p = parts(date, zone, { year: "numeric", month: "2-digit", day: "2-digit",
    hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  return `${p.year}-${p.month}-${p.day}T${p.hour}:${p.minute}`;
}
