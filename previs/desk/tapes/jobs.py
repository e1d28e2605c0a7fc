"""The long work of the Tapes place: taking in, copying, looking for tapes, and cameras that ran together; each ends as one edit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from previs.analysis.sessions import Sessions
from previs.desk.open_file import OpenFile, Tone
from previs.desk.words import tr
from previs.document.paths import Search, find_moved, relinked
from previs.media.fingerprint import fingerprint
from previs.media.ingest import TakenIn, take_in, tape_told, with_tapes
from previs.media.tape_signals import cameras_together, with_syncs
from previs.media.tapes_there import copy_tapes
from previs.progress import Report


class TapeJobs:
    """Does the work for one open file; `looked` is called when tapes or copies may be there that were not before."""

    def __init__(self, file: OpenFile, looked: Callable[[], None]) -> None:
        self._file, self._looked = file, looked

    def take_in(self, paths: list[Path], camera: str) -> None:
        """Look at movie files, take in those that are tapes as one step, and make their work copies."""
        sequence, document = self._file.sequence, self._file.path
        self._file.do(
            tr("Looking at {number} tapes", number=len(paths)),
            lambda report: take_in(paths, sequence, document, report, camera=camera),
            self._put_tapes,
        )

    def copy(self) -> None:
        """Make the work copies that are missing."""
        sequence, document = self._file.sequence, self._file.path

        def made(away: int) -> None:
            self._looked()
            if away:
                self._file.say(tr("Work copies are made, but of {away} tapes that are not in their places.", away=away))
            else:
                self._file.say(tr("Every tape has its work copy."))

        self._file.do(tr("Making work copies"), lambda report: copy_tapes(sequence, document, report), made)

    def look_in(self, folder: Path) -> None:
        """Look for tapes that are not in their places, by what is in them."""
        sequence, document = self._file.sequence, self._file.path
        self._file.do(
            tr("Looking for tapes in {folder}", folder=folder.name),
            lambda report: find_moved(sequence, document, [folder], fingerprint, report),
            self._put_found,
        )

    def find_together(self) -> None:
        """Find the cameras that ran together."""
        sequence, document = self._file.sequence, self._file.path

        def look(report: Report) -> tuple[tuple[str, ...], Sessions]:
            reels, found, _ = cameras_together(sequence, document, None, report)
            return reels, found

        self._file.do(tr("Comparing the tapes"), look, lambda found: self._put_together(*found))

    def _put_tapes(self, taken: TakenIn) -> None:
        # The faults last, so that they are what is read at the foot of the window.
        if taken.tapes:
            before = {tape.reel for tape in self._file.sequence.tapes}
            names = ", ".join(tape.reel for tape in taken.tapes)
            if self._file.edit(lambda sequence: with_tapes(sequence, taken.tapes), f"take in {names}"):
                for tape in self._file.sequence.tapes:
                    if tape.reel not in before:
                        self._file.say(tape_told(tape))
                self.copy()
        for fault in taken.refused:
            self._file.say(str(fault), Tone.FAULT)

    def _put_found(self, search: Search) -> None:
        here = {reel: path for reel, path in search.found.items() if any(tape.reel == reel for tape in self._file.sequence.tapes)}
        if here:
            self._file.edit(lambda sequence: relinked(sequence, here, self._file.path), "relink tapes")
        for remark in search.remarks:
            self._file.say(remark)
        if search.missing:
            self._file.say(
                tr("Not found: {reels}. Look in other folders, or bring the tapes back.", reels=", ".join(search.missing)), Tone.FAULT
            )
        self._looked()

    def _put_together(self, reels: tuple[str, ...], found: Sessions) -> None:
        there = {tape.reel for tape in self._file.sequence.tapes}
        if not there.issuperset(reels):
            self._file.say(tr("Tapes were renamed or removed meanwhile; compare them again."), Tone.FAULT)
            return
        same = with_syncs(self._file.sequence, reels, found) == self._file.sequence
        if not same and not self._file.edit(lambda sequence: with_syncs(sequence, reels, found), "camera sync"):
            return
        sessions: dict[str, list[str]] = {}
        for one in found.syncs:
            sessions.setdefault(one.session, []).append(one.reel)
        for together in sessions.values():
            self._file.say(tr("{reels} ran together.", reels=", ".join(together)))
        for remark in found.remarks:
            self._file.say(remark)
        alone = [reel for reel in reels if not any(reel == one.reel for one in found.syncs)]
        if alone:
            self._file.say(tr("With no other tape go: {reels}.", reels=", ".join(alone)))
