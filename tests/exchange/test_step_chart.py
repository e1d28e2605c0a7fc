"""The step chart: what is drawn where, readable on paper, and the same bytes each time."""

from __future__ import annotations

import io
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction

import pytest
from fights import phrase, sequence, take, tape, treatment
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from msgspec.structs import replace as changed
from PIL import Image

from previs.document.model import Black, Card, Cut, Footage, Framing, Kind, Sequence, Shot, Size, Transition, TransitionKind
from previs.exchange import step_chart as drawing
from previs.exchange.step_chart import GROUND, SHADE, TREATMENT_LOOK, Format, step_chart, step_chart_bytes
from previs.faults import UseFault

LEAST_CONTRAST = 4.5
"""Of text on its ground: WCAG 2.1, success criterion 1.4.3."""


def fight(target: int = 192) -> Sequence:
    """A wide shot, a take that goes from medium to close, a card and black, over two phrases, with every kind of treatment."""
    pushed = (Framing(Fraction(0), Size.MEDIUM, 40), Framing(Fraction(5), Size.CLOSE, 40))
    hits = {1: 2, 2: 4, 3: 6, 4: 8}
    return sequence(
        phrases=(phrase(1, range(1, 2)), phrase(2, range(2, 5))),
        tapes=(tape("A1"), tape("B1")),
        takes=(take("T1", hits, size=Size.WIDE), changed(take("T2", hits, reel="B1"), framings=pushed)),
        treatments=(
            treatment(2, 3),
            treatment(Fraction(9, 2), Fraction(11, 2), reel="B1", kind=Kind.FACE_REPLACEMENT),
            treatment(1, 2, kind=Kind.RIG_REMOVAL),
        ),
        cuts=(
            Cut(
                "v1",
                (
                    Shot("s1", 48, Footage("T1", 36)),
                    Shot("s2", 48, Footage("T2", 84), Transition(TransitionKind.DISSOLVE, 8)),
                    Shot("s3", 72, Card(r"the $\fall$", 3, 4)),
                    Shot("s4", 24, Black()),
                ),
                target,
            ),
        ),
    )


def chart(one: Sequence) -> tuple[Figure, Axes, Axes, Axes]:
    figure = step_chart(one, one.cut())
    hand, steps, _, story = figure.axes
    return figure, hand, steps, story


def names_of_lines(axes: Axes) -> dict[str, float]:
    """The heights of the lines of the steps, by the size whose name stands on each."""
    return {re.sub(r"  \d+ %$", "", label.get_text()): tick for label, tick in zip(axes.get_yticklabels(), axes.get_yticks(), strict=True)}


def boxes(axes: Axes, **wanted: object) -> list[tuple[float, float, float]]:
    """Left edge, width and height of the rectangles that have these properties."""
    found = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    kept = [box for box in found if all(getattr(box, f"get_{name}")() == value for name, value in wanted.items())]
    return [(box.get_x(), box.get_width(), box.get_height()) for box in kept]


def words(axes: Axes | Figure) -> list[str]:
    return [text.get_text() for text in axes.texts]


def test_each_shot_is_a_step_as_high_as_it_is_close() -> None:
    _, _, steps, _ = chart(fight())
    shaded = [box for box in boxes(steps, hatch=None, linewidth=0) if box[2] >= 1]
    line = names_of_lines(steps)
    assert shaded == [(0, 48, line["wide"]), (48, 36, line["medium"]), (84, 12, line["close"])]
    # A line of the grid runs at each name.
    grid = {mark.get_ydata()[0] for mark in steps.lines if list(mark.get_xdata()) == [0, 1]}
    assert set(line.values()) <= grid
    assert [label.get_text() for label in steps.get_yticklabels()] == [
        "extreme wide",
        "wide  25 %",
        "full",
        "medium wide",
        "medium  19 %",
        "medium close",
        "close  6 %",
        "extreme close",
    ]


