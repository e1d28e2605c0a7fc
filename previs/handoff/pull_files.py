"""Making the pulls of a cut as files in a folder: movies, stills and contact sheets; what they are is decided in `pulls`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from previs.cut.codes import with_codes
from previs.cut.source_time import work_copy_start
from previs.cut.wording import counted
from previs.document.model import Cut, Kind, Sequence
from previs.document.paths import locate
from previs.faults import Fault, UseFault
from previs.handoff.contact_rows import contact_rows
from previs.handoff.pull_log import Entry, Planned, State, fallen_out, plan, read_log, slate_facts, write_log
from previs.handoff.pull_turn import filled_alone
from previs.handoff.pulls import Pull, pulls_of
from previs.media.pull_movies import PullFrames, PullJob, pictures_of, write_pulls
from previs.media.slates import contact_page, write_png
from previs.progress import Report, Step, silent
from previs.replacing import replacing

_ROWS_A_PAGE = 6
_CONTACT_HEIGHT = 270


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which pulls and which files: `only` those with one kind of treatment, `untreated` shots too, stills, movies and their ending.

    `shots` are numbers in the cut: with them these alone are pulled, treated or not; empty for all.
    """

    only: Kind | None = None
    untreated: bool = False
    stills: bool = False
    movies: bool = True
    ending: str = ".mov"
    shots: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Handed:
    """What a run did: every pull asked for with its state, the files it made, and the entries that the cut no longer wants."""

    planned: tuple[Planned, ...]
    made: tuple[Path, ...]
    fell_out: tuple[Entry, ...]


def pulls_wanted(sequence: Sequence, cut: Cut, wanted: Wanted) -> tuple[Pull, ...]:
    """The pulls of a coded cut that are asked for; raises `UseFault` when there are none."""
    if sequence.settings.first_pull_frame < 1:
        raise UseFault("Pulls begin at frame 0, which leaves no number for the slate before them; set first_pull_frame to 1 or more.")
    if unknown := sorted(number for number in wanted.shots if not 1 <= number <= len(cut.shots)):
        there = counted(len(cut.shots), "shot")
        raise UseFault(f"Cut {cut.name} has {there} and no shot {unknown[0]}; 'previs list FILE shots' lists them by number.")
    untreated = wanted.untreated or bool(wanted.shots and not wanted.only)
    pulls = pulls_of(sequence, cut, only=wanted.only, untreated=untreated)
    if wanted.shots:
        pulls = tuple(pull for pull in pulls if pull.placed.number in wanted.shots)
        if not pulls:
            asked = f"a {wanted.only.value} on screen" if wanted.only else "footage"
            raise UseFault(f"None of the shots that are named has {asked} in cut {cut.name}, so there is nothing to pull.")
    if not pulls:
        asked = f"a {wanted.only.value}" if wanted.only else "a treatment"
        raise UseFault(
            f"No shot of cut {cut.name} has {asked} on screen, so there is nothing to pull; pull every shot with footage (--all)."
        )
    return pulls


def coded_for_pulls(sequence: Sequence, cut_name: str, wanted: Wanted) -> Sequence:
    """The sequence with a code on every shot of a cut, to be saved before it is pulled; raises `UseFault` when nothing is to be pulled."""
    given = with_codes(sequence, cut_name)
    pulls_wanted(given, given.cut(cut_name), wanted)
    return given


def make_pulls(
    sequence: Sequence, cut: Cut, document: Path, folder: Path, wanted: Wanted, cache_dir: Path, report: Report = silent
) -> Handed:
    """Make what the folder does not hold yet of a coded cut's pulls, and note each in the folder's log.

    It waits while another program fills the folder, since both could give one name to different frames. Raises `UseFault`
    when nothing is to be pulled or a tape is away; a stop or a fault leaves the pulls finished before.
    """
    for one in pulls_due(sequence, cut, folder, wanted).planned:
        _tape_path(one.pull, document)
    with filled_alone(folder, report):
        due = pulls_due(sequence, cut, folder, wanted)
        made = _make(sequence, due.planned, document, folder, wanted, cache_dir, report)
    return Handed(due.planned, made, due.fell_out)


def pulls_due(sequence: Sequence, cut: Cut, folder: Path, wanted: Wanted) -> Handed:
    """What a run of `make_pulls` would do, without doing it: which pulls in the folder are as the cut shows them, which are not.

    Raises `UseFault` when nothing is to be pulled or the folder holds another sequence's pulls.
    """
    pulls = pulls_wanted(sequence, cut, wanted)
    log = read_log(folder, sequence.title)
    try:
        there = {path.name if path.is_dir() else path.stem for path in folder.iterdir()} if folder.is_dir() else set()
    except OSError as error:
        raise Fault(f"{folder} cannot be read ({error.strerror}); choose another folder.") from error
    due = plan(sequence, pulls, log, there)
    asked = {one.entry.code for one in due}
    fell_out = fallen_out(log, pulls_of(sequence, cut, untreated=True))
    return Handed(due, (), tuple(entry for entry in fell_out if entry.code not in asked))


