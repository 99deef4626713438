"""Mixing charts as published, and the verdict drawn from them."""

from __future__ import annotations

from collections import Counter

import pytest

from diag import knowledgebase
from diag.case.model import BASE_OILS, THICKENERS, Grease
from diag.errors import InputError
from diag.remedy.compatibility import explain, judge, must_strip
from diag.remedy.d6185 import MixTest, d6185_verdict

K = knowledgebase.load()
# Size and count of each verdict as counted in the charts; an accidental edit of a cell shows.
CHARTS = {
    "fist_2_4_table_2": (9, {"C": 14, "B": 5, "I": 62}, "verified"),
    "textbook_companion": (9, {"C": 27, "I": 34, "U": 20}, "verified"),
    "nlgi_1982_paper": (10, {"C": 42, "B": 4, "I": 54}, "from-memory"),
    "bearing_maker_chart_a": (12, {"X": 12, "C": 56, "B": 16, "I": 60}, "from-memory"),
    "bearing_maker_chart_b": (11, {"C": 39, "B": 52, "I": 30}, "from-memory"),
    "base_oils_chart_b": (7, {"C": 19, "B": 4, "I": 26}, "from-memory"),
}


def grease(thickener: str | None = None, base_oil: str | None = None) -> Grease:
    return Grease(thickener=thickener, base_oil=base_oil)


def verdict(*pair: Grease) -> str:
    return judge(*pair, K).verdict


def test_five_published_thickener_charts_and_one_of_base_oils() -> None:
    assert set(K.compatibility) == set(CHARTS)
    assert Counter(c.of for c in K.compatibility.values()) == {"thickener": 5, "base_oil": 1}


@pytest.mark.parametrize("name", CHARTS)
def test_chart_has_its_published_size_counts_and_confidence(name: str) -> None:
    chart, (size, counts, confidence) = K.compatibility[name], CHARTS[name]
    assert len(chart.rows) == size
    assert all(list(row) == list(chart.rows) for row in chart.rows.values())
    assert Counter(cell for row in chart.rows.values() for cell in row.values()) == counts
    assert chart.confidence == confidence


@pytest.mark.parametrize("name", CHARTS)
def test_chart_is_symmetric(name: str) -> None:
    rows = K.compatibility[name].rows
    assert all(rows[a][b] == rows[b][a] for a in rows for b in rows)


@pytest.mark.parametrize("name", CHARTS)
def test_chart_speaks_of_case_words_by_rows_it_has(name: str) -> None:
    chart = K.compatibility[name]
    legal = THICKENERS if chart.of == "thickener" else BASE_OILS
    assert set(chart.words) <= set(legal) - {"other"}
    assert {row for rows in chart.words.values() for row in rows} <= set(chart.rows) == set(chart.labels)


def test_every_family_of_the_case_file_but_other_has_a_record() -> None:
    assert set(K.thickeners) == set(THICKENERS) - {"other"}
    assert set(K.base_oils) == set(BASE_OILS) - {"other"}


def test_grease_records_cite_sources_that_exist() -> None:
    records = (*K.thickeners.values(), *K.base_oils.values(), *K.additives.values(), *K.trade_facts.values(),
               *K.compatibility.values())
    assert {s for record in records for s in _sources(record)} <= set(K.sources)


def _sources(record: object) -> set[str]:
    found: set[str] = set()
    for name in getattr(record, "__struct_fields__", ()):
        value = getattr(record, name)
        if name == "source":
            found |= set(value)
        for part in value if isinstance(value, tuple) else (value,):
            found |= _sources(part)
    return found


def test_chart_a_repeats_the_1982_chart_on_every_shared_pair() -> None:
    old, new = K.compatibility["nlgi_1982_paper"].rows, K.compatibility["bearing_maker_chart_a"].rows
    name = {"ba": "bax", "pu": "pu_conv"}
    pairs = [(a, b) for a in old for b in old if a < b]
    assert len(pairs) == 45
    assert all(old[a][b] == new[name.get(a, a)][name.get(b, b)] for a, b in pairs)


@pytest.mark.parametrize(("old", "new", "expected"), [
    ("lithium", "lithium_complex", "compatible"),  # all five say so
    ("lithium", "polyurea", "incompatible"),  # two charts against two, one wants a test
    ("lithium", "calcium", "borderline"),  # lithium stearate C, 12-hydroxystearate B: the worst counts
    ("calcium_sulfonate", "lithium_complex", "compatible"),
    ("calcium_sulfonate", "lithium", "borderline"),
    ("calcium_complex", "lithium_complex", "incompatible"),  # the reclamation chart alone
    ("aluminium", "lithium", "unknown"),  # simple aluminium soap is in no chart
])
def test_worst_chart_counts(old: str, new: str, expected: str) -> None:
    assert verdict(grease(old), grease(new)) == expected
    assert verdict(grease(new), grease(old)) == expected


def test_each_chart_keeps_its_own_verdict() -> None:
    found = {t.table: t.verdict for t in judge(grease("lithium"), grease("polyurea"), K).tables}
    assert found["fist_2_4_table_2"] == "incompatible"
    assert found["textbook_companion"] == "compatible"
    assert found["bearing_maker_chart_b"] == "borderline"


def test_recalled_chart_says_so_in_its_words() -> None:
    found = {t.table: t for t in judge(grease("lithium"), grease("calcium"), K).tables}
    assert "recalled from memory" in found["nlgi_1982_paper"].words
    assert "recalled" not in found["fist_2_4_table_2"].words


@pytest.mark.parametrize("pair", [(Grease(), grease("lithium")), (grease("lithium"), Grease()),
                                  (grease("other"), grease("lithium")), (grease("silica"), grease("lithium"))])