def test_only_the_sizes_used_and_one_more_on_either_side_have_a_line() -> None:
    one = fight()
    wide = changed(one, cuts=(Cut("v1", one.cut().shots[:1], 48),))
    _, _, steps, _ = chart(wide)
    assert names_of_lines(steps) == {"extreme wide": 1, "wide": 2, "full": 3}
    assert [box for box in boxes(steps, hatch=None, linewidth=0) if box[2] >= 1] == [(0, 48, 2)]
    _, _, steps, _ = chart(changed(one, cuts=(Cut("v1", one.cut().shots[2:], 96),)))
    assert list(names_of_lines(steps)) == [size.value for size in Size]


def test_the_lengths_and_their_moving_median_are_drawn_between_the_middles_of_transitions() -> None:
    figure = step_chart(fight(), fight().cut())
    lengths = figure.axes[2]
    # Shot 2 dissolves in over 8 frames from frame 48; black belongs to the card before it.
    assert boxes(lengths) == [(0, 52, 52 / 24), (52, 44, 44 / 24), (96, 96, 4)]
    (median,) = [patch for patch in lengths.patches if not isinstance(patch, Rectangle)]
    assert list(median.get_data().edges) == [0, 52, 96, 192]
    assert list(median.get_data().values) == pytest.approx([52 / 24] * 3)


def test_hits_are_ticks_on_their_steps_with_their_moves_numbers() -> None:
    _, _, steps, _ = chart(fight())
    ticks = [(line.get_xdata()[0], line.get_ydata()[0]) for line in steps.lines if line.get_zorder() == 5]
    line = names_of_lines(steps)
    assert ticks == [(12, line["wide"]), (60, line["medium"])]
    numbers = [(text.get_text(), text.xy[0]) for text in steps.texts if text.get_ha() == "left"]
    assert [number for number, _ in numbers] == ["1", "2"] and 12 < numbers[0][1] < 20


def test_a_hit_and_a_treatment_under_a_fade_out_stand_on_the_step_that_they_are_of() -> None:
    one = fight()
    shots = (changed(one.cut().shots[0], frames=10), Shot("s2", 30, Black(), Transition(TransitionKind.DISSOLVE, 30)))
    _, _, steps, story = chart(changed(one, cuts=(Cut("v1", shots, 40),)))
    assert [(mark.get_xdata()[0], mark.get_ydata()[0]) for mark in steps.lines if mark.get_zorder() == 5] == [(12, 2)]
    _, hatching = TREATMENT_LOOK[Kind.DIGITAL_DOUBLE]
    assert [box[:2] for box in boxes(steps, hatch=hatching)] == [box[:2] for box in boxes(story, hatch=hatching)] == [(12, 24)]


def test_treatments_are_hatched_over_the_frames_that_show_them() -> None:
    _, _, steps, story = chart(fight())
    hatched = {
        kind: [(left, width, height + 0.3) for left, width, height in boxes(steps, hatch=hatching)]
        for kind, (_, hatching) in TREATMENT_LOOK.items()
    }
    assert hatched == {
        Kind.DIGITAL_DOUBLE: [(12, 24, 2)],
        # The face replacement goes on while the camera pushes in, so that its second half is higher.
        Kind.FACE_REPLACEMENT: [(72, 12, 5), (84, 12, 7)],
        Kind.RIG_REMOVAL: [(0, 12, 2)],
    }
    # Hatching keeps clear of the foot, where the shots have their numbers.
    assert all(box.get_y() == 0.3 for box in steps.patches if box.get_hatch())
    assert len({hatching for _, hatching in TREATMENT_LOOK.values()}) == len(TREATMENT_LOOK)
    assert words(story).count("Odile") == 3
    for kind, (_, hatching) in TREATMENT_LOOK.items():
        assert sum(width for _, width, _ in boxes(story, hatch=hatching)) == sum(width for _, width, _ in boxes(steps, hatch=hatching)), (
            kind
        )


