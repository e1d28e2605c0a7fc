// Drawing on the frame by pointer or by keys; the shapes belong to the note that is being written.

/** `shape` is what is being drawn, null when nothing is; `chosen` is the place of the shape that the arrow keys move. */
const drawing = { shape: null, chosen: null, start: null };

const NUDGE = 20;

const DRAWING_KEYS = "Drawing on the picture: arrow keys move the shape, with Shift they change its size, "
  + "Delete takes it away, Enter ends";

/** Begins to draw, or leaves off when it is drawing the same already; by a key a shape is put in the middle at once. */
function draw(shape, byKey) {
  if (drawing.shape === shape && !byKey) return leaveDrawing();
  if (page.limits.drawings <= slip.shapes.length) return tellSlip(`A note holds at most ${page.limits.drawings} drawings; take one away first.`);
  movie.video.pause();
  pinSlip();
  if (byId("about").value === "shot" || byId("about").value === "cut") byId("about").value = "frames";
  goTo(slipSpan().first);
  drawing.shape = shape;
  drawing.chosen = null;
  if (byKey) addShape({ shape, from_x: 400, from_y: 350, to_x: 600, to_y: 650 });
  tellDrawing();
  overlay.focus({ preventScroll: false });
}

function leaveDrawing() {
  drawing.shape = drawing.chosen = drawing.start = null;
  tellDrawing();
}

function tellDrawing() {
  const on = drawing.shape !== null;
  byId("circle").setAttribute("aria-pressed", String(drawing.shape === "circle"));
  byId("arrow").setAttribute("aria-pressed", String(drawing.shape === "arrow"));
  byId("frame").classList.toggle("drawing", on);
  show("draw_help", on);
  if (on) {
    overlay.setAttribute("tabindex", "0");
    overlay.setAttribute("role", "application");
    overlay.setAttribute("aria-label", DRAWING_KEYS);
  } else {
    overlay.removeAttribute("tabindex");
    overlay.setAttribute("role", "img");
    overlay.setAttribute("aria-label", "Drawings on the picture");
  }
  drawOverlay(movie.shown);
}

function addShape(shape) {
  slip.shapes.push(shape);
  drawing.chosen = slip.shapes.length - 1;
  tellShapes();
}

function removeShape(place) {
  slip.shapes.splice(place, 1);
  drawing.chosen = null;
  tellShapes();
}

/** The shapes of the note as a list of words, each with a way to move it by keys and to take it away. */
function tellShapes() {
  put("drawn", ...slip.shapes.map((shape, place) => {
    const change = element("button", { type: "button", "aria-label": `Move the ${shape.shape} ${place + 1}` }, "Move");
    const away = element("button", { type: "button", "aria-label": `Take away the ${shape.shape} ${place + 1}` }, "Take away");
    change.addEventListener("click", () => chooseShape(place));
    away.addEventListener("click", () => { removeShape(place); byId("words").focus(); });
    return element("li", {}, `${shapeSaid(shape)} `, change, " ", away);
  }));
  tellSpan();
  drawOverlay(movie.shown);
}

function chooseShape(place) {
  drawing.shape = slip.shapes[place].shape;
  goTo(slipSpan().first);
  drawing.chosen = place;
  tellDrawing();
  overlay.focus();
}

function pointOf(event) {
  const { left, top, width, height } = overlay.getBoundingClientRect();
  const share = (at, from, size) => limited(Math.round(((at - from) / size) * 1000), 0, 1000);
  return { x: share(event.clientX, left, width), y: share(event.clientY, top, height) };
}

function pressOnPicture(event) {
  if (!drawing.shape || event.button !== 0) {
    if (!drawing.shape && event.button === 0) playOrStop();
    return;
  }
  event.preventDefault();
  overlay.focus({ preventScroll: true });
  overlay.setPointerCapture(event.pointerId);
  const { x, y } = pointOf(event);
  drawing.start = { shape: drawing.shape, from_x: x, from_y: y, to_x: x, to_y: y };
  addShape(drawing.start);
}

function pullOnPicture(event) {
  if (!drawing.start) return;
  const { x, y } = pointOf(event);
  Object.assign(drawing.start, { to_x: x, to_y: y });
  drawOverlay(movie.shown);
}

/** A press without a pull draws nothing that could be seen, so it is no drawing. */
function leavePicture() {
  if (!drawing.start) return;
  const { from_x, from_y, to_x, to_y } = drawing.start;
  drawing.start = null;
  if (Math.hypot(to_x - from_x, to_y - from_y) < 15) removeShape(slip.shapes.length - 1);
  else tellShapes();
}

function moveShape(shape, x, y) {
  const across = limited(x, -Math.min(shape.from_x, shape.to_x), 1000 - Math.max(shape.from_x, shape.to_x));
  const down = limited(y, -Math.min(shape.from_y, shape.to_y), 1000 - Math.max(shape.from_y, shape.to_y));
  Object.assign(shape, { from_x: shape.from_x + across, to_x: shape.to_x + across, from_y: shape.from_y + down, to_y: shape.to_y + down });
}

function sizeShape(shape, x, y) {
  Object.assign(shape, { to_x: limited(shape.to_x + x, 0, 1000), to_y: limited(shape.to_y + y, 0, 1000) });
}

const WAYS = { ArrowLeft: [-NUDGE, 0], ArrowRight: [NUDGE, 0], ArrowUp: [0, -NUDGE], ArrowDown: [0, NUDGE] };

function keyOnPicture(event) {
  if (!drawing.shape) return;
  const shape = slip.shapes[drawing.chosen];
  if (event.key === "Escape" || event.key === "Enter") {
    leaveDrawing();
    byId("words").focus();
  } else if ((event.key === "Delete" || event.key === "Backspace") && shape) removeShape(drawing.chosen);
  else if (WAYS[event.key]) {
    if (!shape) addShape({ shape: drawing.shape, from_x: 400, from_y: 350, to_x: 600, to_y: 650 });
    else (event.shiftKey ? sizeShape : moveShape)(shape, ...WAYS[event.key]);
    tellShapes();
  } else return;
  event.preventDefault();
  event.stopPropagation();
}

function startDrawing() {
  for (const shape of ["circle", "arrow"]) byId(shape).addEventListener("click", (event) => draw(shape, event.detail === 0));
  overlay.addEventListener("pointerdown", pressOnPicture);
  overlay.addEventListener("pointermove", pullOnPicture);
  overlay.addEventListener("pointerup", leavePicture);
  overlay.addEventListener("pointercancel", leavePicture);
  overlay.addEventListener("keydown", keyOnPicture);
  onFrame(drawOverlay);
}
