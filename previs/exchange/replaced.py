"""What reading tables took away from a sequence, in sentences, so that nothing goes unsaid."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field

from msgspec.structs import replace

from previs.document.model import Sequence

_BACK = "'previs undo' brings them back"


def replaced_told(before: Sequence, after: Sequence) -> Iterator[str]:
    """A sentence for each kind of mark of which some are no longer there as they were."""
    for one, old, new in zip(("move", "take", "hit", "treatment"), _marks(before), _marks(after), strict=True):
        lost = len(old - new)
        if lost == len(old) and lost:
            yield f"{_counted(lost, one)} replaced by {len(new)}; {_BACK}."
        elif lost:
            yield f"{lost} of {_counted(len(old), one)} gone or changed, so that there are {len(new)} now; {_BACK}."


def _marks(sequence: Sequence) -> tuple[frozenset[Hashable], ...]:
    return (
        frozenset(sequence.moves),
        frozenset(replace(take, hits=()) for take in sequence.takes),
        frozenset((take.name, hit) for take in sequence.takes for hit in take.hits),
        frozenset(sequence.treatments),
    )


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


@dataclass(slots=True)
class LeftOut:
    """Rows that are left out because their tape, or their take, is not in the file: how many, by its name."""

    of_tapes: dict[str, int] = field(default_factory=dict)
    of_takes: dict[str, int] = field(default_factory=dict)

    def tape(self, reel: str) -> None:
        """One row more of this tape."""
        self.of_tapes[reel] = self.of_tapes.get(reel, 0) + 1

    def take(self, name: str) -> None:
        """One row more of this take."""
        self.of_takes[name] = self.of_takes.get(name, 0) + 1

    def told(self) -> Iterator[str]:
        """What was left out, in sentences."""
        for what, names in (("tapes", self.of_tapes), ("takes", self.of_takes)):
            if names:
                listed = ", ".join(f"{name} ({count})" for name, count in sorted(names.items())[:12]) + (" ..." if len(names) > 12 else "")
                yield f"Left out {_counted(sum(names.values()), 'row')}, of {what} that are not in the file: {listed}."
