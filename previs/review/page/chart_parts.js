// The parts of the step chart, each drawn into a group from the page's values and the measures of the chart.

/** Where everything stands, in pixels of a chart of this width that shows frames `from` to `to`: names at the left, bands one below the other. */
function measures(width, { from, to }) {
  const narrow = width < 600;
  const holders = page.roles.length === 2 ? [page.roles[0], "level", page.roles[1]] : [...page.roles, "level"];
  const names = narrow ? 90 : 108;
  const hand = { top: 17, line: Math.max(12, Math.min(15, 60 / holders.length)) };
  const phrases = hand.top + hand.line * holders.length + 5;
  const stepsTop = phrases + 22;
  const floor = stepsTop + 14 + 12 * Math.max(page.sizes.length, 6);
  const across = width - names - 12;
  return { width, names, holders, hand, phrases, stepsTop, floor, from, to, across, notes: floor + 19, ruler: floor + 37, height: floor + 55 };
}

/** Where a frame stands across; what lies beyond the frames shown stands at their edge. */
function xOf(at, frame) {
  const share = limited((frame - at.from) / (at.to - at.from), 0, 1);
  return Math.round((at.names + share * at.across) * 2) / 2;
}

/** Those of some spans of which the chart shows a part. */
function shownOn(at, spans) {
  return spans.filter((one) => one.first < at.to && one.first + one.frames > at.from);
}

function topOf(at, level) {
  return at.floor - ((at.floor - at.stepsTop - 14) * level) / page.sizes.length;
}

function word(x, y, text, kind, anchor) {
  return drawn("text", { x, y, class: kind || null, "text-anchor": anchor || null }, text);
}

/** A text as far as there is room for it, at about this width a letter. */
function fitting(text, room, letter) {
  const most = Math.floor(room / letter);
  if (text.length <= most) return text;
  return most < 4 ? "" : `${text.slice(0, most - 2).trimEnd()}..`;
}

/** The first of several wordings that has room as a whole, else as much of the last as has. */
function firstFitting(room, letter, ...texts) {
  return texts.find((text) => text.length * letter <= room) ?? fitting(texts.at(-1), room, letter);
}

function rectangle(x, y, width, height, kind) {
  return drawn("rect", { x, y, width: Math.max(width, 0), height: Math.max(height, 0), class: kind });
}

function line(x1, y1, x2, y2, kind) {
  return drawn("line", { x1, y1, x2, y2, class: kind });
}

function drawHand(at) {
  const parts = [word(at.names - 8, 12, "upper hand", "small", "end")];
  const height = (holder) => at.hand.top + at.hand.line * (at.holders.indexOf(holder) + 0.5);
  const level = height("level");
  for (const holder of at.holders) {
    const shown = holder === "level" ? holder : firstFitting(at.names - 10, 6.4, `${holder} has it`, holder);
    parts.push(word(at.names - 8, height(holder) + 4, shown, "name", "end"));
  }
  parts.push(line(at.names, level, at.names + at.across, level, "faint"));
  let before = null;
  for (const spell of shownOn(at, page.spells)) {
    const [x, y, end] = [xOf(at, spell.first), height(spell.holder), xOf(at, spell.first + spell.frames)];
    const side = `side_${page.roles.indexOf(spell.holder) % 4}`;
    if (spell.holder !== "level") parts.push(rectangle(x, Math.min(y, level), end - x, Math.abs(y - level), `hold ${side}`));
    if (before !== null) parts.push(line(x, before, x, y, "turn"));
    parts.push(line(x, y, end, y, `held ${spell.holder === "level" ? "" : side}`));
    before = y;
  }
  return parts;
}

function drawPhrases(at) {
  return shownOn(at, page.phrases).flatMap((phrase) => {
    const [x, end] = [xOf(at, phrase.first), xOf(at, phrase.first + phrase.frames)];
    const name = firstFitting(end - x - 4, 6.6, `phrase ${phrase.name}`, phrase.name);
    return [
      rectangle(x, at.phrases, end - x, 17, page.phrases.indexOf(phrase) % 2 ? "phrase other" : "phrase"),
      word((x + end) / 2, at.phrases + 13, name, null, "middle"),
      line(x, at.phrases + 17, x, at.floor, "dotted"),
    ];
  });
}

function drawSizes(at) {
  return page.sizes.flatMap((size, place) => {
    const y = topOf(at, place + 1);
    return [line(at.names, y, at.names + at.across, y, "faint"), word(at.names - 8, y + 4, size, "name", "end")];
  });
}

