"""A second shooting day as plain data, to judge what was tuned on the first; nothing may be tuned on this one."""

from __future__ import annotations

from .session import Framing, Microphone, Pass, Session, ShootingDay, Tape

_CAMCORDER = (4.8, 2.7)
_CINE = (24.89, 14.0)
_PHONE = (6.17, 3.47)
_STORED = (640, 360)
_TEMPI = (0.60, 1.00, 0.75, 1.30, 0.85)
# To and fro along the corridor: nobody has to run back from the stair to the first door between two passes.
_WAY = (1, 2, 3, 4, 5, 6, 5, 4, 3, 2)

_LOUD_ROOM = Microphone(hiss=0.0020, room=0.080, hum=0.012, hum_partials=4, echo=1.6)
_QUIET_PHONE = Microphone(hiss=0.0040, room=0.030, gain_db=-12.0, echo=1.3, band_hz=(120.0, 14000.0))
_NARROW = Microphone(hiss=0.0015, room=0.030, hum=0.006, hum_hz=60.0, echo=1.3, band_hz=(180.0, 3400.0), stored_hz=8000)
_ON_BOARD = Microphone(hiss=0.0012, room=0.050, echo=1.4, band_hz=(60.0, 18000.0))

SESSIONS = (
    Session(
        "evening one",
        {"Odile": "Juno Vale", "Reeve": "Rika Thorn"},
        (3.0, 2.2),
        (
            Pass("1/3", (1,), 0.60, 3, note="learning tempo, slowest"),
            Pass("1/4", (1,), 1.00, 0, false_start=True, note="false start, Reeve not set"),
            Pass("1-2/2", (1, 2), 1.00, 4, note="both phrases in one go, performance tempo"),
            Pass("1/5", (1,), 1.30, 3, note="fast, to see what breaks"),
        ),
        strays=6,
        talk=0.22,
    ),
    Session(
        "evening two",
        {"Odile": "Pim Oster", "Reeve": "Abel Quist"},
        (3.6, 0.0),
        (
            Pass("4/3", (4,), 0.75, 2, pause_after=18, note="learning tempo, lost the thrust and stood"),
            Pass("4/4", (4,), 1.00, 1, stop_after=20, note="broken off, grip slipped"),
            Pass("4/5", (4,), 1.00, 5, note="performance tempo"),
            Pass("4/6", (4,), 1.30, 3, note="fast"),
        ),
        strays=5,
        talk=0.18,
    ),
)


def _held(*focal_and_height: tuple[float, float]) -> tuple[Framing, ...]:
    """A phone held on the pair, one framing a pass."""
    return tuple(Framing(focal, "both", height, "hand-held") for focal, height in focal_and_height)


TAPES = (
    Tape(
        "SSA11",
        "mp4",
        "evening one",
        (50, 1),
        "19:00:00:00",
        "A",
        _CAMCORDER,
        _STORED,
        (3.1, -5.6, 1.35),
        (Framing(4.2, "both", 0.95, "locked", fixed_x=3.5),) * 2 + (Framing(5.2, "both", 1.05, "pan"), Framing(6.0, "both", 1.1, "pan")),
        "A11",
        offset=0.0,
        crf=29,
        own_microphone=_LOUD_ROOM,
    ),
    Tape(
        "SSB11",
        "mp4",
        "evening one",
        (30000, 1001),
        None,
        "B",
        _PHONE,
        _STORED,
        (6.6, -3.3, 1.65),
        _held((6.0, 1.0), (6.0, 1.0), (6.8, 1.05), (8.5, 1.1)),
        "B11",
        offset=11.2,
        drift_ppm=35.0,
        variable=True,
        shake=1.2,
        marks_in="seconds",
        first_pass=1,
        crf=30,
        own_microphone=_QUIET_PHONE,
        drops="bursts",
    ),
    Tape(
        "SSC11",
        "mov",
        "evening one",
        (25, 1),
        "18:58:30:00",
        "C",
        _CINE,
        _STORED,
        (1.3, -4.4, 1.5),
        (
            Framing(48.0, "Odile", 0.78, "pan"),
            Framing(60.0, "Reeve", 0.80, "pan"),
            Framing(85.0, "Reeve", 0.86, "pan"),
            Framing(42.0, "Odile", 0.72, "pan"),
        ),
        "C11",
        offset=2.3,
        drift_ppm=-20.0,
        blur_px=0.8,
        crf=29,
        own_microphone=_NARROW,
    ),
    Tape(
        "SSA12",
        "mp4",
        "evening two",
        (24000, 1001),
        "20:15:10:12",
        "A",
        _CINE,
        _STORED,
        (-1.2, -5.2, 1.7),
        (
            Framing(24.0, "both", 1.0, "locked", fixed_x=-2.0),
            Framing(30.0, "both", 1.05, "pan"),
            Framing(30.0, "both", 1.05, "pan"),
            Framing(38.0, "both", 1.15, "pan"),
        ),
        "A12",
        offset=0.35,
        drift_ppm=12.0,
        crf=29,
        marks_in="frames",
        own_microphone=_ON_BOARD,
    ),
    Tape(
        "SSB12",
        "mp4",
        "evening two",
        (30000, 1001),
        None,
        "B",
        _PHONE,
        _STORED,
        (-4.9, 3.2, 1.55),
        _held((6.5, 1.0), (7.5, 1.0), (7.5, 1.05), (9.0, 1.1)),
        "B12",
        offset=1.6,
        drift_ppm=35.0,
        rotation=90,
        variable=True,
        sound=False,
        shake=1.0,
        marks_in="seconds",
        crf=30,
        drops="bursts",
    ),
)

SECOND_DAY = ShootingDay("second", 71, SESSIONS, TAPES, tells_all=True)


def _long_pass(n: int) -> Pass:
    phrase, tempo = _WAY[n % len(_WAY)], _TEMPI[n % 7 % len(_TEMPI)]
    return Pass(f"{phrase}/{n + 10}", (phrase,), tempo, 3)


LONG_RUN = Session(
    "long run",
    {"Odile": "Juno Vale", "Reeve": "Abel Quist"},
    (3.0, 2.2),
    tuple(_long_pass(n) for n in range(43)),
    strays=20,
    talk=0.15,
)


def _long_tape(reel: str, position: tuple[float, float, float], first_pass: int, microphone: Microphone, **clock: float) -> Tape:
    """Sound only: the framing is never looked through."""
    framings = (Framing(20.0, "both", 1.0, "locked"),) * len(LONG_RUN.passes)
    tail = (_CINE, _STORED, position, framings, f"{reel[2]}13")
    kept = {"first_pass": first_pass, "own_microphone": microphone}
    return Tape(reel, "mov", LONG_RUN.name, (25, 1), None, reel[2], *tail, **clock, **kept)


# The two stand a hand's breadth apart: sound then tells the clocks' offset to well under the 2 ms that are asked for.
LONG_DAY = ShootingDay(
    "second, long run",
    71,
    (LONG_RUN,),
    (
        _long_tape("SSA13", (0.20, -6.0, 1.50), 0, _ON_BOARD, offset=0.2, drift_ppm=22.0),
        _long_tape("SSB13", (0.35, -6.0, 1.40), 1, _QUIET_PHONE, offset=17.5, drift_ppm=-18.0),
    ),
    tells_all=True,
)
