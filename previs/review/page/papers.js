// The papers of the page: facts, what is on screen now, pace in words, shots, phrases, what changed; each leads to its frames.

function drawHead() {
  put("title", page.title);
  put("cut", page.cut);
  put("made", page.made ? `, ${page.made}` : "");
  const over = page.frames - page.targetFrames;
  put("facts",
    box("length", label(page.frames % framesADay), "figures"),
    box("target", label(page.targetFrames % framesADay), "figures"),
    box("against it", over === 0 ? "to the frame" : `${counted(Math.abs(over), "frame")} ${over > 0 ? "over" : "under"}`),
    box("shots", String(page.shots.filter((shot) => shot.kind !== "black").length)),
    box("hits", String(page.hits.length)),
    box("frames a second", `${clock.rate}${clock.drop ? " drop" : ""}`));
}

/** What is on screen at a frame, in boxes below the picture. */
function drawNow(frame) {
  const shot = shotAt(frame);
  const hit = page.hits.findLast((one) => one.frame <= frame && one.shot === shot.number);
  const spell = spanAt(page.spells, frame);
  put("now",
    box("record", recordLabel(frame), "figures time"),
    box("frame", String(frame + 1), "figures"),
    box("shot", `${shot.number}, ${sizeOf(shot)}`),
    box("landed last", hit ? `${hit.move} ${hit.label}` : "-", "landed"),
    box("upper hand", spell ? spell.holder : "-"));
}

/** A row that leads to frames: pressing it goes to the first. */
function goRow(first, ...parts) {
  const button = element("button", { type: "button", class: "go" }, ...parts);
  button.addEventListener("click", () => goTo(first));
  return element("li", {}, button);
}

function cell(text, kind) {
  return element("span", { class: kind || "cell", dir: "auto" }, text);
}

function drawPace() {
  const { length, dead, rush, winning } = page.told;
  const groups = [["How long", length], ["Where it is dead", dead], ["Where it rushes", rush], ["Who is winning", winning]];
  put("pace", ...groups.flatMap(([name, lines]) => [element("h3", {}, name), element("ul", { class: "go_list" }, ...lines.map(paceRow))]));
}

function paceRow(one) {
  return one.first === null ? element("li", { class: "plain", dir: "auto" }, one.words) : goRow(one.first, told(one.words));
}

function drawShots() {
  put("shots", ...page.shots.map((shot) => {
    const row = goRow(shot.first, cell(String(shot.number), "number"), cell(recordLabel(shot.first), "figures"),
      cell(`${secondsSaid(shot.frames)}`, "length"), cell(sizeOf(shot), "size"), cell(shotSaid(shot), "rest"));
    row.id = `shot_${shot.number}`;
    return row;
  }));
}

/** What else there is to say of a shot in the list. */
function shotSaid(shot) {
  const parts = [];
  if (shot.moves) parts.push(`${/[-,]/.test(shot.moves) ? "moves" : "move"} ${shot.moves}`);
  if (shot.words) parts.push(shot.words);
  if (shot.take) parts.push(`take ${shot.take}`);
  if (shot.treatments) parts.push(shot.treatments);
  if (shot.transitionFrames) parts.push(`comes in over ${counted(shot.transitionFrames, "frame")}`);
  if (page.beside && shot.earlier === null) parts.push(`\u2260 not in ${page.beside.cut}`);
  else if (shot.changes.length) parts.push(`\u2260 ${shot.changes.join(", ")}`);
  return parts.filter(Boolean).join(" \u00b7 ");
}

function drawPhraseList() {
  put("phrases", ...page.phrases.map((phrase) =>
    goRow(phrase.first, cell(phrase.name, "number"), cell(recordLabel(phrase.first), "figures"), cell(secondsSaid(phrase.frames), "length"),
      cell(phrase.hands, "size"), cell(phrase.moves ? `moves ${phrase.moves}: ${phrase.labels}` : "", "rest"))));
}

function drawChanges() {
  if (!page.beside) return;
  put("changes_since", "since ", told(page.beside.cut));
  const steps = page.beside.changes;
  put("changes", ...(steps.length ? steps.map((one) => goRow(one.first, cell(recordLabel(one.first), "figures"), cell(one.words, "rest")))
    : [element("li", { class: "plain" }, "Nothing: the two show and sound the same.")]));
}

/** Marks the row of the shot that is on screen. */
function markShot(frame) {
  const row = byId(`shot_${shotAt(frame).number}`);
  const marked = byId("shots").querySelector("[aria-current]");
  if (marked && marked.parentElement === row) return;
  if (marked) marked.removeAttribute("aria-current");
  row.firstElementChild.setAttribute("aria-current", "true");
}

function startPapers() {
  drawHead();
  drawPace();
  drawShots();
  drawPhraseList();
  drawChanges();
  onFrame(drawNow);
  onFrame(markShot);
}
