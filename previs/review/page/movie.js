// The movie: which frame is shown, going to a frame, playing, half speed, repeating a shot. It puts nothing on the page.

/** What is shown of the cut. `wanted` is the frame that the movie was sent to and has not shown yet. */
const movie = { video: byId("movie"), shown: 0, wanted: null, repeating: false, listeners: [] };

function onFrame(listener) {
  movie.listeners.push(listener);
}

function isPlaying() {
  return !movie.video.paused && !movie.video.ended;
}

/** Stops at a frame. */
function goTo(frame) {
  movie.video.pause();
  sendTo(frame);
}

function sendTo(frame) {
  movie.wanted = limited(frame, 0, lastFrame);
  movie.video.currentTime = momentOf(movie.wanted);
  // Without a movie the papers still lead from place to place.
  if (movie.video.readyState === 0) showsFrame(movie.wanted);
}

/** A number of frames on, or back when negative; quick steps add up. */
function step(frames) {
  goTo((movie.wanted ?? movie.shown) + frames);
}

function goToShot(by) {
  const now = movie.wanted ?? movie.shown;
  const shot = shotAt(now);
  if (by < 0 && now > shot.first) return goTo(shot.first);
  const next = page.shots[limited(shot.number - 1 + by, 0, page.shots.length - 1)];
  return goTo(by > 0 && next === shot ? lastFrame : next.first);
}

function playOrStop() {
  if (isPlaying()) return goTo(movie.shown);
  if ((movie.wanted ?? movie.shown) >= lastFrame && !movie.repeating) sendTo(0);
  return movie.video.play().catch(tellMovieFault);
}

function setHalfSpeed(on) {
  movie.video.playbackRate = on ? 0.5 : 1;
}

function showsFrame(frame) {
  movie.shown = limited(frame, 0, lastFrame);
  if (movie.wanted === movie.shown) movie.wanted = null;
  for (const listener of movie.listeners) listener(movie.shown);
}

/** At the last frame of a shot that is repeated, back to its first when that frame has been seen. */
function repeatFrom(frame) {
  const shot = shotAt(frame);
  if (!movie.repeating || !isPlaying() || frame < shot.first + shot.frames - 1) return;
  const lasts = 1000 / fps / movie.video.playbackRate;
  setTimeout(() => {
    if (movie.repeating && isPlaying()) sendTo(shot.first);
  }, lasts * 0.8);
}

function watchFrames() {
  if ("requestVideoFrameCallback" in movie.video) {
    const look = (now, seen) => {
      showsFrame(frameAt(seen.mediaTime));
      repeatFrom(movie.shown);
      movie.video.requestVideoFrameCallback(look);
    };
    movie.video.requestVideoFrameCallback(look);
    return;
  }
  const look = () => {
    if (isPlaying()) {
      const frame = frameAt(movie.video.currentTime);
      if (frame !== movie.shown) showsFrame(frame);
      repeatFrom(movie.shown);
    }
    requestAnimationFrame(look);
  };
  look();
}

/** A movie that is sent to the frame that it shows already presents no new one, and only says that it has arrived. */
function hasArrived() {
  if (movie.wanted !== null && frameAt(movie.video.currentTime) === movie.wanted) showsFrame(movie.wanted);
}

function tellMovieFault() {
  const text = `The movie ${page.movie.file} cannot be played here: keep it in the folder beside this page, and open the page in a browser `
    + "that plays H.264. Notes can be written all the same.";
  put("movie_fault", text);
  show("movie_fault", true);
}

function canGoAnywhere(video) {
  const { seekable } = video;
  return seekable.length > 0 && seekable.end(seekable.length - 1) > 0;
}

/** Gives a movie its file; from a server that cannot send a part of a file it is fetched as a whole, so that any frame can be gone to. */
function loadMovie(video, file) {
  video.addEventListener("loadedmetadata", async () => {
    if (canGoAnywhere(video) || !location.protocol.startsWith("http")) return;
    try {
      const answer = await fetch(file);
      video.src = URL.createObjectURL(await answer.blob());
    } catch {
      tellMovieFault();
    }
  }, { once: true });
  video.src = file;
}

function startMovie() {
  const video = movie.video;
  video.addEventListener("error", tellMovieFault);
  video.addEventListener("seeked", hasArrived);
  video.addEventListener("ended", () => {
    if (movie.repeating) {
      sendTo(shotAt(lastFrame).first);
      video.play().catch(tellMovieFault);
    } else goTo(lastFrame);
  });
  video.addEventListener("loadedmetadata", () => {
    byId("frame").style.aspectRatio = `${video.videoWidth} / ${video.videoHeight}`;
    sendTo(movie.wanted ?? movie.shown);
  });
  watchFrames();
  loadMovie(video, page.movie.file);
}
