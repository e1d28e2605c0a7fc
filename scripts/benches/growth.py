"""Growth: the same work 1, 4, 16 and 64 times over, and the power of the work that its time grows with; 1 is in step."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import log
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

import numpy as np
from msgspec import structs

from benches.large_fights import large_fight, large_show
from benches.listening import FoughtTwice, fought, heard_by
from benches.media import timed
from benches.originals import TIMEBASE, cut_of, run_ffmpeg
from previs.analysis.onsets import SAMPLE_RATE, impulses, onset_curves
from previs.analysis.sync import for_sync, sync_by_sound
from previs.cut.assembly import assemble
from previs.cut.versions import copy_cut
from previs.document.store import create, open_document, save
from previs.exchange.cmx3600 import write_edl
from previs.media.fingerprint import fingerprint
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.media.probe import probe
from previs.media.publish import publish
from previs.media.raster import Raster
from previs.media.workcopy import TapeToCopy, find_work_copy, make_work_copies
from previs.progress import silent

SIZES = (1, 4, 16, 64)
_SMALL = Raster(320, 180)
_SEEKS = 100


@dataclass(frozen=True)
class Growth:
    """Seconds that one kind of work took at each of `SIZES`."""

    name: str
    seconds: tuple[float, ...]

    def line(self) -> str:
        """The row as a line of the table; the power is that of the last two steps, where what is the same every time weighs least."""
        power = log(self.seconds[-1] / self.seconds[-3]) / log(SIZES[-1] / SIZES[-3])
        return f"| {self.name} | " + " | ".join(f"{one:.3g} s" for one in self.seconds) + f" | {power:.2f} |"


def rows(runs: int) -> Iterator[Growth]:
    """Each kind of work at each size, medians; what is made ready for it is not counted."""
    for name, work in _WORK.items():
        with TemporaryDirectory() as folder:
            yield Growth(name, tuple(median(work(Path(folder), times) for _ in range(runs)) for times in SIZES))


def _long_tape(folder: Path, minutes: int) -> Path:
    """A tape of so many minutes, 320 x 180 at 29.97, made once."""
    path, minute = folder / f"long{minutes}.mp4", folder / "minute.mp4"
    if not minute.exists():
        picture = "testsrc2=size=320x180:rate=30000/1001:duration=60"
        run_ffmpeg("-f", "lavfi", "-i", picture, "-c:v", "libx264", "-preset", "veryfast", "-g", "60", "-pix_fmt", "yuv420p", str(minute))
    if not path.exists():
        run_ffmpeg("-stream_loop", str(minutes - 1), "-i", str(minute), "-c", "copy", str(path))
    return path


def _short_tapes(folder: Path, many: int) -> list[Path]:
    """So many tapes of five seconds with sound, each of its own content, made once."""
    first = folder / "short0.mp4"
    if not first.exists():
        picture, sound = "testsrc2=size=320x180:rate=30000/1001:duration=5", "sine=frequency=300:sample_rate=48000:duration=5"
        run_ffmpeg(
            "-f", "lavfi", "-i", picture, "-f", "lavfi", "-i", sound, "-c:v", "libx264", "-g", "60", "-pix_fmt", "yuv420p", str(first)
        )
    tapes = [first]
    for number in range(1, many):
        tapes.append(path := folder / f"short{number}.mp4")
        if not path.exists():
            run_ffmpeg("-i", str(first), "-c", "copy", "-metadata", f"comment=tape {number}", str(path))
    return tapes


def _indexed(folder: Path, times: int) -> float:
    tape = _long_tape(folder, times)
    return timed(lambda: frame_index(tape))


def _copied(folder: Path, times: int) -> float:
    tapes = [TapeToCopy(path) for path in _short_tapes(folder, times)]
    with TemporaryDirectory(dir=folder) as cache:
        for tape in tapes:
            probe(tape.path, Path(cache))
        return timed(lambda: make_work_copies(tapes, TIMEBASE, _SMALL, Path(cache), silent))


def _sought(folder: Path, times: int) -> float:
    tape, cache = _long_tape(folder, times), folder / "cache"
    make_work_copies([TapeToCopy(tape)], TIMEBASE, _SMALL, cache, silent)
    copy = find_work_copy(fingerprint(tape), TIMEBASE.rate.fps, _SMALL, cache)
    assert copy
    dice = random.Random(times)
    with FrameReader(copy.path, copy.index, threads=1) as reader:
        places = [dice.randrange(copy.frames) for _ in range(_SEEKS)]
        return timed(lambda: [reader.picture(frame) for frame in places])


def _published(folder: Path, times: int, *, trimmed: bool = False) -> float:
    tapes, kept = _short_tapes(folder, 4), folder / "cache"
    make_work_copies([TapeToCopy(path) for path in tapes], TIMEBASE, _SMALL, kept, silent)
    cut = cut_of(tapes, 8 * times, seconds=5)

    def made(cache: Path) -> float:
        return timed(lambda: publish(cut, TIMEBASE, 0, folder / "cut.mp4", cache_dir=cache, quality="final", raster=_SMALL))

    # Only what was rendered goes, so that it is rendered each time.
    for old in (kept / "segments").glob("*"):
        old.unlink()
    took = made(kept)
    if trimmed:
        cut[7] = replace(cut[7], frames=cut[7].frames - 3)
        took = made(kept)
    return took


def _assembled(_folder: Path, times: int) -> float:
    fight = large_fight(25 * times, 6, 25 * times * 144 // 5)
    return timed(lambda: assemble(fight, "v1"))


def _kept(folder: Path, times: int) -> float:
    show = large_show()
    for number in range(2, times + 1):
        show = copy_cut(show, "v1", f"v{number}")
    with TemporaryDirectory(dir=folder) as name:
        path = Path(name) / "show.previs"
        create(path, show)

        def work() -> None:
            opened = open_document(path)
            save(opened, structs.replace(opened.sequence, title="Another title"))

        return timed(work)


def _listed(_folder: Path, times: int) -> float:
    show = large_show(shots=15 * times, moves=15 * times)
    return timed(lambda: write_edl(show, show.cut("v1")))


def _synced(_folder: Path, times: int) -> float:
    sound = _hall(times)
    sounds = [np.repeat(heard_by(seed, part)[:, None], 2, axis=1) for seed, part in ((2, sound), (3, sound[3 * SAMPLE_RATE :]))]
    return timed(lambda: sync_by_sound(*(for_sync(one) for one in sounds)))


def _heard(_folder: Path, times: int) -> float:
    sound = np.repeat(_hall(times)[:, None], 2, axis=1)
    return timed(lambda: impulses(sound, onset_curves(sound)))


def _hall(minutes: int) -> np.ndarray:
    return fought(60 * minutes, np.sort(np.random.default_rng(1).uniform(5, 60 * minutes - 5, 30 * minutes)))


def _carried(_folder: Path, times: int) -> float:
    both = FoughtTwice.of(2 * times)
    evidence = both.evidence()
    return timed(lambda: both.carried(*evidence))


_WORK: dict[str, Callable[[Path, int], float]] = {
    "index a tape: 1 to 64 minutes": _indexed,
    "work copies: 1 to 64 tapes": _copied,
    "100 frames at random places: a work copy of 1 to 64 minutes": _sought,
    "publish, final: 8 to 512 events": _published,
    "the same after one trim": lambda folder, times: _published(folder, times, trimmed=True),
    "assemble: 25 to 1,600 moves of 6 takes": _assembled,
    "open and save: 1 to 64 versions of 200 shots": _kept,
    "edit list: 15 to 960 shots": _listed,
    "offset of two cameras: 1 to 64 minutes": _synced,
    "hits: 1 to 64 minutes": _heard,
    "carry: 2 to 128 moves, from what was heard": _carried,
}
