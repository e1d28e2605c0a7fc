// Keeping the notes in the browser until they are saved; where it refuses, they are kept while the page is open, and that is said.

const STORE = `previs notes/${page.title}/${page.cut}/${page.page}`;
const NAME_STORE = "previs reviewer";

/** `refused` when the browser keeps nothing; `unsaved` while notes would be lost with the page; `saved` are idents that a file has, each with when it was written. */
const kept = { notes: [], refused: false, unsaved: false, deleted: null, saved: [] };

/** The notes that stand, in order; those that were taken back stay in the file only. */
function listedNotes() {
  return kept.notes.filter((note) => !note.taken_back).sort(inOrder);
}

function stored(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    kept.refused = true;
    return null;
  }
}

function store(key, text) {
  try {
    localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

/** The notes that the browser has, as far as they can be read; what cannot is put aside, not thrown away. */
function notesStored() {
  const text = stored(STORE);
  if (text === null) return [];
  try {
    return JSON.parse(text).map((raw) => checkedNote(raw));
  } catch {
    store(`${STORE}/unreadable`, text);
    return [];
  }
}

/** Changes the notes; another tab may have changed them too, so they are read anew first. */
function changeNotes(change) {
  const before = kept.refused ? kept.notes : notesStored();
  kept.notes = change(before);
  if (!store(STORE, JSON.stringify(kept.notes))) kept.refused = true;
  if (kept.refused) kept.unsaved = kept.notes.length > 0;
  tellNotes();
}

function putNote(note) {
  changeNotes((notes) => [...notes.filter((one) => one.ident !== note.ident), note]);
}

/** A note that a file has is kept as taken back, so that the next file tells it; any other is forgotten. */
function deleteNote(note) {
  kept.deleted = note;
  const gone = isSaved(note) ? [{ ...note, written: writtenNow(note.written), taken_back: true }] : [];
  changeNotes((notes) => [...notes.filter((one) => one.ident !== note.ident), ...gone]);
}

/** A note that was taken back counts as written again, since a file may have told that it is gone. */
function putBack() {
  const note = kept.deleted;
  kept.deleted = null;
  if (!note) return;
  const gone = kept.notes.find((one) => one.ident === note.ident);
  putNote(gone ? { ...note, written: writtenNow(gone.written) } : note);
}

/** Remembers that a file has these notes. */
function rememberSaved(notes) {
  kept.saved = [...new Set([...stampsSaved(), ...notes.map(stampOf)])];
  store(`${STORE}/saved`, JSON.stringify(kept.saved));
}

function stampOf(note) {
  return `${note.ident} ${note.written}`;
}

/** Whether a file has the note, as it is now or as it was. */
function isSaved(note) {
  return stampsSaved().some((stamp) => stamp.startsWith(`${note.ident} `));
}

/** How many notes are in no file as they are now. */
function notSaved() {
  const stamps = new Set(stampsSaved());
  return kept.notes.filter((note) => !stamps.has(stampOf(note))).length;
}

function stampsSaved() {
  try {
    return [...kept.saved, ...JSON.parse(stored(`${STORE}/saved`) || "[]").map(String)];
  } catch {
    return kept.saved;
  }
}

/** Where the notes are kept, in words. */
function keptSaid() {
  if (kept.refused) return "This browser keeps nothing for this page: save the notes before you close it.";
  return "Kept in this browser, also when you close the page. Save them when you are done, and send the file back.";
}

function startKeeping() {
  kept.notes = notesStored();
  if (!store(`${STORE}/open`, "1")) kept.refused = true;
  else localStorage.removeItem(`${STORE}/open`);
  byId("reviewer").value = stored(NAME_STORE) || "";
  byId("reviewer").addEventListener("input", () => {
    store(NAME_STORE, byId("reviewer").value);
    tellNotes();
  });
  addEventListener("storage", (event) => {
    if (event.key !== STORE) return;
    kept.notes = notesStored();
    tellNotes();
  });
  addEventListener("beforeunload", (event) => {
    if (kept.unsaved) event.preventDefault();
  });
}
