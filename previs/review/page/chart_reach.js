// How much of the cut the step chart shows: all, or a part that goes along with the movie.

/** `closer` is how many times less than all is shown; `from` the first frame of that part. */
const reach = { closer: 1, from: 0 };

const WHOLE = Math.max(page.frames, page.targetFrames, 1);

/** A part of about two seconds is as near as one comes: there a frame is wide enough for a finger's width of a few. */
const MOST_CLOSER = 2 ** Math.max(0, Math.ceil(Math.log2(WHOLE / (2 * clock.nominal))));

function framesShown() {
  const frames = WHOLE / reach.closer;
  return { from: reach.from, to: reach.from + frames };
}

/** Moves the part that is shown so that a frame stands at this share of it. */
function showAround(frame, share) {
  const frames = WHOLE / reach.closer;
  reach.from = limited(frame + 0.5 - share * frames, 0, WHOLE - frames);
}

/** So many times closer to the frame on screen, or wider. */
function comeCloser(times) {
  const closer = limited(reach.closer * times, 1, MOST_CLOSER);
  if (closer === reach.closer) return;
  reach.closer = closer;
  showAround(movie.shown, 0.5);
  tellReach();
  drawChart();
}

/** Not `disabled`, which would take the keyboard's place away from whoever presses as far as it goes. */
function tellReach() {
  byId("chart_wider").setAttribute("aria-disabled", String(reach.closer === 1));
  byId("chart_closer").setAttribute("aria-disabled", String(reach.closer === MOST_CLOSER));
}

/** Turns to the part that has a frame, with more room on the side where it goes on; false when the frame is in sight already. */
function followsTo(frame) {
  const { from, to } = framesShown();
  if (chart.pulled || (from <= frame && frame + 1 <= to)) return false;
  showAround(frame, frame < from ? 0.85 : 0.15);
  return true;
}

/** Which part of the whole is shown, as a bar along the top of the chart. */
function drawPart(at) {
  if (reach.closer === 1) return [];
  const left = at.names + (at.from / WHOLE) * at.across;
  return [rectangle(at.names, 0, at.across, 3, "step"), rectangle(left, 0, at.across / reach.closer, 3, "part")];
}

function startReach() {
  byId("chart_wider").addEventListener("click", () => comeCloser(0.5));
  byId("chart_closer").addEventListener("click", () => comeCloser(2));
  tellReach();
}
