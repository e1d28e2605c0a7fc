// The earlier version, in step with the cut: in each shot it shows the same shot, as far on as the cut is.

const beside = { on: false, video: byId("movie_beside") };

/** The frame of the earlier version that goes with a frame of the cut; null in a shot that was not in it. */
function earlierFrame(frame) {
  const shot = shotAt(frame);
  if (shot.earlier === null) return null;
  const [first, frames] = page.beside.shots[shot.earlier - 1];
  return first + Math.min(frame - shot.first, frames - 1);
}

function earlierHasEnded(frame) {
  const shot = shotAt(frame);
  const [, frames] = page.beside.shots[shot.earlier - 1];
  return frame - shot.first >= frames - 1;
}

/** Brings the earlier version to where the cut is; while both play, only when they have come apart. */
function follow(frame) {
  if (!beside.on) return;
  const wanted = earlierFrame(frame);
  tellBeside(frame, wanted);
  if (wanted === null || !isPlaying() || earlierHasEnded(frame)) {
    beside.video.pause();
    if (wanted !== null) sendBeside(wanted);
    return;
  }
  const behind = wanted - frameAt(beside.video.currentTime);
  if (Math.abs(behind) > 2) sendBeside(wanted);
  // A frame or two are caught up without a jump.
  beside.video.playbackRate = movie.video.playbackRate * (1 + 0.06 * limited(behind, -2, 2));
  if (beside.video.paused) beside.video.play().catch(() => {});
}

function sendBeside(frame) {
  if (frameAt(beside.video.currentTime) !== frame || beside.video.currentTime === 0) beside.video.currentTime = momentOf(frame);
}

function tellBeside(frame, wanted) {
  const shot = shotAt(frame);
  byId("old_side").classList.toggle("nothing", wanted === null);
  put("new_caption", told(page.cut), ` shot ${shot.number}, ${recordLabel(frame)}`);
  if (wanted === null) {
    put("old_caption", `this shot is not in `, told(page.beside.cut));
    return;
  }
  const differs = shot.changes.length ? `; differs: ${shot.changes.join(", ")}` : "; the same";
  put("old_caption", told(page.beside.cut), ` shot ${shot.earlier}, ${recordLabel(wanted)}${differs}`);
}

function setBeside(on) {
  beside.on = on;
  document.body.classList.toggle("beside", on);
  show("old_side", on);
  put("new_caption");
  byId("beside").setAttribute("aria-pressed", String(on));
  if (on && !beside.video.hasAttribute("src")) {
    beside.video.addEventListener("loadedmetadata", () => follow(movie.shown));
    loadMovie(beside.video, page.beside.movie.file);
  }
  if (on) follow(movie.shown);
  else beside.video.pause();
  drawChart();
}

function startBeside() {
  if (!page.beside) return;
  byId("beside").textContent = `Beside ${page.beside.cut.length > 12 ? "the earlier version" : page.beside.cut}`;
  byId("beside").addEventListener("click", () => setBeside(!beside.on));
  onFrame(follow);
  movie.video.addEventListener("pause", () => follow(movie.shown));
}
