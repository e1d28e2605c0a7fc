"""Writes a set's sound without its pictures: one WAV a tape and the truth, for tests that must be quick."""

from __future__ import annotations

import json
import sys
import wave
from pathlib import Path

import numpy as np

from .heard import happened, pairs, sounds, tape_seconds
from .production import Production
from .session import Tape
from .sound import RATE, soundtrack


def _write_wave(path: Path, samples: np.ndarray) -> None:
    """It appears under its name only when whole."""
    part = path.with_suffix(".part")
    with wave.open(str(part), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(np.round(np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    part.replace(path)


def _truth(made: Production, tape: Tape) -> dict[str, object]:
    return {
        "file": f"{tape.reel}.wav" if tape.sound else None,
        "seconds": round(tape_seconds(made, tape), 6),
        "sound": tape.sound,
        "stored_hz": tape.microphone.stored_hz,
        **happened(made, tape),
        "sounds": sounds(made, tape),
    }


def write_sounds(productions: list[Production], folder: Path, only: str | None = None) -> None:
    """REEL.wav, 48 kHz mono, for every tape that has sound, and truth.json for all of them."""
    folder.mkdir(parents=True, exist_ok=True)
    truth: dict[str, object] = {}
    together: dict[str, list[object]] = {"synced": [], "strangers": []}
    for made in productions:
        for tape in made.day.tapes:
            truth[tape.reel] = _truth(made, tape)
            if tape.sound and only in (None, tape.reel):
                print(f"{tape.reel}.wav ...", file=sys.stderr, flush=True)
                samples = soundtrack(made.shows[tape.session], tape, made.clocks[tape.reel], made.seed)
                _write_wave(folder / f"{tape.reel}.wav", samples)
        for kind, found in pairs(made).items():
            together[kind] += found
    body = {"set": productions[0].day.name, "seed": productions[0].seed, "tapes": truth, "pairs": together}
    (folder / "truth.json").write_text(json.dumps(body, indent=1) + "\n", encoding="utf-8")
