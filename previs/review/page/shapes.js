// Circles and arrows on the picture, as thousandths of it, drawn over the movie; a pale edge makes them seen on any picture.

const overlay = byId("overlay");

function overlaySize() {
  return { width: movie.video.videoWidth || page.movie.width, height: movie.video.videoHeight || page.movie.height };
}

function inPicture(shape) {
  const { width, height } = overlaySize();
  const [x, y] = [width / 1000, height / 1000];
  return { fromX: shape.from_x * x, fromY: shape.from_y * y, toX: shape.to_x * x, toY: shape.to_y * y, thick: height / 110 };
}

function shapePath(shape) {
  const { fromX, fromY, toX, toY, thick } = inPicture(shape);
  if (shape.shape === "circle") {
    const [rx, ry] = [Math.abs(toX - fromX) / 2, Math.abs(toY - fromY) / 2];
    const [cx, cy] = [(fromX + toX) / 2, (fromY + toY) / 2];
    return `M${cx - rx} ${cy}a${rx} ${ry} 0 1 0 ${2 * rx} 0a${rx} ${ry} 0 1 0 ${-2 * rx} 0z`;
  }
  const way = Math.atan2(toY - fromY, toX - fromX);
  const head = Math.min(thick * 6, Math.hypot(toX - fromX, toY - fromY) * 0.6);
  const wing = (turn) => `M${toX} ${toY}L${toX - head * Math.cos(way + turn)} ${toY - head * Math.sin(way + turn)}`;
  return `M${fromX} ${fromY}L${toX} ${toY}${wing(0.5)}${wing(-0.5)}`;
}

function drawShape(shape, kind) {
  const { thick } = inPicture(shape);
  const path = shapePath(shape);
  const edge = drawn("path", { d: path, class: "below", "stroke-width": thick * 2 });
  return drawn("g", { class: `shape ${kind}` }, edge, drawn("path", { d: path, class: "above", "stroke-width": thick }));
}

function shapeSaid(shape) {
  const across = Math.round((shape.from_x + shape.to_x) / 20);
  const down = Math.round((shape.from_y + shape.to_y) / 20);
  if (shape.shape === "circle") return `circle around ${across} % from the left, ${down} % from the top`;
  return `arrow to ${Math.round(shape.to_x / 10)} % from the left, ${Math.round(shape.to_y / 10)} % from the top`;
}

/** The shapes of the document's notes, in the names that a note of this page has. */
function earlierShapes(note) {
  return note.drawings.map((one) => ({ shape: one.shape, from_x: one.fromX, from_y: one.fromY, to_x: one.toX, to_y: one.toY }));
}

function holds(first, frames, frame) {
  return first !== null && first <= frame && frame < first + frames;
}

/** Everything that is drawn on the frame on screen; while a note is written its own shapes only. */
function drawOverlay(frame) {
  const { width, height } = overlaySize();
  overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const parts = [];
  if (!slip.shapes.length && !drawing.shape) {
    const before = page.earlier.filter((note) => note.state !== "taken back" && holds(note.first, note.frames, frame));
    const own = listedNotes().filter((note) => holds(note.first_frame, note.frames, frame));
    parts.push(...before.flatMap(earlierShapes).map((one) => drawShape(one, "earlier")));
    parts.push(...own.flatMap((note) => note.drawings).map((one) => drawShape(one, "own")));
  } else if (holds(slipSpan().first, slipSpan().frames, frame)) {
    parts.push(...slip.shapes.map((one, place) => drawShape(one, place === drawing.chosen ? "own chosen" : "own")));
  }
  overlay.replaceChildren(...parts);
}
