"""Sound inputs to begin from, made in memory: the sample scenario small, on tapes that need not be there."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from msgspec.structs import replace

from previs.cut.assembly import assemble, with_cut
from previs.document.floor import CameraPlace, Floor, Laid, LineKind, NamedPlace, PlanLine, Reach, Room, Route, RoutePoint
from previs.document.model import (
    Black,
    Card,
    Cut,
    Flight,
    Footage,
    HeadBox,
    Role,
    Sequence,
    Shot,
    SoundTrack,
    Sync,
    Tape,
    Transition,
    TransitionKind,
)
from previs.document.notes import Drawing, Note, NoteKind, Shape
from previs.document.text import to_text
from previs.exchange.tables import How, read_marks

SAMPLE = Path(__file__).parents[2] / "sample_media"

TABLES = {
    "fight": """phrase,move,label,attacker,defender,line,weapon,upper_hand,optional,breath,place,note
1,1,high cut,Odile,Reeve,head,staff,Odile,,,corridor,
1,2,low sweep,Reeve,Odile,legs,staff,level,yes,,corridor,
1,3,thrust,Odile,Reeve,chest,staff,Odile,,0.5s,first door,
2,4,backhand,Reeve,Odile,head,staff,Reeve,,,stair,"late, ""hard"" blow"
2,5,leap,Odile,Reeve,,wire,level,,,stair,wire-assisted
""",
    "takes": """take,tape,in,out,slate,rating,tempo,phrases,camera,size,angle,movement,screen_left,faces,performers,note,from
A1,FILM,10:00:00:12,10:00:08:00,1,4,1,1-2,A,full,0,locked,Odile,Odile=full;Reeve=part,Odile=Juno Vale;Reeve=Abel Quist,,
A1,FILM,,,,,,,,close,,,Odile,,,,10:00:04:00
B1,PHONE,0.5s,6.9s,1,4,0.7,1,B,medium,40,hand-held,Odile,Odile=part,Odile=Pim Oster,learning tempo,
C1,PAL,f10,f180,1,5,100 %,2,C,close,80,pan,Odile,,,,
""",
    "hits": """take,move,at
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
""",
    "treatments": """tape,in,out,kind,role,note
FILM,10:00:06:00,10:00:07:00,rig removal,Odile,wire in frame
PHONE,1.8s,5.0s,face replacement,Odile,
FILM,f120,f140,digital double,Reeve,
""",
    "flights": """tape,role,take_off,landing,height,distance,rise,note
FILM,Odile,10:00:06:00,10:00:06:12,0.4,1.9 m,"0,3",leap
PAL,Reeve,3s,3.5s,,,,
""",
    "heads": """tape,role,at,left,top,width,height
FILM,Odile,10:00:01:00,100,40,60,80
PAL,Reeve,f60,-3,0,50,66
""",
    "plan": (SAMPLE / "floor" / "plan.csv").read_text("utf-8"),
    "room": (SAMPLE / "floor" / "room.csv").read_text("utf-8") + "column,4,3,0.4,0.4,,,pillar\ncolumn,,,,,6 6; 7 6; 7 7,,\n",
    "routes": "role,phrase,x,y,move\nOdile,1,2.4,1.3,1\nOdile,1,2.9,1.3,\nOdile,1,3.3,1.3,3\nReeve,1,1.2,1.3,1\nReeve,2,3.8,-1.3,4\n",
    "cameras": """camera,x,y,height,aim_x,aim_y,lens,sensor_width,phrases
