"""Words burnt into a published movie: read back from decoded frames, measured over any picture, and never outside the margins."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from burnt_reading import BRIGHT, corner, ink_box, read_time_code
from clips import Clip, Rgb, make_clip, read_number
from hypothesis import given, settings
from hypothesis import strategies as st

from previs.clock import Rate, Timebase
from previs.media import CardPicture, Event, FrameReader, Raster, TapePicture, Transition, frame_index, probe, publish
from previs.media.cards import card_picture, load_picture
from previs.media.raster import frame_of_rgb, planes_of
from previs.media.strips import Line, StripPainter, Words
from previs.progress import Step, Stopped

RASTER = Raster(640, 360)
TOP = (Line("shot 4, phrase 2", "cut v1, 2026-11-25"), Line("14 backhand (head)", "digital double, Odile"))
FOOT = "rehearsal footage: not for distribution"


def numbered(timebase: Timebase, start: int) -> Callable[[int], Words]:
    return lambda frame: Words(timebase.label(timebase.wrap(start + frame)), TOP, FOOT)


def pictures(path: Path) -> list[Rgb]:
    index = frame_index(path)
    with FrameReader(path, index) as reader:
        return list(reader.pictures(range(index.frames)))


def on(clip: Clip, first: int) -> TapePicture:
    return TapePicture(clip.path, "", clip.path.stem[:8], first)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Clip:
    return make_clip(tmp_path_factory.mktemp("tape") / "film.mp4", frames=90, rate=Fraction(24), size=(640, 360), options={"g": "24"})


RATES = [
    # Rate, first label, and what frames 0, 9, 10, 11, 23 and 24 must be labelled: the cut points lie at 10 and 24.
    ("24", "00:59:59:20", ["00:59:59:20", "01:00:00:05", "01:00:00:06", "01:00:00:07", "01:00:00:19", "01:00:00:20"]),
    ("25", "23:59:59:20", ["23:59:59:20", "00:00:00:04", "00:00:00:05", "00:00:00:06", "00:00:00:18", "00:00:00:19"]),
    ("29.97", "00:00:59;20", ["00:00:59;20", "00:00:59;29", "00:01:00;02", "00:01:00;03", "00:01:00;15", "00:01:00;16"]),
    ("23.976", "12:34:56:07", ["12:34:56:07", "12:34:56:16", "12:34:56:17", "12:34:56:18", "12:34:57:06", "12:34:57:07"]),
]


@pytest.mark.parametrize(("rate", "first", "labels"), RATES, ids=[rate for rate, *_ in RATES])
def test_every_frame_carries_its_own_time_code_and_its_own_picture(
    film: Clip, tmp_path: Path, rate: str, first: str, labels: list[str]
) -> None:
    timebase = Timebase(Rate.parse(rate), drop=";" in first)
    start = timebase.frame(first)
    cut = [Event(10, on(film, 5)), Event(14, on(film, 40)), Event(8, on(film, 20))]
    out = tmp_path / "out.mp4"
    made = publish(cut, timebase, start, out, cache_dir=tmp_path / "cache", raster=RASTER, words=numbered(timebase, start))
    shown = pictures(out)
    assert made.frames == len(shown) == 32
    assert probe(out).start_label == first
    assert [read_time_code(shown[frame]) for frame in (0, 9, 10, 11, 23, 24)] == labels
    assert read_time_code(shown[31]) == timebase.label(timebase.wrap(start + 31))
    fps = timebase.rate.fps
    for frame, picture in enumerate(shown):
        grid = 5 + frame if frame < 10 else 40 + frame - 10 if frame < 24 else 20 + frame - 24
        assert read_number(picture) == int(Fraction(grid) / fps * 24)


def test_under_a_dissolve_and_a_leader_the_numbers_run_on(film: Clip, tmp_path: Path) -> None:
    timebase = Timebase(Rate.parse("24"))
    cut = [Event(12, on(film, 5)), Event(12, on(film, 40), Transition("dissolve", 6))]
    publish(
        cut,
        timebase,
        86400,
        tmp_path / "o.mov",
        cache_dir=tmp_path / "cache",
        raster=RASTER,
        leader=True,
        words=numbered(timebase, 86400),
    )
    shown = pictures(tmp_path / "o.mov")
    assert len(shown) == 192 + 24
    assert [read_time_code(shown[192 + frame]) for frame in (0, 12, 15, 23)] == ["01:00:00:00", "01:00:00:12", "01:00:00:15", "01:00:00:23"]
    # The leader is paper; nothing dark is laid on its corner.
    assert corner(shown[191]).min() > 200


def light(values: Rgb) -> np.ndarray:
    """Relative luminance by the web's rule for contrast, 0 to 1."""
    share = values.astype(float) / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