function drawShot(at, shot) {
  const [x, end] = [xOf(at, shot.first), xOf(at, shot.first + shot.frames)];
  const parts = shownOn(at, shot.runs).map((run) => {
    const [left, right] = [xOf(at, run.first), xOf(at, run.first + run.frames)];
    return rectangle(left, topOf(at, run.level), right - left, at.floor - topOf(at, run.level), "step");
  });
  if (shot.kind === "card") {
    parts.push(rectangle(x + 2, at.floor - 44, end - x - 4, 40, "card"));
    parts.push(word((x + end) / 2, at.floor - 20, fitting("card", end - x - 6, 6.5), null, "middle"));
  }
  if (shot.kind === "black") parts.push(rectangle(x, at.floor - 7, end - x, 7, "black"));
  const top = shot.runs.length ? topOf(at, shot.runs[0].level) : at.floor - 40;
  const comesIn = xOf(at, shot.first + shot.transitionFrames);
  if (shot.first >= at.from) parts.push(line(x, at.floor, comesIn, top, shot.transitionFrames ? "comes_in" : "cut"));
  const number = String(shot.number);
  if (end - x > number.length * 7 + 2) parts.push(word((x + end) / 2, at.floor + 13, number, "number", "middle"));
  if (beside.on && (shot.earlier === null || shot.changes.length)) parts.push(rectangle(x + 1, at.floor + 15, end - x - 2, 4, "differs"));
  return parts;
}

/** The tops of all steps as one line, broken where there is no camera. */
function drawEdges(at) {
  let path = "";
  let before = -1;
  for (const run of shownOn(at, page.shots.flatMap((shot) => shot.runs))) {
    const [x, y, end] = [xOf(at, run.first), topOf(at, run.level), xOf(at, run.first + run.frames)];
    path += `${run.first === before ? "L" : "M"}${x} ${y}L${end} ${y}`;
    before = run.first + run.frames;
  }
  return [drawn("path", { d: path, class: "edge" })];
}

function drawTreatment(at, treated) {
  const [x, end, top] = [xOf(at, treated.first), xOf(at, treated.first + treated.frames), topOf(at, treated.level)];
  const kind = treated.kind.replaceAll(" ", "_");
  return drawn("rect", { x, y: top, width: end - x, height: at.floor - top, class: `treated ${kind}`, fill: `url(#${kind})` });
}

function drawHits(at) {
  const hits = page.hits.filter((hit) => holds(at.from, at.to - at.from, hit.frame));
  return hits.flatMap((hit, place) => {
    const [x, top] = [xOf(at, hit.frame), topOf(at, hit.level)];
    const next = place + 1 < hits.length ? xOf(at, hits[place + 1].frame) : at.width;
    const number = String(hit.move);
    const parts = [line(x, top - 7, x, top + 4, "tick")];
    if (next - x > number.length * 6.5 + 5) parts.push(word(x + 3, top - 4, number, "move"));
    return parts;
  });
}

function drawTarget(at) {
  if (page.targetFrames < at.from || page.targetFrames > at.to) return [];
  const x = xOf(at, page.targetFrames);
  const words = `target ${label(page.targetFrames % framesADay)}`;
  const parts = [line(x, 6, x, at.floor, "target"), word(x - 5, 12, words, "target_word", "end")];
  if (page.frames > page.targetFrames) parts.unshift(rectangle(x, 6, xOf(at, page.frames) - x, at.floor - 6, "over"));
  return parts;
}

function drawRuler(at) {
  const steps = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 3600];
  const most = Math.max(2, Math.floor(at.across / 96));
  const seconds = steps.find((one) => (at.to - at.from) / (one * clock.nominal) <= most) || 7200;
  const between = seconds * clock.nominal;
  let free = 0;
  const parts = [line(at.names, at.ruler, at.names + at.across, at.ruler, "faint")];
  for (let frame = Math.ceil(at.from / between) * between; frame <= at.to; frame += between) {
    const x = xOf(at, frame);
    // A label at the chart's edge begins there, so that it does not run into the names.
    const anchor = x < at.names + 42 ? "start" : x > at.width - 42 ? "end" : "middle";
    const left = x - { start: 0, middle: 38, end: 76 }[anchor];
    parts.push(line(x, at.ruler, x, at.ruler + 4, "cut"));
    if (left < free) continue;
    free = left + 76;
    parts.push(word(x, at.ruler + 15, recordLabel(frame), "figures", anchor));
  }
  return parts;
}
