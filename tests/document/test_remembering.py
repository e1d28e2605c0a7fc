from __future__ import annotations

from previs.document.remembering import Parts, remembered


def test_the_same_values_are_worked_on_once_and_others_anew() -> None:
    asked: list[object] = []

    @remembered(newest=2)
    def length(of: list[int]) -> int:
        asked.append(of)
        return len(of)

    one, other, third = [1], [1], [2, 3]
    assert [length(one), length(one), length(other), length(third)] == [1, 1, 1, 2]
    assert len(asked) == 3
    length(third)
    assert len(asked) == 3
    length(one)  # two newer ones have taken its place
    assert len(asked) == 4


def test_an_identity_given_again_is_not_taken_for_the_old_value() -> None:
    @remembered(newest=1)
    def first(of: tuple[int, ...]) -> int:
        return of[0]

    assert [first((number, number)) for number in range(1000)] == list(range(1000))


def test_parts_of_the_last_two_values_are_kept_and_older_ones_go() -> None:
    parts: Parts[str] = Parts()
    used, unused = (1, 2), (3, 4)
    for part in (used, unused):
        parts.keep(part, "text")
    for _ in range(2):
        parts.turn()
        assert parts.known(used) == "text"
    assert parts.known(unused) is None