def _make(
    sequence: Sequence,
    planned: tuple[Planned, ...],
    document: Path,
    folder: Path,
    wanted: Wanted,
    cache_dir: Path,
    report: Report,
) -> tuple[Path, ...]:
    jobs: list[PullJob] = []
    entries: list[Entry] = []
    for one in planned:
        if one.state is State.KEPT:
            _note(folder, sequence.title, one.entry)
        for path, stills in zip(_lacking(one, folder, wanted), (False, True), strict=True):
            if path:
                jobs.append(PullJob(_frames(sequence, one, document), path.absolute(), stills, cache_dir))
                entries.append(one.entry)
    made: list[Path] = []

    def finished(number: int, path: Path) -> None:
        # The log after each file, so that a stop between the two is gone on from under the same version.
        made.append(path)
        _note(folder, sequence.title, entries[number])

    write_pulls(jobs, report, finished)
    order = {job.path: number for number, job in enumerate(jobs)}
    return tuple(sorted(made, key=lambda path: order[path]))


def _note(folder: Path, title: str, entry: Entry) -> None:
    log = read_log(folder, title)
    if log.entry(entry.code) != entry:
        write_log(folder, log.with_entry(entry))


def _lacking(one: Planned, folder: Path, wanted: Wanted) -> tuple[Path | None, Path | None]:
    """The movie and the folder of stills that are wanted and not there whole."""
    movie, stills = folder / f"{one.entry.name}{wanted.ending}", folder / one.entry.name
    numbers = range(one.pull.first - 1, one.pull.last + 1)
    whole = all((stills / f"{stills.name}.{number:04d}.png").is_file() for number in numbers)
    return movie if wanted.movies and not movie.is_file() else None, stills if wanted.stills and not whole else None


def _frames(sequence: Sequence, one: Planned, document: Path) -> PullFrames:
    pull, timebase = one.pull, sequence.timebase
    slate_at = work_copy_start(pull.source.tape, timebase) + pull.tape.start - 1
    return PullFrames(
        path=_tape_path(pull, document),
        mark=pull.source.tape.fingerprint,
        rate=timebase.rate.fps,
        frames=pull.tape,
        first=pull.first,
        title=one.entry.name,
        facts=slate_facts(sequence, one),
        slate_label=timebase.label(timebase.wrap(slate_at)),
    )


def _tape_path(pull: Pull, document: Path) -> Path:
    path = locate(document, pull.source.tape)
    if not path.exists():
        raise UseFault(f"Tape {pull.source.tape.reel} is not at {path}; bring it back, or find it with 'previs relink'.")
    return path


def write_contact_sheets(
    sequence: Sequence, planned: tuple[Planned, ...], document: Path, stem: Path, heading: str, cache_dir: Path, report: Report = silent
) -> tuple[Path, ...]:
    """A row of pictures for each treatment of each pull, six rows a page, as `STEM_contact_1_of_2.png` and so on."""
    wanted = [(one, row) for one in planned for row in contact_rows(one)]
    pages: list[Path] = []
    count = -(-len(wanted) // _ROWS_A_PAGE)
    for first in range(0, len(wanted), _ROWS_A_PAGE):
        rows = []
        for number, (one, row) in enumerate(wanted[first : first + _ROWS_A_PAGE], start=first):
            report(Step(number, len(wanted), "contact sheets"))
            pull = one.pull
            frames = tuple(pull.tape.start + number - pull.first for number, _ in row.shown)
            path = _tape_path(pull, document)
            pictures = pictures_of(path, pull.source.tape.fingerprint, frames, sequence.timebase.rate.fps, _CONTACT_HEIGHT, cache_dir)
            said = [f"{number} {what}".rstrip() for number, what in row.shown]
            rows.append((row.caption, list(zip(said, pictures, strict=True))))
        page = stem.with_name(f"{stem.name}_contact_{len(pages) + 1}_of_{count}.png")
        with replacing(page) as temporary:
            write_png(contact_page(rows, heading), temporary)
        pages.append(page)
    return tuple(pages)


def told(handed: Handed, cut_name: str, folder: Path, papers: int) -> Iterator[str]:
    """What a run did, in sentences: each pull that was made, each that the cut no longer wants, and how many of each."""
    for one in handed.planned:
        if one.state is not State.KEPT:
            yield " ".join((f"{one.entry.name} is {one.state.value}.", *one.remarks))
    for entry in handed.fell_out:
        yield f"{entry.name} is not wanted by cut {cut_name} any more; its files stay in {folder}."
    said = ", ".join(f"{number} {state}" for state, number in counts(handed).items())
    yield f"{counted(len(handed.planned), 'pull')} of cut {cut_name}: {said}, with {counted(papers, 'paper')}; in {folder}."


def counts(handed: Handed) -> dict[State, int]:
    """How many pulls are in each state."""
    return {state: sum(one.state is state for one in handed.planned) for state in State}
