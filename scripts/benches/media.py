"""Bench rows of media: the index, work copies, frames at random, and publishing, each against its reference in the same run."""

from __future__ import annotations

import random
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median, quantiles

from benches.originals import TIMEBASE, by_moviepy, by_one_graph, cut_of, original, run_ffmpeg
from benches.rows import Row
from previs.media.fingerprint import fingerprint
from previs.media.frames import FrameReader
from previs.media.index import frame_index
from previs.media.probe import probe
from previs.media.publish import Quality, publish
from previs.media.raster import Raster
from previs.media.workcopy import TapeToCopy, find_work_copy, make_work_copies
from previs.progress import silent

_RASTER = Raster(960, 540)
_SEEKS = 60
_FAST = ("-preset", "veryfast", "-crf", "18", "-bf", "0", "-g", "48")
_SMALL = ("-preset", "veryfast", "-crf", "23", "-bf", "0", "-g", "48")


def timed(what: Callable[[], object]) -> float:
    """Seconds that a call takes."""
    begin = time.perf_counter()
    what()
    return time.perf_counter() - begin


def index_rows(runs: int) -> list[Row]:
    """Every frame of a tape found, against ffprobe listing its packets, as tapes grow longer."""
    if not (ffprobe := shutil.which("ffprobe")):
        return [Row("index a tape: not measured, as there is no ffprobe here (Debian: ffmpeg)", 1, "ffprobe", 0, 2)]
    found = []
    with tempfile.TemporaryDirectory() as name:
        minute = original(0)
        for times in (1, 4, 16):
            tape = Path(name) / f"long{times}.mp4"
            run_ffmpeg("-stream_loop", str(times - 1), "-i", str(minute), "-c", "copy", str(tape))
            listing = [ffprobe, "-v", "error", "-show_entries", "packet=pts,dts,duration,flags", "-of", "csv", str(tape)]
            ours = [timed(lambda tape=tape: frame_index(tape)) for _ in range(runs)]  # type: ignore[misc]
            theirs = [timed(lambda listing=listing: subprocess.run(listing, check=True, capture_output=True)) for _ in range(runs)]  # type: ignore[misc]
            found.append(Row(f"index a tape of {times} min at 29.97", median(ours), "ffprobe listing its packets", median(theirs), 2))
            tape.unlink()
    return found


def copy_rows(runs: int) -> list[Row]:
    """Work copies of two tapes, against ffmpeg making the same movies with the same settings, two at a time as we do."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tapes = [original(number) for number in range(2)]
        ours, theirs = [], []
        for run in range(runs):
            cache = folder / f"cache{run}"
            for tape in tapes:
                probe(tape, cache)
            ours.append(timed(lambda cache=cache: make_work_copies(_wanted(tapes), TIMEBASE, _RASTER, cache, silent)))  # type: ignore[misc]
            theirs.append(timed(lambda: _copies_by_ffmpeg(tapes, folder)))
    return [Row("work copies of two 1080p tapes of 60 s", median(ours), "ffmpeg, same settings, two at once", median(theirs), 1 / 1.05)]


def seek_rows(runs: int) -> list[Row]:
    """A frame at a random place to RGB, from the work copy and from the original."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tape = original(0)
        cache = folder / "cache"
        make_work_copies(_wanted([tape]), TIMEBASE, _RASTER, cache, silent)
        copy = find_work_copy(fingerprint(tape), TIMEBASE.rate.fps, _RASTER, cache)
        assert copy
        dice = random.Random(3)
        places = [dice.randrange(0, copy.frames) for _ in range(_SEEKS * runs)]
        with FrameReader(copy.path, copy.index, threads=1) as reader:
            ours = [timed(lambda frame=frame: reader.picture(frame)) for frame in places]  # type: ignore[misc]
        index = frame_index(tape, cache)
        with FrameReader(tape, index, size_px=(960, 540)) as reader:
            shown = [index.frame_shown(frame, TIMEBASE.rate.fps) for frame in places[: _SEEKS // 2]]
            theirs = [timed(lambda frame=frame: reader.picture(frame)) for frame in shown]  # type: ignore[misc]
    return [
        Row("a frame at a random place, median", median(ours), "seek in the 1080p original", median(theirs), 100),
        Row("a frame at a random place, 95 %", quantiles(ours, n=20)[-1], "limit", 0.005, 1),
    ]


def publish_rows(runs: int) -> list[Row]:
    """A cut of sixty events, each way of publishing, against one filter graph over the originals and against MoviePy."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tapes = [original(number) for number in range(4)]
        cut = cut_of(tapes)
        kept = folder / "cache"
        make_work_copies(_wanted(tapes), TIMEBASE, _RASTER, kept, silent)
        trimmed = list(cut)
        trimmed[30] = replace(cut[30], frames=cut[30].frames - 3)
        took: dict[str, list[float]] = {}

        def take(what: str, do: Callable[[], object]) -> None:
            took.setdefault(what, []).append(timed(do))

        def published(quality: Quality, events: object = cut) -> None:
            publish(events, TIMEBASE, 0, folder / f"{quality}.mp4", cache_dir=kept, quality=quality, raster=_RASTER)  # type: ignore[arg-type]

        take("moviepy", lambda: by_moviepy(cut, folder / "moviepy.mp4"))  # once, since it takes minutes
        for _ in range(runs):
            shutil.rmtree(kept / "segments", ignore_errors=True)
            take("graph", lambda: by_one_graph(cut, tapes, folder / "graph.mp4", *_FAST))
            take("small graph", lambda: by_one_graph(cut, tapes, folder / "small.mp4", *_SMALL))
            take("draft", lambda: published("draft"))
            take("final", lambda: published("final"))
            take("originals", lambda: published("originals"))
            take("draft after", lambda: published("draft", trimmed))
            take("originals after", lambda: published("originals", trimmed))
            take("final after", lambda: published("final", trimmed))
    middle = {what: median(seconds) for what, seconds in took.items()}
    graph, small = "one ffmpeg graph over the originals", "the same graph, coded as small"
    return [
        Row("publish 60 events: draft", middle["draft"], graph, middle["graph"], 1 / 0.06),
        Row("publish 60 events: final from work copies", middle["final"], small, middle["small graph"], 1 / 0.4),
        Row("publish 60 events: from the originals", middle["originals"], graph, middle["graph"], 1 / 0.85),
        Row("publish 60 events: from the originals", middle["originals"], "MoviePy", middle["moviepy"], 3),
        Row("publish after one trim: draft", middle["draft after"], graph, middle["graph"], 10),
        Row("publish after one trim: final from work copies", middle["final after"], small, middle["small graph"], 10),
        Row("publish after one trim: from the originals", middle["originals after"], graph, middle["graph"], 10),
    ]


def _wanted(tapes: list[Path]) -> list[TapeToCopy]:
    return [TapeToCopy(tape) for tape in tapes]


def _copies_by_ffmpeg(tapes: list[Path], folder: Path) -> None:
    """Two at a time, each on one thread, as the work copies are made."""
    from concurrent.futures import ThreadPoolExecutor

    coder = ["-c:v", "libx264", "-preset", "ultrafast", "-crf", "20", "-g", "1", "-bf", "0", "-threads", "1", "-c:a", "pcm_s16le"]

    def one(tape: Path) -> None:
        frames = ["-vf", "fps=24:round=up,scale=960:540"]
        run_ffmpeg("-threads", "1", "-i", str(tape), *frames, *coder, str(folder / f"{tape.stem}.mov"))

    with ThreadPoolExecutor(2) as two:
        list(two.map(one, tapes))
