// A note as a value, exactly as the notes file has it: made from the slip and from what is on screen; and in words.

/** A name for a note that no other note has. */
function newIdent() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Now, in ISO 8601; always later than `before`, so that a note written again counts as the newer one. */
function writtenNow(before) {
  const least = before ? Date.parse(before) + 1 : 0;
  return new Date(Math.max(Date.now(), least)).toISOString();
}

/** Text without halves of signs, which no file can hold. */
function soundText(text) {
  const half = (sign) => sign.length === 1 && sign >= "\uD800" && sign <= "\uDFFF";
  return Array.from(text, (sign) => (half(sign) ? "\uFFFD" : sign)).join("");
}

/** The frames that a note is about: those marked, its shot, its hit, or all; what is drawn on stays with the frame it was drawn on. */
function spanAbout(about, marked, shapes) {
  if (about === "cut") return { first: 0, frames: page.frames };
  const shot = shotAt(marked.first);
  if (about === "shot") return { first: shot.first, frames: shot.frames };
  const hit = hitAbout(about, marked.first);
  if (hit && !shapes.length && !holds(marked.first, marked.frames, hit.frame)) return { first: hit.frame, frames: 1 };
  return marked;
}

/** The hit that a note is about, for `hit 10`. */
function hitAbout(about, frame) {
  if (!about.startsWith("hit ")) return null;
  const move = Number(about.slice(4));
  return page.hits.find((hit) => hit.move === move && hit.shot === shotAt(frame).number) || null;
}

/** A note of the values that a person gave: `kind`, `text`, `about`, `marked` frames, `shapes`, `reviewer`. */
function noteOf(given, earlier) {
  const { first, frames } = spanAbout(given.about, given.marked, given.shapes);
  const shot = given.about === "cut" ? null : shotAt(first);
  const hit = hitAbout(given.about, given.marked.first);
  return {
    ident: earlier ? earlier.ident : newIdent(),
    reviewer: soundText(given.reviewer),
    written: writtenNow(earlier && earlier.written),
    kind: given.kind,
    text: soundText(given.text),
    shot: shot ? shot.ident : "",
    first_frame: first,
    frames,
    reel: shot ? shot.reel : "",
    tape_frame: shot ? tapeFrameAt(shot, first) : null,
    move: hit ? hit.move : null,
    drawings: given.shapes.map((shape) => ({ ...shape })),
  };
}

/** What the slip would have to say for a note that is changed. */
function aboutOf(note) {
  if (!note.shot) return "cut";
  if (note.move !== null && note.move !== undefined) return `hit ${note.move}`;
  const shot = shotAt(note.first_frame);
  const whole = note.frames > 1 && note.first_frame === shot.first && note.frames === shot.frames;
  return whole && !note.drawings.length ? "shot" : "frames";
}

function spanSaid(first, frames) {
  if (frames === 1) return recordLabel(first);
  return `${recordLabel(first)} to ${recordLabel(first + frames - 1)} (${counted(frames, "frame")})`;
}

/** Where a note is, in words. */
function noteAbout(note) {
  const about = aboutOf(note);
  if (about === "cut") return "the whole cut";
  const shot = shotAt(note.first_frame);
  if (about === "shot") return `shot ${shot.number} as a whole, from ${recordLabel(shot.first)}`;
  const hit = page.hits.find((one) => one.move === note.move);
  const place = `shot ${shot.number}, ${spanSaid(note.first_frame, note.frames)}`;
  return hit && about.startsWith("hit") ? `the hit of move ${hit.move}, ${hit.label}, ${place}` : place;
}

/** What was asked for in the words of the list. */
function kindSaid(kind) {
  return kind === "other" ? "something else" : kind;
}

function inOrder(one, other) {
  return one.first_frame - other.first_frame || (one.written < other.written ? -1 : 1);
}
