"""A cut handed on to whom it concerns: the director's folder is a review, every other is made in `handoff`."""

from __future__ import annotations

from previs.handoff import folders
from previs.handoff.folder_names import Folder
from previs.handoff.folders import HandOff
from previs.handoff.sheet_folder import Tell
from previs.progress import Report
from previs.review.folder import write_review


def hand_on(what: HandOff, folder: Folder, report: Report, tell: Tell, *, confidential: bool = True) -> None:
    """Write one folder of a hand-off; raises as `folders.hand_on` and `write_review` do.

    A director sees the cut beside the one that it is told against, in step. `confidential` puts on the page and into its movies
    that rehearsal footage is not for distribution.
    """
    if folder is not Folder.DIRECTOR:
        folders.hand_on(what, folder, report, tell)
        return
    folders.refuse_a_file(what.output)
    beside = what.since if what.since and what.since.name != what.cut.name else None
    review = write_review(
        what.sequence,
        what.document,
        what.cut,
        what.place(folder),
        beside=beside,
        made=what.made,
        confidential=confidential,
        report=report,
    )
    against = f" beside {beside.name}" if beside else ""
    tell(f"{review.files[0]} is written, with cut {what.cut.name}{against}; send the whole folder, and open that page in any browser.")
