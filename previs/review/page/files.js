// The notes as a file, as text and as print; and files read back, strictly: anything else than notes on this cut is refused.

class Refused extends Error {}

function fileName(ending) {
  const plain = (text) => text.replace(/[^A-Za-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 40);
  return `${["notes", plain(page.cut), plain(byId("reviewer").value)].filter(Boolean).join("_")}.${ending}`;
}

function notesFileText() {
  const whole = { document: "previs notes", schema: 1, sequence: page.title, cut: page.cut, notes: [...kept.notes].sort(inOrder) };
  return `${JSON.stringify(whole, null, 1)}\n`;
}

function download(text, kind, name) {
  const address = URL.createObjectURL(new Blob([text], { type: kind }));
  const link = element("a", { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

function saveNotes() {
  if (!kept.notes.length) return say("There is no note to save yet.");
  const name = fileName("json");
  download(notesFileText(), "application/json", name);
  kept.unsaved = false;
  rememberSaved(kept.notes);
  tellNotes();
  const gone = kept.notes.length - listedNotes().length;
  const also = gone ? `, with word that ${counted(gone, "note")} ${gone === 1 ? "is" : "are"} taken back` : "";
  return say(`${counted(listedNotes().length, "note")} saved as ${name}, in the folder for downloads${also}; send that file back.`);
}

function saveText() {
  if (!listedNotes().length) return say("There is no note to save yet.");
  const name = fileName("txt");
  download(notesAsText(), "text/plain", name);
  return say(`The notes are saved as ${name}, to be read by people; 'Save notes' makes the file that is sent back.`);
}

/** All notes of this page as lines of text, each note as a list of lines. */
function noteLines(note, number) {
  const written = `${note.written.slice(0, 16).replace("T", " ")} UTC`;
  const lines = [`${number}. ${kindSaid(note.kind)}: ${noteAbout(note)}`, `   ${note.reviewer}, ${written}`];
  if (note.text) lines.push(...note.text.split("\n").map((one) => `   ${one}`));
  return [...lines, ...note.drawings.map((shape) => `   drawn: ${shapeSaid(shape)}`)];
}

function notesAsText() {
  const line = page.confidential ? "rehearsal footage: not for distribution" : "";
  const head = [page.title, `cut ${page.cut}, ${label(page.frames % framesADay)}, ${page.made}`, line];
  const notes = listedNotes().flatMap((note, place) => ["", ...noteLines(note, place + 1)]);
  return `${[...head.filter(Boolean), ...notes].join("\n")}\n`;
}

function printNotes() {
  put("sheet_to_print", element("pre", { dir: "auto" }, notesAsText()));
  window.print();
}

/** A number that the file's reader takes. */
function count(value, least, most) {
  return Number.isInteger(value) && value >= least && value <= most;
}

function text(value, most) {
  return typeof value === "string" && Array.from(value).length <= most;
}

function checkedShape(raw) {
  const ends = ["from_x", "from_y", "to_x", "to_y"];
  const sound = raw && ["circle", "arrow"].includes(raw.shape) && ends.every((end) => count(raw[end], 0, 1000));
  if (!sound || Object.keys(raw).length !== 5) throw new Refused("a drawing");
  return { shape: raw.shape, from_x: raw.from_x, from_y: raw.from_y, to_x: raw.to_x, to_y: raw.to_y };
}

const MOMENT = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)$/;

/** What each part of a note must be, as the reader of the file has it. */
const NOTE_PARTS = {
  ident: (value) => typeof value === "string" && /^[A-Za-z0-9_-]{1,64}$/.test(value),
  reviewer: (value) => text(value, page.limits.name),
  written: (value) => typeof value === "string" && MOMENT.test(value) && !Number.isNaN(Date.parse(value)),
  kind: (value) => page.kinds.includes(value),
  text: (value) => text(value, page.limits.text),
  shot: (value) => text(value, page.limits.name),
  first_frame: (value) => count(value, 0, lastFrame),
  frames: (value) => count(value, 1, page.frames),
  reel: (value) => text(value, page.limits.name),
  tape_frame: (value) => value === null || count(value, 0, 1e9),
  move: (value) => value === null || count(value, 0, 1e9),
  drawings: (value) => Array.isArray(value) && value.length <= page.limits.drawings,
  taken_back: (value) => value === undefined || value === true || value === false,
};

const NOTE_DEFAULTS = { text: "", shot: "", first_frame: 0, frames: 1, reel: "", tape_frame: null, move: null, drawings: [] };

/** A note of a file, or of the browser's store, with nothing in it but what a note has; throws `Refused`. */
function checkedNote(raw) {
  if (!raw || typeof raw !== "object" || Array.isArray(raw)) throw new Refused("a note");
  const unknown = Object.keys(raw).find((name) => !Object.hasOwn(NOTE_PARTS, name));
  if (unknown !== undefined) throw new Refused("a part that no note has");
  const note = { ...NOTE_DEFAULTS, ...raw };
  for (const [name, isSound] of Object.entries(NOTE_PARTS)) if (!isSound(note[name])) throw new Refused(name.replaceAll("_", " "));
  if (note.shot && !page.shots.some((shot) => shot.ident === note.shot)) throw new Refused("a shot that this cut does not have");
  if (note.first_frame + note.frames > page.frames) throw new Refused("frames beyond the cut");
  return { ...note, drawings: note.drawings.map(checkedShape) };
}

/** The notes of a file's text; throws `Refused` with what is wrong. */
function notesOfText(content) {
  let raw;
  try {
    raw = JSON.parse(content);
  } catch {
    throw new Refused("it is no JSON text");
  }
  if (!raw || raw.document !== "previs notes") throw new Refused("it is no notes file of a review page");
  if (raw.schema !== 1) throw new Refused("it was saved by a page of another previs");
  if (raw.sequence !== page.title || raw.cut !== page.cut) throw new Refused("its notes are on another sequence or cut");
  if (!Array.isArray(raw.notes) || raw.notes.length > page.limits.notes) throw new Refused("its list of notes is damaged");
  try {
    return raw.notes.map(checkedNote);
  } catch (fault) {
    throw new Refused(`a note in it is damaged (${fault.message})`);
  }
}

async function openNotes(file) {
  try {
    if (file.size > page.limits.bytes) throw new Refused(`it is larger than ${Math.floor(page.limits.bytes / 1048576)} MB`);
    const notes = notesOfText(await file.text());
    const before = new Map(kept.notes.map((note) => [note.ident, note]));
    const newer = notes.filter((note) => !before.has(note.ident) || before.get(note.ident).written < note.written);
    rememberSaved(notes);
    changeNotes((now) => [...now.filter((note) => !newer.some((one) => one.ident === note.ident)), ...newer]);
    say(`${counted(newer.length, "note")} taken in from ${file.name.slice(0, 80)}; here already: ${notes.length - newer.length}.`);
  } catch (fault) {
    const why = fault instanceof Refused ? fault.message : "it cannot be read";
    say(`${file.name.slice(0, 80)} is not taken in: ${why}; choose a file that this page saved.`);
  }
}

function startFiles() {
  byId("save").addEventListener("click", saveNotes);
  byId("save_text").addEventListener("click", saveText);
  byId("print").addEventListener("click", printNotes);
  byId("open").addEventListener("click", () => byId("open_file").click());
  byId("open_file").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (file) await openNotes(file);
    event.target.value = "";
  });
}
