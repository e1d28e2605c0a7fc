from __future__ import annotations

from floor.laid_by_hand import post, room, walls
from floor.salt_plan import salt_floor
from msgspec.structs import replace

from previs.document.floor import Floor
from previs.floor.fitting import fitted
from previs.floor.fitting_words import ONLY_TAPING, fitting_facts, fitting_told
from previs.floor.sections import in_sections


def test_what_fits_is_told_with_where_it_lies():
    assert fitting_told(fitted(salt_floor()), 500) == (
        "All of the plan fits, not turned, the plan's origin at x 1.35 m, y 3.2 m of the room. "
        "The nearest wall or column is 1.35 m away; 0.5 m were asked for.",
        ONLY_TAPING,
    )


def test_what_is_missing_is_told_in_centimetres_and_direction():
    told = fitting_told(fitted(replace(salt_floor(), room=room(14_299, 3900))), 500)
    assert told[0] == (
        "The plan does not fit as one. Not turned, and with 0.5 m kept free, "
        "the room is 0.1 cm too short and the room is 10.0 cm too narrow."
    )
    assert "is laid not turned" in told[1] and "% of its lines" in told[1] and told[-1] == ONLY_TAPING


def test_a_column_is_told_by_its_number():
    plan = Floor((walls((0, 0), (6000, 0), (6000, 3000), (0, 3000)),), room=room(7000, 7000, post(3500, 3600, 100), margin=400))
    assert "column 1 stands 15.0 cm too near" in fitting_told(fitted(plan), 400)[0]


def test_sections_are_told_one_by_one():
    told = fitting_told(in_sections(replace(salt_floor(), room=room(9000, 6000))), 500)
    assert told[1:3] == ("It is cut into 2 sections, to be rehearsed one after the other.", "Each shows 1.5 m or more of the next.")
    assert told[3].startswith("Section 1 of 2: not turned, the plan's origin at x 0.8 m")


def test_facts_are_numbers():
    facts = fitting_facts(in_sections(replace(salt_floor(), room=room(9000, 6000))))
    assert (facts["fits"], facts["missing"]) == (False, [{"lacking": "length", "missing_mm": 5300}])
    assert [laid["name"] for laid in facts["laid"]] == ["section 1 of 2", "section 2 of 2"]