PAINTED: dict[str, Callable[[int, int, int], Rgb]] = {
    "white": lambda number, width, height: np.full((height, width, 3), 255, np.uint8),
    "black": lambda number, width, height: np.zeros((height, width, 3), np.uint8),
    "noise": lambda number, width, height: np.random.default_rng(number).integers(0, 256, (height, width, 3), dtype=np.uint8),
}


@pytest.mark.parametrize("ground", PAINTED)
def test_at_640_wide_words_can_be_read_over_anything(tmp_path: Path, ground: str) -> None:
    """Measured in the finished movie, decoded: the height of the figures, and the light of ink against that of its strip."""
    clip = make_clip(tmp_path / "A.mp4", frames=6, rate=Fraction(24), size=(640, 360), painter=PAINTED[ground])
    timebase = Timebase(Rate.parse("24"))
    publish(
        [Event(5, on(clip, 0))],
        timebase,
        0,
        tmp_path / "o.mp4",
        cache_dir=tmp_path / "cache",
        raster=RASTER,
        words=numbered(timebase, 0),
    )
    for number, picture in enumerate(pictures(tmp_path / "o.mp4")):
        assert read_time_code(picture) == f"00:00:00:{number:02d}"
        part = corner(picture)
        top, bottom, left, right = ink_box(part)
        assert bottom - top >= 12
        height, width = picture.shape[:2]
        strips = {
            "time code": picture[int(height * 0.87) : int(height * 0.95)][top:bottom, int(width * 0.05) + left : int(width * 0.05) + right],
            "foot": picture[328:340, 300:606],
            "top": picture[20:40, 36:150],
        }
        for name, strip in strips.items():
            seen = light(strip)
            ink, behind = seen[strip.mean(axis=2) > BRIGHT], seen[strip.mean(axis=2) < 100]
            # Half of the ink's pixels are its edge; of what is behind, even the lightest hundredth must stay dark.
            contrast = (np.quantile(ink, 0.5) + 0.05) / (np.quantile(behind, 0.99) + 0.05)
            assert contrast >= 4.5, (name, number, contrast)
            assert len(ink) > 150, name


