// Frames, moments of the movie and time code. Labels are worked out from whole numbers only.

const clock = page.clock;
const fps = clock.fpsNumerator / clock.fpsDenominator;
const lastFrame = page.frames - 1;
const droppedAMinute = clock.drop ? clock.nominal / 15 : 0;
const framesAMinute = 60 * clock.nominal - droppedAMinute;
const framesInTenMinutes = 10 * framesAMinute + droppedAMinute;
const framesADay = 144 * framesInTenMinutes;

function whole(number, by) {
  return (number - (number % by)) / by;
}

/** The label of a count of frames, drop-frame where the cut counts so. */
function label(count) {
  const tens = whole(count, framesInTenMinutes);
  const rest = count % framesInTenMinutes;
  // The first minute of ten keeps all its labels.
  const minutesBegun = rest < droppedAMinute ? 0 : whole(rest - droppedAMinute, framesAMinute);
  const labels = count + droppedAMinute * (9 * tens + minutesBegun);
  const seconds = whole(labels, clock.nominal);
  const parts = [whole(seconds, 3600), whole(seconds, 60) % 60, seconds % 60].map(twoFigures);
  return `${parts.join(":")}${clock.drop ? ";" : ":"}${twoFigures(labels % clock.nominal)}`;
}

function twoFigures(number) {
  return String(number).padStart(2, "0");
}

/** The record time code of a frame counted from the cut's first. */
function recordLabel(frame) {
  return label((clock.startFrame + frame) % framesADay);
}

/** The middle of a frame in seconds of the movie, so that no rounding leads to its neighbour. */
function momentOf(frame) {
  return ((frame + 0.5) * clock.fpsDenominator) / clock.fpsNumerator;
}

/** The frame that is shown at a moment of the movie; the little more is for times that are rounded to microseconds. */
function frameAt(seconds) {
  return Math.max(Math.floor(seconds * fps + 0.01), 0);
}

/** A length in seconds, as words. */
function secondsSaid(frames) {
  return `${(frames / fps).toFixed(1)} s`;
}

/** The shot that a frame belongs to; a movie longer than its list ends in the last shot. */
function shotAt(frame) {
  return page.shots.findLast((shot) => shot.first <= frame) || page.shots[0];
}

function spanAt(spans, frame) {
  return spans.findLast((span) => span.first <= frame) || null;
}

/** The frame of the tape that a shot shows at a record frame, exact for any speed; null where there is no tape. */
function tapeFrameAt(shot, frame) {
  if (shot.kind !== "tape") return null;
  const numerator = BigInt(shot.speedNumerator);
  const steps = (BigInt(frame - shot.first) * (numerator < 0n ? -numerator : numerator)) / BigInt(shot.speedDenominator);
  return shot.tapeFirst + Number(numerator < 0n ? -steps : steps);
}
