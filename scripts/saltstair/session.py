"""The shooting day as plain data: passes of the fight, who performs, which tapes run; no geometry is worked out here."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Pass:
    """One go at one or two phrases. `stop_after` breaks it off after that move; `false_start` stops before any hit.

    `pause_after` lets both stand still for `pause_seconds` after that move, because one of them lost the next.
    """

    slate: str
    phrases: tuple[int, ...]
    tempo: float
    rating: int
    stop_after: int | None = None
    false_start: bool = False
    note: str = ""
    pause_after: int | None = None
    pause_seconds: float = 1.5

    @property
    def usable(self) -> bool:
        return self.stop_after is None and not self.false_start


@dataclass(frozen=True)
class Session:
    """Passes played one after the other by the same people without a stop of the cameras.

    `strays` counts knocks in the hall that are no hit; `talk` is the share of the time somebody off camera speaks.
    """

    name: str
    cast: dict[str, str]
    slate_leaves: tuple[float, float]
    passes: tuple[Pass, ...]
    strays: int = 0
    talk: float = 0.0


@dataclass(frozen=True)
class Framing:
    """What a camera holds during a take: `aim` is a role, or `both`; `aim_height` a share of stature (both: metres)."""

    focal_mm: float
    aim: str
    aim_height: float
    movement: str
    fixed_x: float | None = None


@dataclass(frozen=True)
class Microphone:
    """What a tape adds to and takes from the sound of the hall; levels are shares of full scale.

    `gain_db` weakens hall and room but not the hiss, which is the recorder's own.
    """

    hiss: float
    room: float = 0.012
    hum: float = 0.0016
    hum_hz: float = 50.0
    hum_partials: int = 1
    gain_db: float = 0.0
    echo: float = 1.0
    band_hz: tuple[float, float] | None = None
    stored_hz: int = 48000


BUILT_IN = {"A": Microphone(hiss=0.0009), "B": Microphone(hiss=0.0016), "C": Microphone(hiss=0.0011)}


@dataclass(frozen=True)
class Tape:
    """One recording. `position` is the lens in the hall; `framings` one per pass of the session it covers.

    A tape that starts late has no take of the passes before `first_pass`; `drops` names how a phone loses frames.
    """

    reel: str
    suffix: str
    session: str
    rate: tuple[int, int]
    start: str | None
    camera: str
    sensor_mm: tuple[float, float]
    stored_px: tuple[int, int]
    position: tuple[float, float, float]
    framings: tuple[Framing, ...]
    take_prefix: str
    offset: float
    drift_ppm: float = 0.0
    rotation: int = 0
    variable: bool = False
    sound: bool = True
    shake: float = 0.0
    marks_in: str = "timecode"
    first_pass: int = 0
    crf: int = 27
    blur_px: float = 0.0
    own_microphone: Microphone | None = None
    drops: str = "scattered"

    @property
    def microphone(self) -> Microphone:
        return self.own_microphone or BUILT_IN[self.camera]

    @property
    def upright_px(self) -> tuple[int, int]:
        w, h = self.stored_px
        return (h, w) if self.rotation in (90, 270) else (w, h)

    @property
    def upright_sensor_mm(self) -> tuple[float, float]:
        w, h = self.sensor_mm
        return (h, w) if self.rotation in (90, 270) else (w, h)


@dataclass(frozen=True)
class ShootingDay:
    """A set of tapes that belong together. `tells_all` writes more truth: the first set's is committed and must not change."""

    name: str
    seed: int
    sessions: tuple[Session, ...]
    tapes: tuple[Tape, ...]
    tells_all: bool = False

    def session_of(self, tape: Tape) -> Session:
        """The session that a tape covers."""
        return next(s for s in self.sessions if s.name == tape.session)


SESSIONS = (
    Session(
        "morning one",
        {"Odile": "Pim Oster", "Reeve": "Abel Quist"},
        (3.0, 2.2),
        (
            Pass("1/1", (1,), 0.70, 0, false_start=True, note="false start, Odile not set"),
            Pass("1/2", (1,), 0.70, 3, note="learning tempo"),
            Pass("2/1", (2,), 0.72, 3, note="learning tempo"),
            Pass("3/1", (3,), 0.68, 1, stop_after=14, note="broken off before the vault, wrong foot"),
            Pass("3/2", (3,), 0.70, 4, note="learning tempo, vault at true speed"),
        ),
    ),
    Session(
        "morning two",
        {"Odile": "Juno Vale", "Reeve": "Abel Quist"},
        (3.0, 2.2),
        (
            Pass("4/1", (4,), 0.70, 3, note="learning tempo"),
            Pass("5/1", (5,), 0.69, 3, note="learning tempo"),
            Pass("6/1", (6,), 0.73, 4, note="learning tempo, wire on"),
        ),
    ),
    Session(
        "afternoon one",
        {"Odile": "Juno Vale", "Reeve": "Abel Quist"},
        (3.0, 2.2),
        (
            Pass("1-2/1", (1, 2), 1.00, 4, note="both phrases in one go"),
            Pass("3/3", (3,), 1.01, 5, note="performance tempo"),
            Pass("4/2", (4,), 0.98, 4, note="performance tempo"),
        ),
    ),
    Session(
        "afternoon two",
        {"Odile": "Juno Vale", "Reeve": "Rika Thorn"},
        (3.6, 0.0),
        (
            Pass("5/2", (5,), 1.00, 1, stop_after=25, note="broken off, staff slipped"),
            Pass("5-6/1", (5, 6), 0.98, 4, note="both phrases in one go, wire on"),
            Pass("6/2", (6,), 1.02, 5, note="performance tempo, wire on"),
        ),
    ),
)

