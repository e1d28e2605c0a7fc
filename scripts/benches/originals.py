"""What the bench of media works on: four noisy 1080p tapes at 29.97 with sound, and a cut of sixty events from them."""

from __future__ import annotations

import random
import subprocess
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import imageio_ffmpeg

from previs.clock import Rate, Timebase
from previs.media.events import Event, TapePicture
from previs.media.fingerprint import fingerprint

TIMEBASE = Timebase(Rate.parse("24"))
SECONDS = 60
FFMPEG = imageio_ffmpeg.get_ffmpeg_exe()


def run_ffmpeg(*arguments: str) -> None:
    """Run ffmpeg as a person would, without its chatter."""
    subprocess.run([FFMPEG, "-v", "error", "-y", "-nostdin", *arguments], check=True)


@cache
def _folder() -> TemporaryDirectory[str]:
    return TemporaryDirectory()


@cache
def original(number: int) -> Path:
    """A tape at 20 Mbit/s, much as home cameras write it: H.264, CABAC, B frames, a key frame every 2 s; noise in picture and sound.

    It is made when it is first wanted, and gone with the program.
    """
    path = Path(_folder().name) / f"tape{number}.mp4"
    picture = f"testsrc2=size=1920x1080:rate=30000/1001:duration={SECONDS},noise=alls=12:allf=t:all_seed={number}"
    coder = ["-c:v", "libx264", "-preset", "superfast", "-b:v", "20M", "-g", "60", "-pix_fmt", "yuv420p", "-c:a", "aac", "-shortest"]
    # A tone without any noise, which no room has, would cost the coders of sound three times as much.
    sound = f"aevalsrc=0.2*sin(2*PI*{300 + 100 * number}*t)+0.01*random(0):s=48000:d={SECONDS}"
    run_ffmpeg("-f", "lavfi", "-i", picture, "-f", "lavfi", "-i", sound, *coder, str(path))
    return path


def cut_of(tapes: list[Path], events: int = 60, seed: int = 7, seconds: int = SECONDS) -> list[Event]:
    """A cut of so many events of 24 to 68 frames, here and there in the tapes."""
    dice, marks = random.Random(seed), {path: fingerprint(path) for path in tapes}
    cut = []
    for number in range(events):
        path, frames = tapes[number % len(tapes)], dice.randrange(24, 69)
        first = dice.randrange(0, seconds * 24 - frames - 24)
        cut.append(Event(frames, TapePicture(path, marks[path], f"T{number % len(tapes)}", first)))
    return cut


def by_one_graph(cut: list[Event], tapes: list[Path], out: Path, *coder: str) -> None:
    """The cut as one hand-written filter graph over the originals, put on the frame grid so that it shows the same frames."""
    uses = {path: [n for n, event in enumerate(cut) if _tape(event).path == path] for path in tapes}
    lines = []
    for number, path in enumerate(tapes):
        places = uses[path]
        heads = "".join(f"[v{n}]" for n in places), "".join(f"[a{n}]" for n in places)
        lines.append(f"[{number}:v]setpts=PTS-STARTPTS,fps=24:round=up,scale=960:540,split={len(places)}{heads[0]}")
        lines.append(f"[{number}:a]asetpts=PTS-STARTPTS,aresample=48000,asplit={len(places)}{heads[1]}")
    for n, event in enumerate(cut):
        first, end = _tape(event).first_frame, _tape(event).first_frame + event.frames
        lines.append(f"[v{n}]trim=start_frame={first}:end_frame={end},setpts=PTS-STARTPTS[V{n}]")
        lines.append(f"[a{n}]atrim=start_sample={first * 2000}:end_sample={end * 2000},asetpts=PTS-STARTPTS[A{n}]")
    lines.append("".join(f"[V{n}][A{n}]" for n in range(len(cut))) + f"concat=n={len(cut)}:v=1:a=1[v][a]")
    script = out.with_suffix(".graph")
    script.write_text(";\n".join(lines), encoding="utf-8")
    inputs = [part for path in tapes for part in ("-i", str(path))]
    run_ffmpeg(*inputs, "-/filter_complex", str(script), "-map", "[v]", "-map", "[a]", "-c:v", "libx264", *coder, "-c:a", "aac", str(out))


def by_moviepy(cut: list[Event], out: Path) -> None:
    """The cut by MoviePy, a general-purpose library, as its documentation cuts and joins clips."""
    from moviepy import VideoFileClip, concatenate_videoclips

    sources = {path: VideoFileClip(str(path), target_resolution=(960, 540)) for path in {_tape(event).path for event in cut}}
    parts = []
    for event in cut:
        tape = _tape(event)
        parts.append(sources[tape.path].subclipped(tape.first_frame / 24, (tape.first_frame + event.frames) / 24))
    joined = concatenate_videoclips(parts)
    joined.write_videofile(str(out), fps=24, codec="libx264", preset="veryfast", audio_codec="aac", threads=2, logger=None)
    for source in sources.values():
        source.close()


def _tape(event: Event) -> TapePicture:
    assert isinstance(event.picture, TapePicture)
    return event.picture
