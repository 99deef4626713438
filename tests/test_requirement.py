"""What a grease states against what is asked: one compare() for every source of demands."""

from __future__ import annotations

import pytest

from diag.case.model import Grease, Manual
from diag.findings import Requirement
from diag.remedy.requirement import StatedValue, compare, from_grease, from_manual, unmet


def ask(property: str, relation: str, value: object = None, strength: str = "must") -> Requirement:
    return Requirement(property=property, relation=relation, value=value, unit="", strength=strength,  # type: ignore[arg-type]
                       because=("test",), source="test")


@pytest.mark.parametrize(("relation", "value", "stated", "expected"), [
    ("min", 220.0, 220.0, "meets"), ("min", 220.0, 198.0, "meets"), ("min", 220.0, 190.0, "falls_short"),
    ("max", 220.0, 242.0, "meets"), ("max", 220.0, 250.0, "falls_short"),
    ("is", 220.0, 200.0, "meets"), ("is", 220.0, 150.0, "falls_short"),
    ("range", (150.0, 320.0), 140.0, "meets"), ("range", (150.0, 320.0), 460.0, "falls_short"),
    ("range", (198.0, 242.0), 190.0, "falls_short"),  # one grade's own window: no tolerance on top
    ("range", (150.0, 320.0), (300.0, 500.0), "not_stated"),  # a label's span partly outside: ask
])
def test_viscosity_grade_counts_with_its_ten_percent(relation: str, value: object, stated: StatedValue,
                                                     expected: str) -> None:
    assert compare(ask("viscosity_40", relation, value), {"viscosity_40": stated}) == expected


@pytest.mark.parametrize(("property", "relation", "value", "stated", "expected"), [
    ("lowest_temperature", "max", -20.0, -30.0, "meets"), ("lowest_temperature", "max", -20.0, -10.0, "falls_short"),
    ("highest_temperature", "min", 120.0, 119.0, "falls_short"), ("dropping_point", "min", 180.0, 190.0, "meets"),
    ("water_washout", "max", 5.0, 8.0, "falls_short"), ("four_ball_weld", "min", 2450.0, 2452.0, "meets"),
])
def test_numbers_have_no_tolerance_but_viscosity(property: str, relation: str, value: object, stated: float,
                                                 expected: str) -> None:
    assert compare(ask(property, relation, value), {property: stated}) == expected


@pytest.mark.parametrize(("property", "relation", "value", "stated", "expected"), [
    ("nlgi", "in", ("1", "2"), "2", "meets"), ("nlgi", "in", ("2",), "3", "falls_short"),
    ("nlgi", "in", ("2",), ("1", "2"), "meets"), ("nlgi", "in", ("2",), ("0", "2"), "falls_short"),
    ("nlgi", "in", ("000",), ("00", "000"), "meets"),
    ("nlgi", "range", (1.0, 2.0), "2", "meets"), ("nlgi", "range", (1.0, 2.0), "00", "falls_short"),
    ("thickener", "in", ("lithium", "clay"), "lithium", "meets"),
    ("thickener", "avoid", ("sodium",), "sodium", "falls_short"), ("thickener", "avoid", ("sodium",), "clay", "meets"),
    ("ep", "is", "yes", "yes", "meets"), ("ep", "is", "yes", "no", "falls_short"),
    ("tack", "avoid", None, "yes", "falls_short"), ("tack", "avoid", None, "no", "meets"),
    ("solid_lubricant", "avoid", ("moly", "graphite"), ("moly",), "falls_short"),
    ("solid_lubricant", "avoid", ("moly", "graphite"), "none", "meets"),
    ("solid_lubricant", "is", "yes", ("moly",), "meets"),
    ("rust_protection", "in", ("salt_water",), "yes", "not_stated"),  # some, but against which water?
    ("rust_protection", "is", "yes", "fresh_water", "meets"), ("rust_protection", "is", "yes", "none", "falls_short"),
    ("food_registration", "is", "H1", "h1", "meets"),
    ("water_washout", "in", ("washing",), 4.0, "not_stated"),  # a test figure is no class
    ("water_washout", "max", 5.0, "low", "not_stated"),  # nor a word a figure
])
def test_words(property: str, relation: str, value: object, stated: StatedValue, expected: str) -> None:
    assert compare(ask(property, relation, value), {property: stated}) == expected


def test_silence_is_not_stated_and_ignored_properties_always_meet() -> None:
    assert compare(ask("viscosity_40", "min", 100.0), {}) == "not_stated"
    assert compare(ask("colour", "ignore"), {}) == "meets"


def test_grease_states_its_fields_its_additives_and_what_a_list_leaves_out() -> None:
    found = from_grease(Grease(thickener="lithium", nlgi="2", viscosity_40=220.0, additives=("ep", "moly")))
    assert found == {"thickener": "lithium", "nlgi": "2", "viscosity_40": 220.0, "ep": "yes", "tack": "no",
                     "solid_lubricant": ("moly",)}


def test_nothing_stated_says_nothing() -> None:
    assert from_grease(Grease()) == {}
    assert from_grease(Grease(thickener="other", base_oil="other")) == {}


def test_printed_range_beyond_the_code_counts_as_the_code() -> None:
    found = from_grease(Grease(code="KP2G-20", lowest_temperature=-25.0, highest_temperature=110.0))
    assert (found["lowest_temperature"], found["highest_temperature"], found["ep"]) == (-20.0, 100.0, "yes")


def test_printed_range_within_the_code_stands() -> None:
    assert from_grease(Grease(code="KPE 2K-40", highest_temperature=90.0))["highest_temperature"] == 90.0


def test_manual_becomes_musts_with_the_manual_as_source() -> None:
    manual = Manual(thickener="lithium", nlgi="2", viscosity_40=220.0, lowest_temperature=-20.0,
                    highest_temperature=120.0, additives=("ep", "rust_inhibitor", "moly"))
    found = {r.property: (r.relation, r.value) for r in from_manual(manual)}
    assert found == {"thickener": ("in", ("lithium",)), "nlgi": ("in", ("2",)),
                     "viscosity_40": ("range", (198.0, 242.0)),
                     "lowest_temperature": ("max", -20.0), "highest_temperature": ("min", 120.0),
                     "ep": ("is", "yes"), "solid_lubricant": ("in", ("moly",)), "rust_protection": ("is", "yes")}
    assert {(r.strength, r.source) for r in from_manual(manual)} == {("must", "the machine's manual")}


def test_manual_and_its_code_stand_side_by_side_where_they_differ() -> None:
    found = from_manual(Manual(nlgi="2", highest_temperature=140.0, code="KP2K-20"))
    assert [r.value for r in found if r.property == "highest_temperature"] == [140.0, 120.0]
    assert [r.value for r in found if r.property == "nlgi"] == [("2",)]


def test_unreadable_manual_code_asks_nothing() -> None:
    assert from_manual(Manual(code="the red one from the store")) == ()


def test_grease_in_service_meets_the_manual_it_was_bought_by() -> None:
    manual = Manual(thickener="lithium", nlgi="2", viscosity_40=220.0, code="KP2K-20")
    grease = Grease(thickener="lithium", viscosity_40=200.0, code="KP2K-30")
    assert unmet(from_manual(manual), from_grease(grease)) == ()


def test_unmet_lists_only_musts_with_their_verdict() -> None:
    asked = (ask("ep", "is", "yes"), ask("nlgi", "in", ("2",)), ask("dropping_point", "min", 180.0, "should"))
    found = unmet(asked, {"nlgi": "1"})
    assert [(r.property, verdict) for r, verdict in found] == [("ep", "not_stated"), ("nlgi", "falls_short")]
