"""Settings of a sequence as people write them (lengths, shares, a picture's size), read; what may be set is decided elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from previs.clock import Timebase, parse_length
from previs.document.settings import Wanted
from previs.exchange import written


@dataclass(frozen=True, slots=True)
class WrittenSettings:
    """The settings to change as they were written; None leaves one as it is."""

    target: str | None = None
    title: str | None = None
    start: str | None = None
    retiming: str | None = None
    breath: str | None = None
    lead: str | None = None
    wanted_shot: str | None = None
    least_shot: str | None = None
    handles: str | None = None
    raster: str | None = None


def read_settings(texts: WrittenSettings, timebase: Timebase) -> Wanted:
    """What is wanted; raises `UseFault` for what is no length, no share or no size of a picture."""

    def frames(text: str | None) -> int | None:
        return None if text is None else parse_length(text, timebase)

    return Wanted(
        title=texts.title,
        target_frames=frames(texts.target),
        start=texts.start,
        most_retiming=None if texts.retiming is None else written.share(texts.retiming, "10%"),
        least_breath=None if texts.breath is None else written.share(texts.breath, "33%"),
        lead_frames=frames(texts.lead),
        wanted_shot_frames=frames(texts.wanted_shot),
        least_shot_frames=frames(texts.least_shot),
        handle_frames=frames(texts.handles),
        raster=None if texts.raster is None else written.width_and_height(texts.raster),
    )
