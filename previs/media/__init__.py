"""Media: probing, exact frames and sound, work copies, publishing; the one room that opens media files."""

from previs.media.events import Black, CardPicture, Event, Picture, TapePicture, Transition
from previs.media.fingerprint import fingerprint
from previs.media.frames import FrameReader
from previs.media.index import FrameIndex, frame_index
from previs.media.opening import MediaFault
from previs.media.probe import SoundFacts, TapeFacts, probe
from previs.media.publish import Published, Quality, publish
from previs.media.raster import Raster
from previs.media.sound import SAMPLE_RATE, Samples, sample_at, tape_sound
from previs.media.workcopy import TapeToCopy, WorkCopy, find_work_copy, make_work_copies

__all__ = [
    "SAMPLE_RATE",
    "Black",
    "CardPicture",
    "Event",
    "FrameIndex",
    "FrameReader",
    "MediaFault",
    "Picture",
    "Published",
    "Quality",
    "Raster",
    "Samples",
    "SoundFacts",
    "TapeFacts",
    "TapePicture",
    "TapeToCopy",
    "Transition",
    "WorkCopy",
    "find_work_copy",
    "fingerprint",
    "frame_index",
    "make_work_copies",
    "probe",
    "publish",
    "sample_at",
    "tape_sound",
]
