"""A small fight on three coded tapes: two phrases, five moves, three takes; and the document with them and a cut."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from clips import Clip, make_clip

from previs.cut.assembly import assemble, with_cut
from previs.document.model import Sequence, Settings
from previs.document.paths import cache_folder, stored_path
from previs.document.sitting import Sitting
from previs.document.store import create
from previs.exchange.tables import How, read_marks
from previs.media.from_cut import raster_of, tapes_to_copy
from previs.media.ingest import tape_from_file
from previs.media.workcopy import make_work_copies
from previs.progress import silent

FIGHT = """phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note
1,1,high cut,Odile,Reeve,head,staff,Odile,,,corridor,
1,2,low sweep,Reeve,Odile,legs,staff,level,,,corridor,
1,3,thrust,Odile,Reeve,chest,staff,Odile,,0.5s,first door,
2,4,backhand,Reeve,Odile,head,staff,Reeve,,,stair,
2,5,leap,Odile,Reeve,,wire,level,,,stair,wire-assisted
"""
TAKES = """take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note
A1,FILM,10:00:00:12,10:00:08:00,1,4,1,1-2,A,full,0,locked,Odile,Odile=full;Reeve=part,Odile=Juno Vale;Reeve=Abel Quist,
B1,PHONE,0.5s,6.9s,1,4,0.7,1,B,medium,40,hand-held,Odile,Odile=part,Odile=Pim Oster,learning tempo
C1,PAL,f10,f180,1,5,100 %,2,C,close,80,pan,Odile,,,
"""
HITS = """take,move,at
A1,1,10:00:01:12
A1,2,10:00:02:12
A1,3,10:00:03:12
A1,4,10:00:05:12
A1,5,10:00:06:12
B1,1,1.9s
B1,2,3.3s
B1,3,4.8s
C1,4,f75
C1,5,f101
"""
TREATMENTS = """tape,in,out,kind,role,note
FILM,10:00:06:00,10:00:07:00,rig removal,Odile,wire in frame
PHONE,1.8s,5.0s,face replacement,Odile,
"""

CAMERAS = {"FILM": "A", "PHONE": "B", "PAL": "C"}


def small_tapes(folder: Path) -> dict[str, Clip]:
    """The three tapes: with time code, with a variable rate and turned, and without sound."""
    phone = [n for n in range(210) if n % 9 not in (4, 7)]
    return {
        "FILM": make_clip(folder / "film.mp4", frames=200, rate=Fraction(24), options={"g": "24"}, metadata={"timecode": "10:00:00:00"}),
        "PHONE": make_clip(folder / "phone.mp4", frames=210, rate=Fraction(30000, 1001), kept=phone, rotation=180, options={"g": "30"}),
        "PAL": make_clip(folder / "pal.mov", frames=190, rate=Fraction(25), sound="", options={"g": "25"}),
    }


def small_fight(folder: Path, settings: Settings = Settings()) -> Path:  # noqa: B008
    """Write `stair.previs` into an empty folder, with its tapes, work copies, marks and the cut v1."""
    document = folder / "stair.previs"
    tables = []
    for name, text in (("fight", FIGHT), ("takes", TAKES), ("hits", HITS), ("treatments", TREATMENTS)):
        tables.append(folder / f"{name}.csv")
        tables[-1].write_text(text, encoding="utf-8")
    sequence = Sequence(title="The Salt Stair", rate_name="24", start_frame=86400, target_frames=132, settings=settings)
    create(document, sequence)
    cache = cache_folder(document)
    for reel, clip in small_tapes(folder).items():
        tape = tape_from_file(clip.path, stored_path(clip.path, document), sequence.tapes, cache, reel=reel, camera=CAMERAS[reel])
        sequence = sequence.with_tape(tape)
    sequence = read_marks(tables[:1], sequence, How(verb="fight")).sequence
    sequence = read_marks(tables[1:], sequence, How(verb="marks")).sequence
    sequence = with_cut(sequence, assemble(sequence, "v1").cut)
    with Sitting(document) as sitting:
        sitting.edit(lambda _: sequence, "make a small fight")
    make_work_copies(tapes_to_copy(sequence, sequence.tapes, document), sequence.timebase, raster_of(sequence), cache, silent)
    return document
