"""The words of the Hand-off place: departments, and what there is to take care of; the cautions themselves are those of the sheets."""

from __future__ import annotations

from html import escape

from previs.cut.wording import counted
from previs.desk.words import tr
from previs.exchange.lists import moves_text
from previs.handoff.care import Care
from previs.handoff.folder_names import Folder
from previs.handoff.pull_standing import Stands


def department_titles() -> dict[Folder, str]:
    """What each department is called, in the order of their folders."""
    return {
        Folder.EDITORIAL: tr("Editorial"),
        Folder.EFFECTS: tr("Visual effects"),
        Folder.RIGGING: tr("Rigging"),
        Folder.PROPS: tr("Props and wardrobe"),
        Folder.FLOOR: tr("Stunt floor"),
        Folder.PERFORMERS: tr("Performers"),
        Folder.DIRECTOR: tr("Director"),
    }


def pull_told(stands: Stands, version: int) -> str:
    """How a shot's pull stands to the cut, its version over it."""
    told = {
        Stands.NOT_PULLED: tr("none yet"),
        Stands.AS_CUT: tr("current"),
        Stands.OUT_OF_DATE: tr("stale"),
        Stands.GONE: tr("files gone"),
    }[stands]
    return f"v{version:03d}\n{told}" if version else told


def care_told(care: Care) -> str:
    """One line on what can hurt in a cut, and who decides."""
    parts = [
        tr(brief, moves=counted(len(moves), "move"))
        for moves, brief in (
            (care.wires, "wires in {moves}"),
            (care.landings, "falls or landings in {moves}"),
            (care.weapons, "weapons or props in {moves}"),
        )
        if moves
    ]
    if not parts:
        return tr("No move of this cut names a wire, a fall or a weapon; that is no judgement. The stunt coordinator decides.")
    named = ", ".join(parts)
    return tr("\u26a0 Care: {named}. Defer to the stunt coordinator, qualified riggers and local codes.", named=named)


def care_page(care: Care) -> str:
    """All cautions as a page."""
    listed = [
        tr(long, moves=moves_text(moves))
        for moves, long in (
            (care.wires, "On a wire: move {moves}"),
            (care.landings, "Where a body may come down: move {moves}"),
            (care.weapons, "With a weapon or a prop: move {moves}"),
        )
        if moves
    ]
    moves = "".join(f"<li>{escape(part)}</li>" for part in listed)
    cautions = "".join(f"<p>{escape(sentence)}</p>" for sentence in care.cautions)
    found = tr("Found by the words of the fight and by flights marked on tapes; a move that is not listed may hurt as well.")
    return f"<h3>{escape(tr('Moves of this cut'))}</h3><ul>{moves}</ul><p><i>{escape(found)}</i></p>{cautions}"