SIZES = [(640, 360), (960, 540), (320, 240), (1080, 1920), (2048, 858), (64, 64), (8192, 64)]
TEXTS = st.sampled_from(["", "shot 4", "W" * 50, "x " * 300, "\u202eabc\x00\x1b[2J\nd", "中文 ü 🗡", "=1+1"])


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(SIZES), st.lists(st.builds(Line, TEXTS, TEXTS), max_size=3), TEXTS, st.sampled_from(["", "01:00:00:00", "00:00:00;02"])
)
def test_nothing_outside_the_safe_margins_is_touched(size: tuple[int, int], top: list[Line], foot: str, label: str) -> None:
    width, height = size
    ground = frame_of_rgb(np.random.default_rng(1).integers(0, 256, (height, width, 3), dtype=np.uint8))
    before = [plane.copy() for plane in planes_of(ground)]
    after = planes_of(StripPainter(Raster(width, height)).paint(ground, Words(label, tuple(top[:2] if height > 64 else top[:1]), foot)))
    across, down = -(-width // 20), -(-height // 20)
    for number, (old, new) in enumerate(zip(before, after, strict=True)):
        half = 1 if number == 0 else 2
        changed = old != new
        changed[down // half : (height - down) // half, across // half : (width - across) // half] = False
        assert not changed.any()
    if label and height > 64:
        assert any((old != new).any() for old, new in zip(before, after, strict=True))
    assert all((plane == again).all() for plane, again in zip(planes_of(ground), before, strict=True))


@pytest.mark.parametrize(("width", "height"), [(640, 360), (960, 540), (1920, 1080)])
@pytest.mark.parametrize("title", ["Not shot yet", "The cart goes over, and Odile with it, into the salt " * 3])
def test_words_burnt_in_lie_over_none_of_a_card_s_own(tmp_path: Path, width: int, height: int, title: str) -> None:
    raster = Raster(width, height)
    card = load_picture(card_picture(CardPicture(title, "the cart rolls in"), "00:00:01:00   24 frames", raster, tmp_path))
    ground = frame_of_rgb(card)
    before = planes_of(ground)[0].copy()
    changed = planes_of(StripPainter(raster).paint(ground, Words("01:00:01:16", TOP, FOOT)))[0] != before
    ink = before < 100
    assert ink.sum() > 200
    assert changed.sum() > 200
    assert not (changed & ink).any()


def test_figures_are_as_tall_in_proportion_in_every_raster() -> None:
    for width, height in ((640, 360), (960, 540), (1920, 1080), (1280, 720)):
        ground = frame_of_rgb(np.zeros((height, width, 3), np.uint8))
        luma = planes_of(StripPainter(Raster(width, height)).paint(ground, Words("08:58:08:08")))[0]
        rows = np.flatnonzero((luma > 150).any(axis=1))
        assert (rows[-1] - rows[0] + 1) * 640 / width >= 12


def test_words_are_drawn_once_for_as_long_as_they_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    painter, drawn = StripPainter(RASTER), 0
    draws = painter._drawn

    def counting(words: Words):  # type: ignore[no-untyped-def]
        nonlocal drawn
        drawn += 1
        return draws(words)

    monkeypatch.setattr(painter, "_drawn", counting)
    ground = frame_of_rgb(np.zeros((360, 640, 3), np.uint8))
    for frame in range(20):
        painter.paint(ground, Words(f"00:00:00:{frame:02d}", TOP if frame < 15 else TOP[:1], FOOT))
    assert drawn == 2


def test_a_stop_while_burning_leaves_no_movie(film: Clip, tmp_path: Path) -> None:
    timebase, doing = Timebase(Rate.parse("24")), set()

    def stop(step: Step) -> None:
        doing.add(re.sub(r"\d+", "n", step.doing))
        if step.doing == "burning words in" and step.done > 5:
            raise Stopped

    out = tmp_path / "out" / "o.mp4"
    with pytest.raises(Stopped):
        publish(
            [Event(30, on(film, 5))],
            timebase,
            0,
            out,
            cache_dir=tmp_path / "cache",
            raster=RASTER,
            words=numbered(timebase, 0),
            report=stop,
        )
    assert "burning words in" in doing
    assert list(out.parent.iterdir()) == []


def test_a_movie_from_the_tapes_themselves_is_burnt_too(film: Clip, tmp_path: Path) -> None:
    timebase = Timebase(Rate.parse("24"))
    publish(
        [Event(30, on(film, 5))],
        timebase,
        0,
        tmp_path / "o.mp4",
        cache_dir=tmp_path / "cache",
        quality="originals",
        raster=RASTER,
        words=numbered(timebase, 0),
    )
    shown = pictures(tmp_path / "o.mp4")
    assert [read_number(picture) for picture in shown] == list(range(5, 35))
    assert [read_time_code(shown[frame]) for frame in (0, 1, 29)] == ["00:00:00:00", "00:00:00:01", "00:00:01:05"]
