// The keys of the page. Letters can be turned off; a key that an element uses itself is left to it.

function pressed(id, on) {
  byId(id).setAttribute("aria-pressed", String(on));
}

function turnHalf() {
  const on = movie.video.playbackRate === 1;
  setHalfSpeed(on);
  pressed("half", on);
}

function turnRepeat() {
  movie.repeating = !movie.repeating;
  pressed("repeat", movie.repeating);
}

function turnSound() {
  movie.video.muted = !movie.video.muted;
  pressed("sound", !movie.video.muted);
}

function showKeys() {
  const open = byId("key_list").hidden;
  show("key_list", open);
  byId("keys").setAttribute("aria-expanded", String(open));
  if (open) byId("key_list").scrollIntoView({ block: "nearest" });
}

function writeNote() {
  movie.video.pause();
  pinSlip(movie.shown, movie.shown);
  byId(byId("reviewer").value.trim() ? "words" : "reviewer").focus();
}

const MOVING = {
  ArrowLeft: (event) => step(event.shiftKey ? -clock.nominal : -1),
  ArrowRight: (event) => step(event.shiftKey ? clock.nominal : 1),
  ArrowUp: () => goToShot(-1),
  ArrowDown: () => goToShot(1),
  Home: () => goTo(0),
  End: () => goTo(lastFrame),
};

const LETTERS = {
  h: turnHalf, r: turnRepeat, s: turnSound, n: writeNote, f: fromHere, t: toHere, "?": showKeys, "+": () => comeCloser(2), "-": () => comeCloser(0.5),
  c: () => draw("circle", true), a: () => draw("arrow", true), v: () => page.beside && setBeside(!beside.on),
};

function isWriting(target) {
  return target.matches("input:not([type=checkbox]):not([type=file]), textarea, select");
}

function onKey(event) {
  const { target } = event;
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || isWriting(target)) return;
  if (event.key === " ") {
    if (target.matches("button, a, summary, input")) return;
    playOrStop();
  } else if (MOVING[event.key]) MOVING[event.key](event);
  else if (byId("letters").checked && LETTERS[event.key.toLowerCase()] && !event.repeat) LETTERS[event.key.toLowerCase()](event);
  else return;
  event.preventDefault();
}

function startKeys() {
  addEventListener("keydown", onKey);
  byId("letters").checked = stored("previs letters") !== "off";
  byId("letters").addEventListener("change", () => store("previs letters", byId("letters").checked ? "on" : "off"));
  const buttons = {
    play: playOrStop, frame_back: () => step(-1), frame_on: () => step(1), shot_back: () => goToShot(-1), shot_on: () => goToShot(1),
    half: turnHalf, repeat: turnRepeat, sound: turnSound, keys: showKeys,
  };
  for (const [id, act] of Object.entries(buttons)) byId(id).addEventListener("click", act);
  // After a press by mouse or finger Space plays, and does not press the same thing again.
  addEventListener("click", (event) => {
    if (event.detail && event.target.closest(".go, #stage button")) chart.box.focus({ preventScroll: true });
  });
  for (const name of ["play", "pause", "ended"]) movie.video.addEventListener(name, () => put("play", isPlaying() ? "Stop" : "Play"));
}
