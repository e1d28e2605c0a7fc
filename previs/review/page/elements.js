// Finding and making elements. Texts are always put in as text; nothing here reads markup.

const page = JSON.parse(document.getElementById("page_data").textContent);

function byId(id) {
  return document.getElementById(id);
}

/** An element with attributes and children; a child that is a string becomes text. */
function element(name, attributes, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** The same for a part of a drawing. */
function drawn(name, attributes, ...children) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", name), attributes, children);
}

function filled(made, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value !== null && value !== undefined && value !== false) made.setAttribute(name, String(value));
  }
  made.append(...children);
  return made;
}

/** A piece of text from the document or a reviewer, which may run from right to left. */
function told(text, kind) {
  return element("span", { class: kind || "told", dir: "auto" }, text);
}

function show(id, visible) {
  byId(id).hidden = !visible;
}

/** Puts children in the place of what an element held. */
function put(id, ...children) {
  byId(id).replaceChildren(...children);
}

/** A boxed fact of the call sheet: its name above, its value below. */
function box(name, value, kind) {
  return element("div", { class: kind || null }, element("dt", {}, name), element("dd", { dir: "auto" }, value));
}

/** One thing or several: `1 frame`, `12 frames`. */
function counted(number, what) {
  return `${number} ${what}${number === 1 ? "" : "s"}`;
}

function limited(number, least, most) {
  return Math.min(Math.max(number, least), most);
}
