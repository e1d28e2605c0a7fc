// The step chart as a whole: drawn anew when its width or its frames change, with a marker that goes with the movie; pressing it goes there.

const chart = { box: byId("chart"), at: null, marker: null, notes: null, draft: null, pulled: false };

const HATCHING = {
  digital_double: "M0 0L8 8M8 0L0 8",
  face_replacement: "M-2 10L10 -2M-2 2L2 -2M6 10L10 6",
  rig_removal: "M2 2h1.6M6 6h1.6",
};

function patterns() {
  return drawn("defs", {}, ...Object.entries(HATCHING).map(([kind, d]) => {
    const tile = { id: kind, width: 8, height: 8, patternUnits: "userSpaceOnUse" };
    return drawn("pattern", tile, drawn("path", { d, class: `hatch ${kind}` }));
  }));
}

function group(kind, parts) {
  return drawn("g", { class: kind }, ...parts);
}

/** Draws the chart for the width that there is. */
function drawChart() {
  const at = measures(Math.max(chart.box.clientWidth, 280), framesShown());
  chart.at = at;
  chart.notes = drawn("g", { class: "notes" });
  chart.draft = drawn("g", { class: "draft" });
  chart.marker = group("marker", [line(0, 16, 0, at.ruler, "now"), drawn("path", { d: "M-6 8h12l-6 9z" })]);
  const whole = drawn("svg", { width: at.width, height: at.height, viewBox: `0 0 ${at.width} ${at.height}`, "aria-hidden": "true" },
    patterns(),
    group("all_phrases", drawPhrases(at)),
    group("all_sizes", drawSizes(at)),
    group("all_shots", [...shownOn(at, page.shots).flatMap((shot) => drawShot(at, shot)), ...drawEdges(at)]),
    group("all_treatments", shownOn(at, page.treatments).map((one) => drawTreatment(at, one))),
    group("all_hits", drawHits(at)),
    group("all_hand", drawHand(at)),
    group("all_target", drawTarget(at)),
    group("all_ruler", [...drawRuler(at), ...drawPart(at)]),
    chart.draft,
    chart.notes,
    chart.marker);
  chart.box.replaceChildren(whole);
  put("chart_key", ...chartKey());
  markChart(movie.shown);
  drawNoteMarks();
  drawDraft();
}

/** What the hatching and the signs mean, of those that are there. */
function chartKey() {
  const kinds = [...new Set(page.treatments.map((one) => one.kind))];
  const parts = [element("span", {}, "higher is closer; red ticks are hits; press to go there")];
  parts.push(...kinds.map((kind) => {
    const name = kind.replaceAll(" ", "_");
    const patch = drawn("rect", { x: 0.5, y: 0.5, width: 25, height: 13, class: `treated ${name}`, fill: `url(#${name})` });
    const sample = drawn("svg", { width: 26, height: 14, "aria-hidden": "true" }, patch);
    return element("span", { class: "sample" }, sample, ` ${kind}`);
  }));
  if (page.earlier.some((note) => note.first !== null)) {
    parts.push(element("span", {}, "earlier notes: \u25cb open, \u2713 done, \u2715 declined"));
  }
  if (beside.on) parts.push(element("span", {}, element("i", { class: "differs_sample" }), " differs from ", told(page.beside.cut)));
  return parts;
}

function frameUnder(event) {
  const { left } = chart.box.getBoundingClientRect();
  const { names, across, from, to } = chart.at;
  const share = limited((event.clientX - left - names) / across, 0, 1);
  return limited(Math.floor(from + share * (to - from)), 0, Math.min(Math.ceil(to) - 1, lastFrame));
}

function markChart(frame) {
  if (followsTo(frame)) return drawChart();
  chart.marker.setAttribute("transform", `translate(${xOf(chart.at, frame + 0.5)} 0)`);
  chart.box.setAttribute("aria-valuenow", frame);
  return chart.box.setAttribute("aria-valuetext", placeSaid(frame));
}

/** Where a frame is, in words. */
function placeSaid(frame) {
  const shot = shotAt(frame);
  const spell = spanAt(page.spells, frame);
  const hand = !spell ? "" : spell.holder === "level" ? ", level" : `, ${spell.holder} has the upper hand`;
  return `${recordLabel(frame)}, shot ${shot.number}, ${sizeOf(shot)}${hand}`;
}

function sizeOf(shot) {
  return shot.kind === "tape" ? shot.size : shot.kind;
}

/** Marks of the reviewer's notes by their numbers, and of earlier ones by what became of them. */
function drawNoteMarks() {
  const { at } = chart;
  const marks = page.earlier.filter((note) => note.first !== null && note.state !== "taken back" && note.frames < page.frames)
    .map((note) => ({ first: note.first, frames: note.frames, sign: STATES[note.state][0], kind: "earlier" }));
  listedNotes().forEach((note, place) => {
    if (note.shot) marks.push({ first: note.first_frame, frames: note.frames, sign: String(place + 1), kind: "own" });
  });
  let free = 0;
  const inTurn = shownOn(at, marks).sort((one, other) => one.first - other.first).map((mark) => {
    const wide = Math.max(mark.sign.length * 7 + 6, 14);
    // Notes on one place stand beside each other, each with a line under the frames that it is about.
    const left = Math.max(xOf(at, mark.first), free);
    free = left + wide + 1;
    return noteMark(at, mark, left, wide);
  });
  chart.notes.replaceChildren(...inTurn);
}

/** A mark that is pressed goes to its note's first frame, wherever it stands. */
function noteMark(at, mark, left, wide) {
  const [x, end] = [xOf(at, mark.first), xOf(at, mark.first + mark.frames)];
  return drawn("g", { class: `${mark.kind} mark`, "data-first": mark.first },
    line(x, at.notes + 16, Math.max(end, x + 2), at.notes + 16, "reach"),
    rectangle(left, at.notes, wide, 14, "flag"),
    word(left + wide / 2, at.notes + 11, mark.sign, null, "middle"));
}

/** The frames that the note being written is about. */
function drawDraft() {
  const { at } = chart;
  const span = slipSpan();
  if (!slip.pinned || !shownOn(at, [span]).length) return chart.draft.replaceChildren();
  const x = xOf(at, span.first);
  const wide = Math.max(xOf(at, span.first + span.frames) - x, 2);
  return chart.draft.replaceChildren(rectangle(x, at.phrases + 18, wide, at.ruler - at.phrases - 18, "reach_of_draft"));
}

function startChart() {
  chart.box.setAttribute("aria-valuemin", 0);
  chart.box.setAttribute("aria-valuemax", lastFrame);
  chart.box.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    const mark = event.target.closest(".mark");
    if (mark) return goTo(Number(mark.dataset.first));
    chart.box.setPointerCapture(event.pointerId);
    chart.pulled = true;
    goTo(frameUnder(event));
  });
  for (const name of ["pointerup", "pointercancel"]) chart.box.addEventListener(name, () => { chart.pulled = false; });
  chart.box.addEventListener("pointermove", (event) => {
    if (event.buttons && chart.box.hasPointerCapture(event.pointerId)) goTo(frameUnder(event));
  });
  onFrame(markChart);
  new ResizeObserver(() => {
    if (!chart.at || Math.abs(chart.at.width - chart.box.clientWidth) > 1) drawChart();
  }).observe(chart.box);
}