A,1,-4,1.6,2.5,1.3,35,24.9,1
B,"2,5",-3,0.4 m,2.5,1.3,50 mm,24.89,1-2
""",
    "reaches": "weapon,reach\nstaff,1.2\nwire,0.5 m\n",
}
"""Every kind of table, as CSV."""


def _tape(reel: str, seconds: int, start_frame: int = 0, rate: str = "24") -> Tape:
    return Tape(
        reel, f"tapes/{reel.lower()}.mp4", f"{len(reel):032x}", rate, seconds * 24, Fraction(seconds), 320, 180,
        codec="h264", start_frame=start_frame, camera=reel[0], sound=SoundTrack(48000, 2),
    )  # fmt: skip


@cache
def bare_sequence() -> Sequence:
    """The sequence with tapes and the fight alone."""
    tapes = (_tape("FILM", 9, 36000 * 24), _tape("PHONE", 8, rate="29.97"), _tape("PAL", 9, rate="25"))
    begun = Sequence("The Salt Stair", "24", 86400, 132, tapes=tapes)
    return _with_tables(begun, ("fight",), "fight")


@cache
def marked_sequence() -> Sequence:
    """The same with takes, hits, treatments, flights and heads, and a cut of them."""
    marked = _with_tables(bare_sequence(), ("takes", "hits", "treatments", "flights", "heads"), "marks")
    return with_cut(marked, assemble(marked, "v1").cut)


@cache
def full_sequence() -> Sequence:
    """A sequence with something of everything that a document may hold."""
    marked = marked_sequence()
    first = marked.cuts[0]
    shots = (
        *first.shots,
        Shot("card1", 24, Card("not shot", 4, 5, "drawings/leap.png"), locked=True, reasons=("a person put it there",)),
        Shot("film9", 30, Footage("A1", 90, Fraction(-1)), Transition(TransitionKind.DISSOLVE, 6), sound_lead_frames=-3, code="010"),
        Shot("back9", 12, Footage("C1", 40, Fraction(7, 10)), Transition(TransitionKind.WIPE, 6, 1)),
        Shot("black9", 10, Black(), Transition(TransitionKind.DISSOLVE, 5)),
    )
    note = Note(
        "n1", "v1", "Mara", "2026-11-25T10:00:00Z", NoteKind.UNCLEAR, "is it seen?", first.shots[0].ident, 3, 4, "FILM", 14, 1,
        (Drawing(Shape.ARROW, 1, 2, 900, 1000),),
    )  # fmt: skip
    floor = Floor(
        lines=(
            PlanLine(LineKind.WALL, ((0, 0), (5000, 0), (5000, 850))),
            PlanLine(LineKind.DOOR, ((5000, 850), (5000, 1750)), opens_left=True),
        ),
        places=(NamedPlace("corridor", (2500, 1300)),),
        room=Room(16_000, 9000, (0, 0), (16_000, 0), (PlanLine(LineKind.COLUMN, ((1, 1), (400, 1), (400, 400)), closed=True),)),
        laid=(Laid(90_000, 400, 300, ((0, 0), (5000, 0), (5000, 5000)), "half"),),
        routes=(Route("Odile", 1, (RoutePoint((2400, 1300), 1), RoutePoint((2900, 1300)))),),
        cameras=(CameraPlace("A", (1000, -4000), (2500, 1300), 1600, Fraction(35), Fraction(249, 10), (1,)),),
        reaches=(Reach("staff", 1200),),
        drawn_in="salt_stair.dxf",
    )
    return replace(
        marked,
        cast=(Role("Odile", "Juno Vale", ("Pim Oster",)),),
        syncs=(Sync("FILM", "s1", Fraction(0)), Sync("PAL", "s1", Fraction(7, 3), Fraction(41, 2), 80)),
        heads=(*marked.heads, HeadBox("PHONE", "Odile", Fraction(2), 1, 1, 9, 9)),
        flights=(*marked.flights, Flight("PHONE", "Odile", Fraction(2), Fraction(5, 2))),
        cuts=(first, Cut("v2", shots, 200, "by hand")),
        notes=(note,),
        floor=floor,
        newest_number=7,
    )


@cache
def document_text() -> bytes:
    return to_text(full_sequence()).encode()


def _with_tables(sequence: Sequence, kinds: tuple[str, ...], verb: str) -> Sequence:
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{kind}.csv" for kind in kinds]
        for kind, path in zip(kinds, paths, strict=True):
            path.write_text(TABLES[kind], "utf-8")
        return read_marks(paths, sequence, How(verb=verb)).sequence