_CINE = (24.89, 14.0)
_PHONE = (5.76, 3.24)


def _wide(focal: float, x: float, height: float = 0.98) -> Framing:
    return Framing(focal, "both", height, "locked", fixed_x=x)


TAPES = (
    Tape(
        "SSA01",
        "mp4",
        "morning one",
        (24, 1),
        "01:00:00:00",
        "A",
        _CINE,
        (1280, 720),
        (1.75, -7.3, 1.55),
        (_wide(20.5, 1.75),) * 5,
        "A1",
        offset=0.0,
        crf=29,
    ),
    Tape(
        "SSB01",
        "mp4",
        "morning one",
        (30000, 1001),
        None,
        "B",
        _PHONE,
        (1280, 720),
        (2.1, -4.0, 1.5),
        (Framing(5.2, "both", 0.95, "hand-held"),) * 3 + (Framing(4.6, "both", 1.0, "hand-held"),) * 2,
        "B1",
        offset=1.37,
        drift_ppm=20.0,
        rotation=180,
        variable=True,
        crf=34,
        shake=1.0,
        marks_in="seconds",
    ),
    Tape(
        "SSA02",
        "mp4",
        "morning two",
        (24, 1),
        "02:10:00:00",
        "A",
        _CINE,
        (1280, 720),
        (-3.6, -7.0, 1.6),
        (_wide(28.0, -2.2), _wide(28.0, -3.5), _wide(25.0, -5.1, 1.2)),
        "A2",
        offset=0.6,
        crf=29,
        marks_in="frames",
    ),
    Tape(
        "SSC01",
        "mov",
        "morning two",
        (25, 1),
        "10:20:00:00",
        "C",
        _CINE,
        (1280, 720),
        (-1.2, -4.6, 1.6),
        (Framing(110.0, "Odile", 0.87, "pan"), Framing(50.0, "Reeve", 0.72, "pan"), Framing(40.0, "Odile", 0.68, "pan")),
        "C1",
        offset=0.92,
        drift_ppm=-8.0,
        blur_px=1.6,
        crf=32,
    ),
    Tape(
        "SSA03",
        "mp4",
        "afternoon one",
        (24, 1),
        "03:00:00:00",
        "A",
        _CINE,
        (1280, 720),
        (1.2, -7.1, 1.6),
        (_wide(32.0, 3.5), _wide(25.0, 0.9), _wide(40.0, -1.9)),
        "A3",
        offset=0.25,
        crf=29,
    ),
    Tape(
        "SSB02",
        "mp4",
        "afternoon one",
        (30000, 1001),
        None,
        "B",
        _PHONE,
        (1280, 720),
        (4.6, -3.5, 1.5),
        (Framing(5.6, "both", 1.0, "hand-held"), Framing(6.2, "both", 1.0, "hand-held"), Framing(9.0, "both", 1.0, "hand-held")),
        "B2",
        offset=1.9,
        drift_ppm=20.0,
        rotation=90,
        variable=True,
        crf=34,
        shake=1.0,
        marks_in="seconds",
    ),
    Tape(
        "SSC02",
        "mov",
        "afternoon one",
        (25, 1),
        "11:05:00:00",
        "C",
        _CINE,
        (1280, 720),
        (-0.6, -4.7, 1.6),
        (Framing(120.0, "Reeve", 0.86, "pan"), Framing(50.0, "Odile", 0.70, "pan"), Framing(150.0, "Reeve", 0.91, "pan")),
        "C2",
        offset=1.15,
        drift_ppm=-8.0,
        blur_px=1.8,
        crf=32,
    ),
    Tape(
        "SSB03",
        "mp4",
        "afternoon two",
        (30000, 1001),
        None,
        "B",
        _PHONE,
        (1280, 720),
        (-4.6, -3.9, 1.5),
        (Framing(5.0, "both", 1.0, "hand-held"), Framing(4.6, "both", 1.15, "hand-held"), Framing(4.6, "both", 1.25, "hand-held")),
        "B3",
        offset=0.8,
        drift_ppm=20.0,
        variable=True,
        crf=34,
        sound=False,
        shake=0.8,
        marks_in="seconds",
    ),
    Tape(
        "SSC03",
        "mov",
        "afternoon two",
        (25, 1),
        "11:40:00:00",
        "C",
        _CINE,
        (1280, 720),
        (-3.3, 3.7, 1.6),
        (Framing(40.0, "Reeve", 0.78, "pan"), Framing(34.0, "Odile", 0.70, "pan"), Framing(80.0, "Odile", 0.87, "pan")),
        "C3",
        offset=0.4,
        drift_ppm=-8.0,
        blur_px=1.6,
        crf=32,
    ),
)

SESSION_OF = {s.name: s for s in SESSIONS}
FIRST_DAY = ShootingDay("first", 24, SESSIONS, TAPES)