def test_a_card_is_drawn_as_a_card_with_its_words_as_they_are() -> None:
    figure, _, steps, _ = chart(fight())
    (card,) = [patch for patch in steps.patches if patch.get_linestyle() not in ("solid", "-")]
    assert card.get_x() > 96 and card.get_x() + card.get_width() < 168
    assert any(" ".join(text.split()) == r"card, moves 3-4: the $\fall$" for text in words(steps))
    assert [text.get_text() for text in figure.legends[0].get_texts()] == [
        "digital double",
        "face replacement",
        "rig removal",
        "card: not shot yet",
        "black",
    ]


def test_the_key_names_only_what_is_drawn() -> None:
    one = fight()
    plain = changed(one, treatments=(), cuts=(Cut("v1", one.cut().shots[:1], 48),))
    figure, *_ = chart(plain)
    assert not figure.legends and not any("dissolve" in text for text in words(figure))


def test_the_upper_hand_stands_above_level_for_one_and_below_it_for_the_other() -> None:
    _, hand, _, _ = chart(fight())
    assert [label.get_text() for label in hand.get_yticklabels()] == ["Reeve has it", "level", "Odile has it"]
    spells = [(tuple(line.get_xdata()), line.get_ydata()[0]) for line in hand.lines if line.get_linewidth() == 4]
    # Odd moves give Odile the upper hand and even ones bring it level; the card's moves have happened when it ends.
    assert spells == [((0, 12), 1), ((12, 60), 2), ((60, 192), 1)]


@pytest.mark.parametrize(("target", "told"), [(192, "on target"), (150, "42 frames over target"), (240, "48 frames under target")])
def test_the_target_is_a_line_and_the_sheet_holds_both_ends(target: int, told: str) -> None:
    figure, _, steps, _ = chart(fight(target))
    lines = [line for line in steps.lines if list(line.get_xdata()) == [target, target] and line.get_linewidth() == 2]
    assert len(lines) == 1
    assert steps.get_xlim()[1] >= max(192, target)
    assert any(told in text for text in words(figure))


def test_phrases_and_times_stand_below() -> None:
    _, _, _, story = chart(fight())
    phrases = [(left, width) for (left, width, _), box in zip(boxes(story), story.patches, strict=True) if 1 < box.get_y() < 2]
    # Move 1 is phrase 1's, in shot 1; shot 2 begins phrase 2, which goes on to the end.
    assert phrases == [(0, 48), (48, 144)]
    assert [label.get_text() for label in story.get_xticklabels()][:3] == ["01:00:00:00", "01:00:01:00", "01:00:02:00"]


def test_all_text_is_large_and_dark_enough_to_read() -> None:
    figure, *_ = chart(fight(150))
    figure.canvas.draw()
    shown = [text for text in figure.findobj(Text) if text.get_text() and text.get_visible()]
    assert len(shown) > 30
    for text in shown:
        assert text.get_fontsize() >= 7, text.get_text()
        worst = min(contrast(text.get_color(), ground) for ground in (GROUND, SHADE))
        assert worst >= LEAST_CONTRAST, (text.get_text(), text.get_color(), worst)


def contrast(one: object, other: object) -> float:
    """WCAG 2.1's contrast ratio of two colours, 1 to 21."""

    def luminance(colour: object) -> float:
        parts = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour)]  # type: ignore[arg-type]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_text_of_the_heading_and_key_keeps_clear_of_other_text() -> None:
    figure, *_ = chart(fight())
    figure.canvas.draw()
    places = [text.get_window_extent() for text in [*figure.texts, *figure.legends[0].get_texts()]]
    for number, one in enumerate(places):
        assert figure.bbox.x0 <= one.x0 and one.x1 <= figure.bbox.x1
        assert not any(one.overlaps(other) for other in places[number + 1 :])


