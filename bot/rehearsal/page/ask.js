// Calls to the server that sent this page; no other address is ever asked.

export class Failed extends Error {
  constructor(status, reason) {
    super(reason);
    this.status = status;
  }
}

async function answered(response) {
  const body = await response.json();
  if (!response.ok) throw new Failed(response.status, body.error || "no answer");
  return body;
}

export async function get(path, query, signal) {
  return answered(await fetch(`${path}?${new URLSearchParams(query)}`, { signal }));
}

export async function post(path, body, signal) {
  const headers = { "Content-Type": "application/json" };
  const text = JSON.stringify(body);
  return answered(await fetch(path, { method: "POST", headers, body: text, signal }));
}

// An element with its text, attributes and children. Texts are only ever set as text.
export function make(tag, options = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (name === "class") node.className = value;
    else if (name === "text") node.textContent = value;
    else if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  node.append(...children.filter((child) => child != null));
  return node;
}
