// The slip on which a note is written, or changed: its frames, kind, words and drawings.

/** `pinned` when the note's frames are set; until then it is about the frame on screen. `editing` is the note being changed. */
const slip = { pinned: false, first: 0, frames: 1, shapes: [], editing: null };

/** The frames that the slip's note has, before it is said what it is about. */
function slipSpan() {
  return slip.pinned ? { first: slip.first, frames: slip.frames } : { first: movie.shown, frames: 1 };
}

function pinSlip(first, last) {
  if (first === undefined && slip.pinned) return;
  put("slip_said");
  const from = first ?? movie.shown;
  Object.assign(slip, { pinned: true, first: from, frames: Math.max((last ?? from) - from + 1, 1) });
  tellSpan();
}

function fromHere() {
  const end = slip.pinned ? slip.first + slip.frames - 1 : movie.shown;
  pinSlip(movie.shown, Math.max(end, movie.shown));
}

function toHere() {
  const from = slip.pinned ? Math.min(slip.first, movie.shown) : movie.shown;
  pinSlip(from, movie.shown);
}

function tellSpan() {
  tellAbout();
  const { first, frames } = spanAbout(byId("about").value, slipSpan(), slip.shapes);
  put("span", spanSaid(first, frames));
  if (chart.at) drawDraft();
}

/** What a note may be about, from what is on screen at its first frame; what was chosen stays chosen where it still is. */
function tellAbout() {
  const { first } = slipSpan();
  const shot = shotAt(first);
  const hits = page.hits.filter((hit) => hit.shot === shot.number);
  const choices = [["frames", `these frames, in shot ${shot.number}`], ["shot", `shot ${shot.number} as a whole`],
    ...hits.map((hit) => [`hit ${hit.move}`, `the hit of move ${hit.move}, ${hit.label}`.slice(0, 90)]), ["cut", "the whole cut"]];
  const about = byId("about");
  const now = about.value;
  const locked = slip.shapes.length > 0;
  const said = JSON.stringify([choices, locked]);
  if (about.dataset.said === said) return;
  about.dataset.said = said;
  about.replaceChildren(...choices.map(([value, words]) =>
    element("option", { value, disabled: locked && (value === "shot" || value === "cut") }, words)));
  about.value = choices.some(([value]) => value === now) ? now : "frames";
}

function chosenKind() {
  const chosen = byId("slip").querySelector("input[name=kind]:checked");
  return chosen ? chosen.value : "";
}

function chooseKind(kind) {
  for (const one of byId("slip").querySelectorAll("input[name=kind]")) one.checked = one.value === kind;
  show("care", kind === "safety worry");
}

/** A note on an unclear hit is about the nearest hit of its shot, unless something else was chosen. */
function kindChosen() {
  movie.video.pause();
  pinSlip();
  show("care", chosenKind() === "safety worry");
  const { first } = slipSpan();
  const away = (hit) => Math.abs(hit.frame - first);
  const [near] = page.hits.filter((hit) => hit.shot === shotAt(first).number).sort((one, other) => away(one) - away(other));
  if (chosenKind() === "unclear hit" && near && byId("about").value === "frames") byId("about").value = `hit ${near.move}`;
  tellSpan();
}

function tellSlip(fault) {
  put("slip_fault", fault);
  show("slip_fault", Boolean(fault));
}

/** What is missing, as a sentence and the field that it is about. */
function missing() {
  if (!byId("reviewer").value.trim()) return ["Write your name first, so that the answer finds you.", byId("reviewer")];
  if (!chosenKind()) return ["Choose what you ask for.", byId("slip").querySelector("input[name=kind]")];
  if (chosenKind() === "other" && !byId("words").value.trim() && !slip.shapes.length) {
    return ["Say in your words what you ask for.", byId("words")];
  }
  if (kept.notes.length >= page.limits.notes && !slip.editing) {
    return [`A file holds at most ${page.limits.notes} notes; save these, and delete some.`, byId("save")];
  }
  return null;
}

function addNote(event) {
  event.preventDefault();
  const fault = missing();
  tellSlip(fault ? fault[0] : "");
  if (fault) return fault[1].focus();
  const given = {
    reviewer: byId("reviewer").value.trim(), kind: chosenKind(), text: byId("words").value, about: byId("about").value,
    marked: slipSpan(), shapes: slip.shapes,
  };
  const note = noteOf(given, slip.editing);
  const changed = slip.editing !== null;
  clearSlip();
  kept.deleted = null;
  putNote(note);
  put("slip_said", `${changed ? "Changed" : "Added"}: ${kindSaid(note.kind)}, ${noteAbout(note)}.`);
  // To where the keys play and step; Space on the button would add a note without anything in it.
  return chart.box.focus({ preventScroll: true });
}

function clearSlip() {
  Object.assign(slip, { pinned: false, shapes: [], editing: null });
  leaveDrawing();
  chooseKind("");
  byId("words").value = "";
  byId("about").value = "frames";
  byId("add").textContent = "Add the note";
  show("leave_edit", false);
  tellShapes();
  tellSpan();
}

/** Puts a note on the slip to be changed. */
function editNote(note) {
  clearSlip();
  const shapes = note.drawings.map((one) => ({ ...one }));
  Object.assign(slip, { pinned: true, first: note.first_frame, frames: note.frames, shapes, editing: note });
  goTo(note.first_frame);
  tellShapes();
  tellAbout();
  byId("about").value = aboutOf(note);
  chooseKind(note.kind);
  byId("words").value = note.text;
  byId("add").textContent = "Change the note";
  show("leave_edit", true);
  tellSpan();
  byId("words").focus();
}

/** Ctrl and Enter add the note from wherever one writes; Escape leads back to where the keys play and step. */
function keyOnSlip(event) {
  if (event.isComposing) return;
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) byId("slip").requestSubmit();
  else if (event.key === "Escape") chart.box.focus({ preventScroll: true });
  else return;
  event.preventDefault();
}

function startForm() {
  byId("reviewer").maxLength = page.limits.name;
  byId("words").maxLength = page.limits.text;
  byId("kinds").append(...page.kinds.map((kind) => {
    const choice = element("input", { type: "radio", name: "kind", value: kind });
    return element("label", { class: "kind" }, choice, element("span", {}, kindSaid(kind)));
  }));
  byId("kinds").addEventListener("change", kindChosen);
  byId("about").addEventListener("change", () => { pinSlip(); tellSpan(); });
  byId("words").addEventListener("focus", () => { movie.video.pause(); pinSlip(); });
  byId("from_here").addEventListener("click", fromHere);
  byId("to_here").addEventListener("click", toHere);
  byId("only_here").addEventListener("click", () => pinSlip(movie.shown, movie.shown));
  byId("leave_edit").addEventListener("click", clearSlip);
  byId("slip").addEventListener("submit", addNote);
  byId("slip").addEventListener("keydown", keyOnSlip);
  onFrame(() => { if (!slip.pinned) tellSpan(); });
}