@pytest.mark.parametrize("kind", list(Format))
def test_a_chart_is_the_same_bytes_each_time(kind: Format) -> None:
    one = fight()
    first = step_chart_bytes(one, one.cut(), kind)
    assert first == step_chart_bytes(one, one.cut(), kind)
    assert first.startswith({Format.SVG: b"<?xml", Format.PNG: b"\x89PNG", Format.PDF: b"%PDF"}[kind])
    assert not re.search(rb"dc:date|CreationDate", first)


def test_the_sheet_is_a4_landscape() -> None:
    one = fight()
    with Image.open(io.BytesIO(step_chart_bytes(one, one.cut(), Format.PNG))) as picture:
        assert picture.size == (round(297 / 25.4 * 150 - 0.5), round(210 / 25.4 * 150 - 0.5))
    assert b'width="841.889764pt" height="595.275591pt"' in step_chart_bytes(one, one.cut(), Format.SVG)


def test_a_long_cut_draws_no_numbers_over_each_other() -> None:
    one = fight()
    shots = tuple(changed(shot, ident=f"{shot.ident}-{turn}") for turn in range(60) for shot in one.cut().shots[:2])
    _, _, steps, _ = chart(changed(one, cuts=(Cut("long", shots, 48 * 120),)))
    numbers = [text for text in steps.texts if text.get_ha() == "left"]
    assert len(numbers) < 120
    steps.figure.canvas.draw()
    places = [text.get_window_extent() for text in numbers]
    assert not any(one.overlaps(other) for number, one in enumerate(places) for other in places[number + 1 :])


def test_roles_in_the_treatments_lanes_keep_clear_of_each_other_and_of_the_hatching() -> None:
    one = fight()
    short = [treatment(Fraction(at, 8), Fraction(at + 1, 8), role=("Odile", "Reeve")[at % 2]) for at in range(8, 32)]
    figure, _, steps, story = chart(changed(one, treatments=tuple(short)))
    figure.canvas.draw()
    names = [text for text in story.texts if text.get_text() in ("Odile", "Reeve")]
    assert 3 <= len(names) < len(short) and len(boxes(story, hatch="xxxx")) == len(boxes(steps, hatch="xxxx"))
    hatched = [box.get_window_extent() for box in story.patches if box.get_hatch()]
    places = [text.get_window_extent() for text in names]
    for number, place in enumerate(places):
        assert not any(place.overlaps(other) for other in places[number + 1 :])
    assert not any(place.overlaps(box) for place in places for box in hatched)


def test_a_cut_that_shows_no_move_land_has_a_chart() -> None:
    one = changed(fight(), cuts=(Cut("v1", (Shot("s1", 24, Footage("T1", 240)),), 24),))
    _, _, _, story = chart(one)
    assert boxes(story) == []


def test_a_cut_that_shows_nothing_has_no_chart() -> None:
    one = changed(fight(), cuts=(Cut("v1", (Shot("s1", 24, Black()),), 24),))
    with pytest.raises(UseFault, match="no shot that shows anything"):
        step_chart(one, one.cut())


def test_signs_that_the_face_does_not_have_do_not_stop_the_chart() -> None:
    one = changed(fight(), title="塩の階段")
    assert step_chart_bytes(one, one.cut(), Format.PNG).startswith(b"\x89PNG")


def test_charts_asked_for_on_many_threads_are_drawn_on_one_and_come_out_as_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    one = fight()
    alone = step_chart_bytes(one, one.cut(), Format.SVG)
    drawn_on: list[int] = []
    drawn = drawing.step_chart
    monkeypatch.setattr(drawing, "step_chart", lambda *asked: (drawn_on.append(threading.get_ident()), drawn(*asked))[1])
    with ThreadPoolExecutor(4) as pool:
        made = list(pool.map(lambda _: step_chart_bytes(one, one.cut(), Format.SVG), range(8)))
    assert set(made) == {alone} and len(drawn_on) == 8 and len(set(drawn_on)) == 1
