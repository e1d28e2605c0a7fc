"""The sample as a document: the same steps as a person takes, from the tapes and tables of the repository; it shows nothing."""

from __future__ import annotations

import shutil
from functools import partial
from pathlib import Path

import previs
from previs.cut.assembly import assemble, with_cut
from previs.document.casting import with_casting
from previs.document.floor import Floor
from previs.document.floor_edits import with_cameras, with_laid, with_room
from previs.document.model import Sequence
from previs.document.sitting import Sitting
from previs.document.store import create
from previs.exchange.beginning import sequence_begun
from previs.exchange.tables import How, read_marks
from previs.faults import Fault, UseFault
from previs.media.ingest import take_in, with_tapes
from previs.progress import Report, Step

FILE_NAME = "salt_stair.previs"
_CAST = (("Odile", "Juno Vale", "Pim Oster"), ("Reeve", "Abel Quist", "Rika Thorn"))
_CAMERAS = "ABC"


def sample_media() -> Path | None:
    """Where the sample's tapes and tables are, or None where previs was installed without them."""
    folder = Path(previs.__file__).parent.parent / "sample_media"
    return folder if (folder / "marks" / "fight.csv").is_file() and any((folder / "tapes").glob("SS*")) else None


def make_sample(media: Path, folder: Path, report: Report) -> Path:
    """Make the sample's document in a folder, and give back its file; one that is there already is left as it is.

    The folder comes whole: a stop or a fault leaves what there was. Raises `UseFault` for a folder in which something else is.
    """
    document = folder / FILE_NAME
    if document.is_file():
        return document
    if folder.is_file() or (folder.is_dir() and any(folder.iterdir())):
        raise UseFault(f"{folder} holds something else already; choose another folder for the sample.")
    # A neighbour, so that the paths to the tapes are the same from both.
    making = folder.with_name(f".{folder.name}.making")
    shutil.rmtree(making, ignore_errors=True)
    try:
        making.mkdir(parents=True)
        _make(media, making / FILE_NAME, report)
        if folder.is_dir():
            folder.rmdir()
        making.rename(folder)
    except OSError as error:
        raise Fault(f"The sample cannot be put into {folder} ({error.strerror or error}); choose another folder.") from error
    finally:
        shutil.rmtree(making, ignore_errors=True)
    return document


def _make(media: Path, document: Path, report: Report) -> None:
    create(document, sequence_begun(document, "The Salt Stair", "24", "01:00:00:00", "00:00:48:00"))
    marks = media / "marks"
    with Sitting(document) as sitting:
        for camera in _CAMERAS:
            tapes = sorted((media / "tapes").glob(f"SS{camera}*"))
            taken = take_in(tapes, sitting.sequence, document, report, camera=camera)
            if taken.refused:
                raise taken.refused[0]
            sitting.edit(partial(with_tapes, tapes=taken.tapes), f"take in the tapes of camera {camera}")
        report(Step(0, 1, "Reading the fight and the marks"))
        sitting.edit(lambda one: read_marks([marks / "fight.csv"], one, How(verb="fight")).sequence, "read the fight")
        tables = [marks / f"{name}.csv" for name in ("takes", "hits", "treatments", "flights")]
        sitting.edit(lambda one: read_marks(tables, one, How(verb="marks")).sequence, "read the marks")
        sitting.edit(_cast, "cast the roles")
        report(Step(0, 1, "Laying the floor"))
        sitting.edit(partial(_with_floor, floor=media / "floor", report=report), "lay the floor")
        report(Step(0, 1, "Assembling the cut"))
        sitting.edit(lambda one: with_cut(one, assemble(one, "v1").cut), "assemble a cut")


def _with_floor(sequence: Sequence, floor: Path, report: Report) -> Sequence:
    # What reads drawings is large, and not needed to open a file.
    from previs.floor.cameras_table import read_cameras
    from previs.floor.drawing_plan import read_plan, with_read_plan
    from previs.floor.fitting import fitted
    from previs.floor.room_table import read_room_table
    from previs.floor.routes_table import read_ways

    sequence = with_room(with_read_plan(sequence, read_plan(floor / "salt_stair.dxf")), read_room_table(floor / "room.csv"))
    sequence = read_ways([floor / "routes.csv", floor / "reaches.csv"], sequence).sequence
    sequence = with_cameras(sequence, read_cameras(floor / "cameras.csv", sequence))
    return with_laid(sequence, fitted(sequence.floor or Floor(), report).laid)


def _cast(sequence: Sequence) -> Sequence:
    for role, actor, double in _CAST:
        sequence = with_casting(sequence, role, actor, (double,))
    return sequence
