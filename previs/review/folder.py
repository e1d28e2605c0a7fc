"""A review as a folder to send: the page and its movies beside it; what is on the page is worked out elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from previs.document.model import Cut, Sequence
from previs.faults import UseFault
from previs.media.cut_movies import publish_cut
from previs.progress import Report
from previs.replacing import write_whole
from previs.review.burn_ins import BurnIns
from previs.review.page_data import Asked, page_data
from previs.review.page_text import page_text

PAGE, MOVIE, MOVIE_BESIDE = "index.html", "movie.mp4", "earlier.mp4"
"""Names of ours, whatever cuts are called, so that no name of a cut leads out of the folder or into an address."""


@dataclass(frozen=True, slots=True)
class Review:
    """What was written: the folder and its files in order."""

    folder: Path
    files: tuple[Path, ...]

    @property
    def page(self) -> Path:
        """The page, which is what a person opens."""
        return self.files[0]


def write_review(
    sequence: Sequence, document: Path, cut: Cut, folder: Path, *, beside: Cut | None, made: date, confidential: bool, report: Report
) -> Review:
    """Write the review page of a cut, with its movie and, when there is a version to compare with, that one's movie.

    `made` is the day that stands on the page and on the movies. What has the same names is replaced, the page last, so that
    it never names frames of a movie that is not there yet. Raises `UseFault` as `refuse_impossible` does.
    """
    refuse_impossible(cut, folder, beside)
    said = f"{made.day} {made:%B %Y}"
    text = page_text(page_data(sequence, cut, Asked(beside, said, confidential, MOVIE, MOVIE_BESIDE)))
    files = [folder / MOVIE]
    _movie(sequence, document, cut, files[0], BurnIns(sequence, cut, made, confidential=confidential), report)
    if beside is not None:
        files.append(folder / MOVIE_BESIDE)
        _movie(sequence, document, beside, files[1], BurnIns(sequence, beside, made, confidential=confidential), report)
    write_whole(folder / PAGE, text.encode())
    return Review(folder, (folder / PAGE, *files))


def refuse_impossible(cut: Cut, folder: Path, beside: Cut | None) -> None:
    """Raises `UseFault` for a folder that is a file, and for one cut against itself."""
    if folder.exists() and not folder.is_dir():
        raise UseFault(f"{folder} is a file; name a folder for the review.")
    if beside is not None and beside.name == cut.name:
        raise UseFault(f"Cut {cut.name} cannot be compared with itself; name another one with --against.")


def _movie(sequence: Sequence, document: Path, cut: Cut, output: Path, words: BurnIns, report: Report) -> None:
    """The movie of a page, with its words burnt in and without a leader, so that frame k of it is frame k of the cut."""
    publish_cut(sequence, cut, document, output, quality="final", words=words, report=report)
