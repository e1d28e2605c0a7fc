// The notes of this page, and the earlier ones with what became of them.

function say(sentence) {
  put("said", sentence);
}

/** A button that is told what it belongs to, since many have the same word. */
function rowButton(name, of, act) {
  const button = element("button", { type: "button", "aria-label": `${name}: ${of}` }, name);
  button.addEventListener("click", act);
  return button;
}

function noteHead(first, sign, words) {
  const button = element("button", { type: "button", class: "go" }, element("span", { class: "number" }, sign), told(words));
  if (first === null) button.disabled = true;
  else button.addEventListener("click", () => goTo(first));
  return button;
}

function drawOwnNote(note, place) {
  const about = `${kindSaid(note.kind)}: ${noteAbout(note)}`;
  const item = element("li", {}, noteHead(note.first_frame, String(place + 1), about));
  if (note.text) item.append(element("p", { class: "words", dir: "auto" }, note.text));
  const drawings = note.drawings.length ? `, ${counted(note.drawings.length, "drawing")}` : "";
  const foot = element("p", { class: "foot" }, told(note.reviewer), drawings);
  if (note.reviewer === byId("reviewer").value.trim()) {
    const name = `note ${place + 1}`;
    foot.append(" ", rowButton("Change", name, () => editNote(note)), " ", rowButton("Delete", name, () => removeNote(note)));
  } else foot.append("; to change it, write that name above");
  item.append(foot);
  return item;
}

function removeNote(note) {
  if (slip.editing && slip.editing.ident === note.ident) clearSlip();
  deleteNote(note);
  byId("put_back").focus();
}

const STATES = { open: ["\u25cb", "open"], done: ["\u2713", "done"], declined: ["\u2715", "declined"], "taken back": ["\u2013", "taken back"] };

/** Where an earlier note is in this version. */
function whereNow(note) {
  if (note.first === null) return "homeless";
  return note.shot === null ? "the whole cut" : `now shot ${note.shot}, ${spanSaid(note.first, note.frames)}`;
}

function drawEarlierNote(note) {
  const [sign, state] = STATES[note.state];
  const item = element("li", { class: note.state }, noteHead(note.first, sign, `${state}: ${kindSaid(note.kind)}, ${whereNow(note)}`));
  if (note.text) item.append(element("p", { class: "words", dir: "auto" }, note.text));
  if (note.answer) item.append(element("p", { class: "answer", dir: "auto" }, `Answer: ${note.answer}`));
  item.append(element("p", { class: "foot" }, told(note.reviewer), ", on cut ", told(note.cut), ", ", told(note.about), `; ${note.how}`));
  return item;
}

/** Shows the notes as they are now. */
function tellNotes() {
  const notes = listedNotes();
  put("own_list", ...notes.map(drawOwnNote));
  const open = notSaved();
  put("own_count", [notes.length ? counted(notes.length, "note") : "none yet", open ? `${counted(open, "change")} not saved yet` : ""]
    .filter(Boolean).join(", "));
  put("kept", keptSaid());
  byId("kept").classList.toggle("refused", kept.refused);
  show("put_back_line", kept.deleted !== null);
  const gone = kept.deleted ? `${kindSaid(kept.deleted.kind)}, ${noteAbout(kept.deleted)}` : "";
  const sent = kept.deleted && isSaved(kept.deleted) ? " A file saved before has it; the next file that you save takes it back." : "";
  put("put_back_words", `Deleted: ${gone}.${sent}`);
  if (chart.at) drawNoteMarks();
  drawOverlay(movie.shown);
}

function startLists() {
  byId("put_back").addEventListener("click", () => { putBack(); byId("own_title").scrollIntoView({ block: "nearest" }); });
  show("before", page.earlier.length > 0);
  put("before_count", Object.values(STATES).map(([, state]) => [page.earlier.filter((note) => note.state === state).length, state])
    .filter(([number]) => number).map(([number, state]) => `${number} ${state}`).join(", "));
  put("before_list", ...page.earlier.map(drawEarlierNote));
  tellNotes();
}
