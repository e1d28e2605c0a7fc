"""Onsets: what strikes is found to the millisecond, slates are told from blows, and no sound is ever too odd for an answer."""

from __future__ import annotations

import json
from pathlib import Path

import librosa
import mir_eval
import numpy as np
import pytest
from heard_fights import heard
from scipy.signal import resample_poly

from previs.analysis.onsets import LIKELY, SAMPLE_RATE, bandwidth_hz, claps, impulses, landings, onset_curves

BLOWS = [2.0, 3.1, 4.05, 5.5, 6.21, 7.77]
SLATES = [0.5, 9.0]


def found_on(sound: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    curves = onset_curves(sound)
    struck = impulses(sound, curves)
    slates = [one.at for one in claps(struck, curves) if one.confidence >= LIKELY]
    return np.array([one.at for one in struck if one.confidence >= LIKELY and one.at not in slates]), np.array(slates)


@pytest.mark.parametrize("noise", [0.0, 0.002, 0.02])
def test_blows_and_slates_are_found_within_a_millisecond(noise: float) -> None:
    blows, slates = found_on(heard(10, BLOWS, SLATES, noise=noise))
    assert blows == pytest.approx(BLOWS, abs=0.001)
    assert slates == pytest.approx(SLATES, abs=0.001)


def test_the_sample_tape_gives_every_slate_within_a_frame_and_its_hits_at_f_95(tmp_path: Path) -> None:
    """mir_eval's window of 50 ms; the tape's truth is written by its generator."""
    from previs.media.sound import tape_sound

    root = Path(__file__).parents[2] / "sample_media"
    truth = json.loads((root / "truth" / "truth.json").read_text(encoding="utf-8"))["tapes"]["SSC01"]
    sound = np.asarray(tape_sound(root / truth["file"], tmp_path))
    curves = onset_curves(sound)
    struck = impulses(sound, curves)
    slates = [one.at for one in claps(struck, curves) if one.confidence >= LIKELY]
    at = sorted(
        [one.at for one in struck if one.confidence >= LIKELY and one.at not in slates] + [one.at for one in landings(curves, struck)]
    )
    hits = np.array(sorted(hit["at"] for take in truth["takes"].values() for hit in take["hits"]))
    assert mir_eval.onset.f_measure(np.array([clap["at"] for clap in truth["claps"]]), np.array(slates), window=1 / 24)[0] == 1
    assert mir_eval.onset.f_measure(hits, np.array(at), window=0.05)[0] >= 0.95


def test_a_general_onset_finder_agrees_on_clear_blows() -> None:
    """librosa's onset_detect, another library's spectral flux, on the same sound; its frames are 11 ms."""
    sound = heard(10, BLOWS)[:, 0]
    theirs = librosa.onset.onset_detect(y=sound, sr=SAMPLE_RATE, hop_length=512, units="time", backtrack=False)
    ours, _ = found_on(sound[:, None])
    assert all(np.abs(theirs - at).min() < 0.04 for at in ours)


def test_the_published_example_of_mir_eval_pins_the_window_of_50_ms() -> None:
    """craffel/mir_eval, tests/data/onset 05: F 0.2222, P 0.2, R 0.25; its offsets are 49.34, 61.38, 63.02 and 50.52 ms."""
    reference = np.array([0.194467120, 1.128639455, 2.023877551, 4.079727891])
    estimated = np.array([0.2438095238, 1.1900226757, 2.0868934240, 4.1302494331, 4.6120634921])
    assert mir_eval.onset.f_measure(reference, estimated) == pytest.approx((2 / 9, 0.2, 0.25))


def test_what_echoes_from_the_walls_is_not_a_blow() -> None:
    sound = heard(10, BLOWS)
    echoed = sound.copy()
    for delay, share in ((0.033, 0.12), (0.071, 0.08)):
        echoed[round(delay * SAMPLE_RATE) :] += share * sound[: -round(delay * SAMPLE_RATE)]
    assert found_on(echoed)[0] == pytest.approx(BLOWS, abs=0.001)


def test_a_tape_of_a_narrow_recorder_is_heard_in_what_it_holds() -> None:
    narrow = resample_poly(resample_poly(heard(10, BLOWS, SLATES)[:, 0].astype(float), 1, 6), 6, 1).astype(np.float32)
    assert bandwidth_hz(narrow) < 8000 < bandwidth_hz(heard(10, BLOWS, SLATES)[:, 0])
    blows, slates = found_on(narrow[:, None])
    assert blows == pytest.approx(BLOWS, abs=0.003)
    assert slates == pytest.approx(SLATES, abs=0.003)


@pytest.mark.parametrize(
    "sound",
    [
        np.zeros((0, 2), np.float32),
        np.zeros((100, 2), np.float32),
        np.zeros((SAMPLE_RATE, 2), np.float32),
        np.ones((SAMPLE_RATE, 1), np.float32),
        np.full((SAMPLE_RATE, 1), np.nan, np.float32),
        np.sign(np.sin(np.arange(SAMPLE_RATE)))[:, None].astype(np.float32),
    ],
    ids=["nothing", "hundred samples", "silence", "constant", "no numbers", "clipped through"],
)
def test_odd_sound_is_answered(sound: np.ndarray) -> None:
    curves = onset_curves(sound)
    assert np.isfinite(curves.bright).all()
    struck = impulses(sound, curves)
    assert len(landings(curves, struck)) + len(claps(struck, curves)) < 30


def test_clipped_blows_are_still_blows() -> None:
    assert found_on(np.clip(heard(10, BLOWS) * 20, -1, 1))[0] == pytest.approx(BLOWS, abs=0.002)


def test_blocks_do_not_show() -> None:
    """The curve of a long tape is worked out in blocks; a blow near an edge of one is as strong as any other."""
    edge = 2048 * 256 / SAMPLE_RATE
    at = [1.3, 3.7, edge - 0.001, edge + 2, 2 * edge]
    assert found_on(heard(25, at))[0] == pytest.approx(at, abs=0.001)
