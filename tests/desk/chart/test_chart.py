from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QMouseEvent
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from random_cuts import cuts as random_cuts
from random_cuts import sequence as random_sequence

from previs.clock import Span
from previs.cut import edits
from previs.cut.placing import hits_seen, place, treatments_seen
from previs.desk.chart.dragging import Drag, Grip, Preview, Pull, Stop
from previs.desk.chart.scale import MOST_PIXELS_A_FRAME, Part, Scale, under
from previs.desk.chart.sheet import sheet_of
from previs.desk.chart.view import StepChart
from previs.desk.open_file import OpenFile
from previs.document.store import open_document
from previs.faults import UseFault


@pytest.fixture
def chart(file: OpenFile, qtbot: QtBot) -> Iterator[StepChart]:
    made = StepChart(file)
    qtbot.addWidget(made)
    made.resize(900, 320)
    made.show()
    yield made


def drag(
    chart: StepChart, start: QPoint, by: int, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier, *, let_go: bool = True
) -> None:
    QTest.mousePress(chart, Qt.MouseButton.LeftButton, held, start)
    end = start + QPoint(by, 0)
    for at in (start + QPoint(by // 2, 0), end):
        moved = QMouseEvent(
            QEvent.Type.MouseMove, QPointF(at), QPointF(chart.mapToGlobal(at)), Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, held
        )
        QApplication.sendEvent(chart, moved)
    if let_go:
        QTest.mouseRelease(chart, Qt.MouseButton.LeftButton, held, end)


def edge(chart: StepChart, frame: int, side: int) -> QPoint:
    """A point a little to the left (-1) or right (1) of a frame's beginning, in the middle of the steps."""
    return QPoint(round(chart._scale.x(frame)) + 2 * side, 150)


def pixels(chart: StepChart, frames: int) -> int:
    return round(frames * chart._scale.each)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_the_sheet_is_what_is_placed(data: st.DataObject) -> None:
    sequence = random_sequence()
    cut = data.draw(random_cuts(sequence))
    placed, sheet = place(sequence, cut), sheet_of(sequence, cut)
    assert [step.record for step in sheet.steps] == [one.record for one in placed]
    assert [seen for seen, _ in sheet.ticks] == list(hits_seen(sequence, placed))
    for frame in (0, cut.frames // 2, cut.frames - 1):
        step = sheet.step_at(frame)
        assert step and step.record.holds(frame)
        seen_there = Span(frame, frame + 5)
        assert {one.number for one in placed if one.on_screen.meet(seen_there)} <= {one.number for one in sheet.steps_in(seen_there)}
        assert [tick for tick in sheet.ticks if seen_there.holds(tick[0].record_frame)] == [
            tick for tick in sheet.ticks_in(seen_there) if seen_there.holds(tick[0].record_frame)
        ]
    assert sheet.step_at(-1) is None and sheet.step_at(cut.frames) is None
    assert sum(part.record.length for part in sheet.hatched) == sum(seen.record.length for seen in treatments_seen(sequence, placed))
    for step in sheet.steps:
        assert sum(span.length for span, _ in step.runs) in (0, step.placed.on_screen.length)
    for seen, size in sheet.ticks:
        assert seen.placed.framing_at(seen.record_frame, sequence.timebase.rate.fps).size is size  # type: ignore[union-attr]


@given(st.floats(0, 5000), st.floats(0.05, MOST_PIXELS_A_FRAME), st.integers(0, 5000), st.floats(0.1, 10))
def test_a_frame_keeps_its_pixel_when_zoomed_about_it(first: float, each: float, frame: int, factor: float) -> None:
    scale = Scale(first, each, 100.0, 800.0)
    assert scale.frame(scale.x(frame)) == frame
    x = scale.x(frame)
    zoomed = scale.zoomed(factor, x, 10**7)
    if zoomed.first not in (0.0,):
        assert zoomed.x(frame) == pytest.approx(x, abs=0.01)


def test_what_is_under_a_point(file: OpenFile) -> None:
    assert file.cut
    sheet, scale = sheet_of(file.sequence, file.cut), Scale(0, 5, 100, 900)
    for step in sheet.steps:
        start, end = scale.x(step.record.start), scale.x(step.record.end_exclusive)
        assert under(sheet, scale, start + 2) == (step.number, Part.HEAD)
        assert under(sheet, scale, (start + end) / 2) == (step.number, Part.BODY)
        assert under(sheet, scale, end - 2) == (step.number, Part.TAIL)
    assert under(sheet, scale, scale.x(sheet.frames) + 3) == (len(sheet.steps), Part.TAIL)
    assert under(sheet, scale, scale.x(sheet.frames) + 30) is None


def test_dragging_a_tail_is_the_trim_and_is_on_disk(chart: StepChart, file: OpenFile) -> None:
    chart.snap = False
    before = file.sequence
    end = before.cut("v1").shots[0].frames
    drag(chart, edge(chart, end, -1), pixels(chart, -5))
    assert file.sequence.cut("v1").shots == edits.trim_tail(before, "v1", 1, -5).cut("v1").shots
    assert open_document(file.path).sequence == file.sequence
    assert file.steps[0] == "trim the tail of shot 1 of v1"
    file.undo()
    assert file.sequence == before


def test_dragging_a_head_with_shift_rolls_the_cut_point(chart: StepChart, file: OpenFile) -> None:
    chart.snap = False
    before = file.sequence
    end = before.cut("v1").shots[0].frames
    drag(chart, edge(chart, end, 1), pixels(chart, -3), Qt.KeyboardModifier.ShiftModifier)
    assert file.sequence.cut("v1").shots == edits.roll(before, "v1", 2, -3).cut("v1").shots
    drag(chart, edge(chart, end - 3, -1), pixels(chart, 3), Qt.KeyboardModifier.ShiftModifier)
    assert [shot.frames for shot in file.sequence.cut("v1").shots] == [shot.frames for shot in before.cut("v1").shots]


def test_a_drag_too_far_stops_at_the_last_frame_and_says_why(chart: StepChart, file: OpenFile) -> None:
    chart.snap = False
    before = file.sequence
    end = before.cut("v1").shots[0].frames
    drag(chart, edge(chart, end, -1), -2000)
    assert file.sequence.cut("v1").shots[0].frames == 1
    assert "leave it one frame at least" in file.log[-1].sentence


def test_escape_lets_go_of_a_drag(chart: StepChart, file: OpenFile) -> None:
    before = file.sequence
    drag(chart, edge(chart, before.cut("v1").shots[0].frames, -1), -60, let_go=False)
    QTest.keyClick(chart, Qt.Key.Key_Escape)
    QTest.mouseRelease(chart, Qt.MouseButton.LeftButton)
    assert file.sequence is before


def test_a_locked_shot_refuses_to_be_dragged(chart: StepChart, file: OpenFile) -> None:
    assert file.edit(lambda one: edits.lock(one, "v1", 1, True), "lock")
    before = file.sequence
    drag(chart, edge(chart, before.cut("v1").shots[0].frames, -1), -40)
    assert file.sequence is before and "locked" in file.log[-1].sentence


def test_keys_do_what_drags_do(chart: StepChart, file: OpenFile, qtbot: QtBot) -> None:
    chart.addActions(chart.actions())
    chart.activateWindow()
    chart.setFocus()
    chart.choose(1)
    before = file.sequence
    QTest.keyClick(chart, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert file.sequence.cut("v1").shots == edits.trim_tail(before, "v1", 1, -1).cut("v1").shots
    file.undo()
    QTest.keyClick(chart, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert file.sequence.cut("v1").shots == edits.trim_head(before, "v1", 1, -1).cut("v1").shots
    QTest.keyClick(chart, Qt.Key.Key_Down)
    assert chart.chosen == 2
    assert "Shot 2" in chart.accessibleDescription()


def test_a_click_chooses_and_says_which_frame(chart: StepChart, qtbot: QtBot, file: OpenFile) -> None:
    step = sheet_of(file.sequence, file.sequence.cut("v1")).steps[1]
    middle = (step.record.start + step.record.end_exclusive) // 2
    with qtbot.waitSignals([chart.shot_chosen, chart.frame_wanted]) as _:
        QTest.mouseClick(chart, Qt.MouseButton.LeftButton, pos=QPoint(round(chart._scale.x(middle) + chart._scale.each / 2), 150))
    assert chart.chosen == 2


def pull(file: OpenFile, shot: int, drag: Drag, marked: int | None = None) -> Pull:
    return Pull(file.sequence, Grip("v1", shot, drag), marked)


def test_a_preview_is_the_edit_or_goes_as_far_as_it_can(file: OpenFile) -> None:
    sequence = file.sequence
    shot = sequence.cut("v1").shots[0]
    tail = pull(file, 1, Drag.TRIM_TAIL)
    whole = tail.by(2 - shot.frames)
    assert whole.sequence == edits.trim_tail(sequence, "v1", 1, 2 - shot.frames) and not whole.stopped
    far = tail.by(-5000)
    assert far.frames == 1 - shot.frames and "1 too few" in far.stopped
    assert far.sequence == edits.trim_tail(sequence, "v1", 1, 1 - shot.frames)
    assert tail.by(-4000) is far
    assert tail.by(1 - shot.frames).stopped == ""
    assert tail.by(0) == Preview(0, None)


@pytest.mark.parametrize("drag", list(Drag))
@pytest.mark.parametrize("frames", [-3000, 3000])
def test_a_pull_goes_to_the_last_frame_and_not_one_further(file: OpenFile, drag: Drag, frames: int) -> None:
    found = pull(file, 2, drag).by(frames)
    assert found.stopped
    one_further = found.frames + (1 if frames > 0 else -1)
    with pytest.raises(UseFault) as refused:
        Grip("v1", 2, drag).edited(file.sequence, one_further)
    assert str(refused.value) == found.stopped
    if found.frames:
        assert Grip("v1", 2, drag).edited(file.sequence, found.frames) == found.sequence


def test_an_edge_stops_at_the_target_and_at_the_marked_frame(file: OpenFile) -> None:
    file.edit(lambda one: edits.trim_tail(one, "v1", 1, -4), "trim")
    cut = file.sequence.cut("v1")
    over = cut.frames - cut.target_frames
    assert over
    tail = pull(file, 1, Drag.TRIM_TAIL)
    assert tail.stop_near(-over + 2, 3) == Stop(-over, is_target=True)
    assert tail.stop_near(-over + 400, 3) is None
    assert pull(file, 2, Drag.TRIM_HEAD).stop_near(over, 0) == Stop(over, is_target=True)
    end = cut.shots[0].frames
    marked = pull(file, 1, Drag.TRIM_TAIL, end - 12).stop_near(-11, 0)
    assert marked == Stop(-11)
    assert pull(file, 2, Drag.TRIM_HEAD, end + 7).stop_near(7, 0) == Stop(7)


def test_an_edge_stops_a_lead_before_a_hit(file: OpenFile) -> None:
    sequence, lead = file.sequence, file.sequence.settings.lead_frames
    placed = place(sequence, sequence.cut("v1"))
    for one in placed:
        for seen in hits_seen(sequence, placed):
            if seen.placed is one and one.number > 1 and seen.record_frame - lead != one.record.start:
                wanted = seen.record_frame - lead - one.record.start
                assert pull(file, one.number, Drag.TRIM_HEAD).stop_near(wanted, 0) in (
                    Stop(wanted, move=seen.move.number),
                    Stop(wanted, is_target=True),
                )