def test_unknown_grease_is_unknown_and_stripped(pair: tuple[Grease, Grease]) -> None:
    assert verdict(*pair) == "unknown"
    assert must_strip(*pair, K) is not None


@pytest.mark.parametrize("oil", ["pag", "silicone", "pfpe"])
@pytest.mark.parametrize("other", ["mineral", "naphthenic", "pao"])
def test_odd_oils_are_incompatible_with_hydrocarbons(oil: str, other: str) -> None:
    pair = grease("lithium", oil), grease("lithium", other)
    assert verdict(*pair) == "incompatible"
    assert must_strip(*pair, K) is not None


@pytest.mark.parametrize("oil", ["pfpe", "silicone"])
def test_pfpe_and_silicone_are_stripped_against_any_other_oil_even_unstated(oil: str) -> None:
    for other in (None, *(o for o in BASE_OILS if o != oil)):
        assert must_strip(grease("silica", oil), grease("lithium", other), K) is not None


def test_ptfe_thickener_brings_its_pfpe_oil() -> None:
    assert "mixes with no other" in str(must_strip(grease("ptfe"), grease("lithium"), K))
    assert must_strip(grease("ptfe"), grease("ptfe", "pfpe"), K) is None


@pytest.mark.parametrize("polyurea", ["polyurea", "polyurea_conventional"])
def test_clay_and_polyurea_are_stripped_both_ways(polyurea: str) -> None:
    assert "clay and polyurea" in str(must_strip(grease("clay"), grease(polyurea), K))
    assert "clay and polyurea" in str(must_strip(grease(polyurea), grease("clay"), K))


def test_same_thickener_and_oil_is_the_same() -> None:
    assert verdict(grease("lithium", "mineral"), grease("lithium", "mineral")) == "same"
    assert verdict(grease("lithium", "mineral"), grease("lithium", "pao")) == "compatible"


@pytest.mark.parametrize("family", ["polyurea", "polyurea_conventional", "clay"])
def test_family_that_need_not_suit_itself_is_borderline(family: str) -> None:
    assert verdict(grease(family, "mineral"), grease(family, "mineral")) == "borderline"


def test_chart_with_one_polyurea_row_does_not_tell_two_polyureas_apart() -> None:
    found = {t.table: t for t in judge(grease("polyurea"), grease("polyurea_conventional"), K).tables}
    assert found["fist_2_4_table_2"].verdict == "unknown"
    assert found["bearing_maker_chart_a"].verdict == "compatible"


def test_disagreement_and_the_way_to_settle_it_are_said() -> None:
    pair = grease("lithium"), grease("polyurea")
    text = " ".join(explain(*pair, judge(*pair, K), K))
    assert "the charts disagree: compatible in" in text
    assert "ASTM D6185 settles it" in text and "2.5 g" in text
    assert "neither grease's oil is stated: both are taken as mineral oil" in text


@pytest.mark.parametrize(("old", "new", "words"), [
    (None, None, "neither oil is stated, so both are taken as mineral: mineral oil in both, compatible"),
    ("mineral", "mineral", "mineral oil in both, compatible"),
    (None, "ester", "the old oil is not stated, so it is taken as mineral: ")])
def test_oil_chart_says_in_plain_words_what_it_was_asked(old: str | None, new: str | None, words: str) -> None:
    pair = grease("lithium", old), grease("polyurea", new)
    said = next(t.words for t in judge(*pair, K).tables if t.table.startswith("base_oils"))
    assert f": {words}" in said and "mineral and PAO and" not in said


def test_same_grease_says_nothing_of_charts() -> None:
    pair = grease("lithium", "mineral"), grease("lithium", "mineral")
    assert len(explain(*pair, judge(*pair, K), K)) == 1


def test_pair_known_from_recalled_charts_only_is_guidance() -> None:
    pair = grease("calcium_sulfonate"), grease("lithium_complex")
    assert any("take it as guidance" in line for line in explain(*pair, judge(*pair, K), K))


PASSED = [MixTest("dropping_point", 185, 260, 200), MixTest("shear_stability", 330, 310, 320),
          MixTest("storage_stability", 15, 5, 10)]


def test_d6185_is_compatible_when_all_three_primary_tests_pass() -> None:
    assert d6185_verdict(PASSED)[0] == "compatible"


def test_d6185_stops_at_the_first_failure() -> None:
    found, lines = d6185_verdict([MixTest("dropping_point", 185, 260, 150), *PASSED[1:]])
    assert found == "incompatible"
    assert lines == ("dropping point, ASTM D566 or D2265: fails, worse by 35 degC",)


@pytest.mark.parametrize(("mixture", "expected"), [(185, "compatible"), (178, "borderline"), (177, "incompatible")])
def test_d6185_repeatability_is_the_borderline_from_memory(mixture: float, expected: str) -> None:
    assert d6185_verdict([MixTest("dropping_point", 185, 260, mixture), *PASSED[1:]])[0] == expected


@pytest.mark.parametrize(("mixture", "expected"), [(345, "borderline"), (346, "incompatible"), (294, "incompatible")])
def test_d6185_shear_counts_softer_and_stiffer(mixture: float, expected: str) -> None:
    assert d6185_verdict([PASSED[0], MixTest("shear_stability", 330, 310, mixture), PASSED[2]])[0] == expected


def test_d6185_without_all_tests_is_no_pass() -> None:
    assert d6185_verdict(PASSED[:2])[0] == "unknown"


def test_d6185_refuses_a_stranger_and_a_repeat() -> None:
    with pytest.raises(InputError, match="none of ASTM D6185's primary tests"):
        d6185_verdict([MixTest("colour", 1, 2, 3)])
    with pytest.raises(InputError, match="stands twice"):
        d6185_verdict([PASSED[0], PASSED[0]])
