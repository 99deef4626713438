"""Case files: what is understood, what all faults look like together, and that a written case reads back equal."""

import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case import contradictions, from_data, read_case, read_text, save, to_text
from diag.case.model import DEGREES, KINDS, Case
from diag.case.words import plain
from diag.errors import InputError
from diag.knowledgebase import load
from diag.units import DIMENSIONS

KNOWLEDGE = load()
LEAST = {"point": {"kind": "rolling_bearing"}}


def read(text):
    return read_text(text, "case.yaml", KNOWLEDGE)


def faults(text):
    with pytest.raises(InputError) as caught:
        read(text)
    return [str(fault) for fault in caught.value.faults]


def with_grease(line):
    return read(f"point: {{kind: rolling_bearing}}\ngrease: {{{line}}}\n").grease


# A dryer fan of the invented brickworks.
DRYER_FAN = """
case: {id: 17, site: brickworks (invented), machine: dryer fan 2, point: drive end, at: 2024-05-01 10:30}
title: runs hot since Monday
complaint: hot
point:
  kind: rolling bearing
  bearing: {type: deep groove, bore: 2 in, outside: 110 mm, width: 1 1/16 in, sealing: open, turning_ring: inner}
  speed: 1 450 rpm
  running_temperature: 203 °F
  usual_temperature: 70 C
  surroundings: {coldest: minus 10 C, hottest: 104 degF}
  exposure: [dust, radiant heat, unknown]
  safety_critical: no
  feed: grease gun
  drain: closed
  manual: {nlgi: NLGI 2, viscosity_40: VG 100, regreasing: {amount: 1 oz, every: 3 months}}
grease:
  thickener: Lithium 12-hydroxystearate
  base_oil: mineral
  viscosity_40: 1000 SUS at 104 F
  nlgi: 000
  additives: [MoS₂, EP]
regreasing: {amount: 20 g, every: every 2 weeks, strokes: 17, grams_per_stroke: '1,2 g'}
history: {onset: days, first_noticed: hotter_than_usual, since: [regreasing], running_hours: unknown}
seen: {hotter_than_usual: yes, hotter_than_sister: probably not}
said: |
  It screamed, then
  went quiet: strange.
measured: {temperature_rise: 27 degF}
lab: {iron: 120 ppm, water: unknown}
costs: {currency: EUR, bearing: '85,50'}
"""


def test_everything_a_case_may_hold_is_understood():
    case = read(DRYER_FAN)
    point, grease = case.point, case.grease
    assert (case.case.id, case.case.at, case.complaint) == ("17", "2024-05-01 10:30", "hot")
    assert (point.kind, point.bearing.type, point.bearing.bore, point.bearing.width) == (
        "rolling_bearing", "deep_groove_ball", 50.8, 26.9875)
    assert (point.speed, point.running_temperature, point.usual_temperature) == (1450, 95, 70)
    assert (point.surroundings.coldest, point.surroundings.hottest) == (-10, 40)
    assert (point.exposure, point.safety_critical, point.feed) == (("dust", "radiant_heat"), False, "hand_gun")
    assert (point.manual.nlgi, point.manual.viscosity_40, point.manual.regreasing.every) == ("2", 100, 2191.5)
    assert (grease.thickener, grease.nlgi, grease.additives) == ("lithium", "000", ("moly", "ep"))
    assert grease.viscosity_40 == pytest.approx(215.83, rel=2e-4)
    assert (case.regreasing.every, case.regreasing.grams_per_stroke) == (336, 1.2)
    assert (case.history.first_noticed, case.history.running_hours) == ("hotter_than_usual", None)
    assert case.seen == {"hotter_than_usual": "yes", "hotter_than_sister": "probably_not"}
    assert case.said == "It screamed, then\nwent quiet: strange."
    assert (case.measured, case.lab) == ({"temperature_rise": 15}, {"iron": 120})
    assert case.costs.bearing == 85.5


def test_only_the_kind_is_needed():
    case = read("point: {kind: slideway}")
    assert case == Case(point=type(case.point)(kind="slideway"))


@pytest.mark.parametrize("nothing", ["unknown", "Unknown", "'unknown'", "null", "~", "", "''"])
def test_unknown_is_legal_everywhere_and_means_nothing(nothing):
    def lines(cls, indent):
        for f in fields(cls):
            if f.name != "kind" and f.metadata["as"] != "aside":
                yield f"{indent}{f.name}: {nothing}"

    top = [line for line in lines(Case, "") if not line.startswith("point:")]
    text = "\n".join([*top, "point:", "  kind: pin_bushing", *lines(type(Case().point), "  ")])
    assert read(text) == read("point: {kind: pin_bushing}")


def test_unknown_is_legal_inside_sections_and_lists():
    text = "point: {kind: pin_bushing, pin: {diameter: unknown}, exposure: [unknown, ~]}\ngrease: {nlgi: unknown}\n"
    assert read(text) == read("point: {kind: pin_bushing}")


def test_a_sign_left_open_is_kept_as_unknown():
    assert read("point: {kind: rolling_bearing}\nseen: {hotter_than_usual: }").seen == {
        "hotter_than_usual": "unknown"}


@pytest.mark.parametrize("typed", ["2", "NLGI 2", "nlgi-2", "#2", "grade 2", "No. 2", "'2'"])
def test_a_consistency_grade_in_any_spelling(typed):
    assert with_grease(f'nlgi: "{typed}"' if "#" in typed else f"nlgi: {typed}").nlgi == "2"


@pytest.mark.parametrize("typed", ["0-00", "1/2", "1-2", "7", "-1.0", "2 to 3", "0.0"])
def test_a_range_or_fraction_is_no_consistency_grade(typed):
    assert "is not legal" in faults(f"point: {{kind: rolling_bearing}}\ngrease: {{nlgi: {typed}}}")[0]


@pytest.mark.parametrize(("key", "typed", "word"), [
    ("thickener", "bentonite", "clay"), ("thickener", "Bentonite", "clay"), ("thickener", "lithium 12", "lithium"),
    ("thickener", "LITHIUM-COMPLEX", "lithium_complex"), ("thickener", "aluminum", "aluminium"),
    ("thickener", "aluminum complex", "aluminium_complex"), ("thickener", "calcium sulphonate", "calcium_sulfonate"),
    ("thickener", "Calcium Sulphonate Complex", "calcium_sulfonate"), ("base_oil", "Poly-Alpha-Olefin", "pao"),
    ("base_oil", "polyglycol", "pag"),
])
def test_trade_words_are_understood(key, typed, word):
    assert getattr(with_grease(f"{key}: {typed}"), key) == word


@pytest.mark.parametrize("typed", ["MoS2", "MoS₂", "molybdenum disulfide", "molybdenum disulphide", "Moly"])
def test_moly_in_any_spelling(typed):
    assert with_grease(f"additives: [{typed}, moly]").additives == ("moly",)


def test_one_word_stands_for_a_list_of_one():
    assert with_grease("additives: EP").additives == ("ep",)


def test_no_synonym_is_claimed_by_two_words_of_its_group():
    for group, entries in KNOWLEDGE.synonyms.items():
        owner = {}
        for word, others in entries.items():
            for other in {plain(word), *map(plain, others)}:
                assert owner.setdefault(other, word) == word, f"{group}: {other}"


def test_every_group_and_word_of_the_synonyms_is_one_of_the_model():
    legal = {}
    for cls in parts(Case):
        for f in fields(cls):
            if f.metadata.get("synonyms"):
                legal.setdefault(f.metadata["synonyms"], set()).update(f.metadata["legal"])
    assert set(KNOWLEDGE.synonyms) == set(legal)
    for group, entries in KNOWLEDGE.synonyms.items():
        assert set(entries) <= legal[group]


def parts(cls):
    yield cls
    for f in fields(cls):
        if f.metadata["as"] == "part":
            yield from parts(f.metadata["class"])


def test_every_dimension_of_the_model_and_of_the_readings_is_a_unit_dimension():
    of_model = {f.metadata["dimension"] for cls in parts(Case) for f in fields(cls) if "dimension" in f.metadata}
    of_readings = {reading.dimension for reading in KNOWLEDGE.readings.values()}
    assert of_model | of_readings <= set(DIMENSIONS)


def test_all_faults_are_told_in_the_order_of_their_lines():
    assert faults("grease: {nlgi: 7, thickner: clay}\npoint:\n  kind: rolling_bearing\n  speed: fast\n"
                  "  bearing: {bore: 90 mm, outside: 80 mm}\nseen: {hotter_than_usual: rather}\n") == [
        "case.yaml:1: grease.nlgi: '7' is not legal; give 000, 00, 0, 1, 2, 3, 4, 5 or 6",
        "case.yaml:1: grease: unknown key 'thickner'; did you mean thickener?",
        "case.yaml:4: point.speed: 'fast' does not begin with a number; give a speed of rotation, such as "
        "1450 rpm or 1450 1/min",
        "case.yaml:5: point.bearing.bore: 90 mm is not below outside 80 mm; the bore is the smaller one",
        "case.yaml:6: seen.hotter_than_usual: 'rather' is no degree; give yes, probably, unknown, probably_not or no",
    ]


def test_a_fault_in_a_list_names_the_line_of_its_item():
    text = "point:\n  kind: rolling_bearing\n  exposure:\n  - dust\n  - stem\n"
    assert faults(text) == ["case.yaml:5: point.exposure: 'stem' is not legal; did you mean steam?"]


def test_a_decimal_comma_between_braces_is_explained():
    assert faults("point: {kind: rolling_bearing}\nregreasing: {amount: 1,2 g}\n") == [
        "case.yaml:2: regreasing.amount: '1' has no unit; give a unit, such as 20 g or 0.7 oz",
        "case.yaml:2: regreasing: '2 g' is no key; write a number with a decimal point, or in quotes",
    ]


def test_one_line_sums_up_several_faults():
    with pytest.raises(InputError, match=r"^case\.yaml:1: .* \(\+1 more\)$"):
        read("grease: {nlgi: 7, nlig: 2}\npoint: {kind: pin_bushing}\n")


def test_json_numbers_are_canonical_and_truth_values_are_yes_and_no():
    case = from_data({"point": {"kind": "rolling_bearing", "speed": 1450, "safety_critical": True},
                      "grease": {"nlgi": 2, "viscosity_40": 220.0}, "seen": {"hotter_than_usual": False},
                      "measured": {"temperature_rise": 15}, "case": {"id": 7}}, "body", KNOWLEDGE)
    assert (case.point.speed, case.point.safety_critical) == (1450.0, True)
    assert (case.grease.nlgi, case.grease.viscosity_40, case.case.id) == ("2", 220.0, "7")
    assert (case.seen, case.measured) == ({"hotter_than_usual": "no"}, {"temperature_rise": 15.0})


@pytest.mark.parametrize(("section", "words"), [
    ({"speed": -1}, "body: point.speed: '-1' must be at least 0 rpm"),
    ({"speed": True}, "body: point.speed: 'yes' does not begin with a number; give a speed of rotation, such as "
                      "1450 rpm or 1450 1/min"),
    ({"running_temperature": -500}, "body: point.running_temperature: -500 °C is below absolute zero (-273.15 °C)"),
    ({"bearing": [1]}, "body: point.bearing: must be a mapping of type, bore, outside, width, dynamic_rating, "
                       "static_rating, fatigue_load_limit, sealing, clearance, fit, cage or turning_ring"),
    ({"speed": {"value": 1}}, "body: point.speed: must be one value, not a mapping"),
])
def test_faults_of_json_name_the_data_and_the_key(section, words):
    with pytest.raises(InputError) as caught:
        from_data({"point": {"kind": "rolling_bearing", **section}}, "body", KNOWLEDGE)
    assert str(caught.value) == words


def test_what_was_assumed_stands_beside_the_case():
    case = read("point: {kind: rolling_bearing}\ngrease: {viscosity_40: 1000 SUS at 100 F}\n")
    assert case.assumed == ("grease.viscosity_40: 1000 SUS at 100 F is 189 mm²/s at 40 °C (ASTM D2161, then D341 "
                            "with a viscosity index of 95)",)
    assert read("point: {kind: rolling_bearing}\ngrease: {viscosity_40: 189 cSt}\n").assumed == ()


@pytest.mark.parametrize("text", [
    "point: {kind: rolling_bearing, speed: 0 rpm, swing: {angle: 40 deg}}",  # 0 rpm doesn't turn
    "point: {kind: rolling_bearing, feed: sealed_for_life, drain: none}",
    "point: {kind: rolling_bearing, bearing: {type: spherical_roller, sealing: sealed}}\nregreasing: {amount: 20 g}",
    "point: {kind: rolling_bearing, running_temperature: 220 degC}\ngrease: {dropping_point: 190 degC}",
    "point: {kind: rolling_bearing, surroundings: {coldest: 20 degC, hottest: 20 degC}}",
    "point: {kind: rolling_bearing}\nregreasing: {amount: 20 g, strokes: 17, grams_per_stroke: 1.2 g}",
    "point: {kind: rolling_bearing, bearing: {type: needle_roller, outside: 20 mm, width: 30 mm}}",
])
def test_what_is_strange_but_possible_is_read(text):
    assert read(text).point.kind == "rolling_bearing"


def test_each_rule_of_contradiction_has_a_broken_case():
    """Every rule fires for at least one file of the folder (their messages are tested there)."""
    fired = set()
    for path in (Path(__file__).parent / "broken_cases").glob("*.yaml"):
        expected = path.read_text("utf-8").splitlines()[0]
        fired |= {rule for rule in RULE_WORDS if RULE_WORDS[rule] in expected}
    assert fired == {rule.__name__ for rule in contradictions.CHECKS}


RULE_WORDS = {
    "bore_not_below_outside": "is not below outside", "rings_too_thick": "times the bore",
    "width_absurd": "times the outside diameter", "fatigue_limit_not_below_static_rating": "static rating",
    "surroundings_upside_down": "above hottest", "temperature_range_empty": "not below highest_temperature",
    "viscosity_rises_with_heat": "oil thins with heat", "used_above_dropping_point": "above dropping_point",
    "turns_and_swings": "give speed or swing", "parts_of_another_kind": "set point.kind to",
    "sealed_for_life_yet_fed": "sealed_for_life is never regreased", "sealed_bearing_regreased": "takes no grease",
    "feed_line_without_feed": "has no feed line", "amount_against_strokes": "correct one of them",
}


def test_the_written_case_is_short_and_for_people():
    text = to_text(read("point: {kind: rolling_bearing, running_temperature: 203 degF, safety_critical: yes}\n"
                        "grease: {thickener: bentonite, nlgi: 000, additives: [EP, moly]}\n"
                        "said: |\n  one\n  two\nmeasured: {temperature_rise: 27 degF}\n"))
    assert text == ("point:\n  kind: rolling_bearing\n  running_temperature: 95 degC\n  safety_critical: yes\n"
                    "grease:\n  thickener: clay\n  nlgi: 000\n  additives: [ep, moly]\n"
                    "said: |-\n  one\n  two\nmeasured:\n  temperature_rise: 15 K\n")


def test_a_full_case_written_reads_back_equal():
    case = read(DRYER_FAN)
    assert read(to_text(case)) == case


TEXTS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["yes", "~", "null", "000", "1:30", "a: b", "# x", "- x", "'", '"', "{}", "[a", "|", ">", "<<",
                     "@", "it's 5 %", "two\nlines", "trailing \n blank", "\ttab", "umlaut ü", "🔧", "a\n\n\nb", "%",
                     "!x", "&y"]),
)


def readable(text):
    """The text as the reader keeps it, or None for what it takes as unknown or refuses."""
    try:
        return from_data({"title": text, **LEAST}, "x", KNOWLEDGE).title
    except InputError:
        return None


def value_of(known):
    """A strategy for a legal value of one field."""
    if known["as"] == "text":
        return TEXTS.map(readable)
    if known["as"] == "quantity":
        lower = max(v for v in (known["over"], known["least"], -273.15) if v is not None)
        return st.floats(lower, known["most"] or 1e9, exclude_min=known["over"] is not None).map(lambda v: v + 0.0)
    if known["as"] == "word":
        return st.sampled_from(known["legal"])
    if known["as"] == "words":
        return st.lists(st.sampled_from(known["legal"]), unique=True).map(tuple)
    if known["as"] == "flag":
        return st.booleans()
    return section(known["class"])


@st.composite
def section(draw, cls):
    """A section with each key stated about half of the time."""
    stated = {}
    for f in fields(cls):
        if f.metadata["as"] in ("text", "quantity", "word", "words", "flag", "part") and draw(st.booleans()):
            value = draw(value_of(f.metadata))
            stated |= {} if value is None else {f.name: value}
    return cls(**stated)


@st.composite
def cases(draw):
    """Any case with signs and readings of the knowledge; values may contradict each other."""
    case = draw(section(Case))
    kind = draw(st.sampled_from(KINDS))
    signs = [s for s, option in KNOWLEDGE.signs.items()
             if kind in option.kinds and kind in KNOWLEDGE.questions[KNOWLEDGE.question_of[s]].kinds]
    return replaced(case, kind, {
        "seen": draw(st.dictionaries(st.sampled_from(signs), st.sampled_from(DEGREES), max_size=4)),
        "measured": draw(readings("measured")),
        "lab": draw(readings("lab")),
    })


def replaced(case, kind, tables):
    dimensions = {key: KNOWLEDGE.readings[key].dimension for where in ("measured", "lab") for key in tables[where]}
    return replace(case, point=replace(case.point, kind=kind), **tables, reading_dimensions=dimensions)


@st.composite
def readings(draw, where):
    keys = [r.id for r in KNOWLEDGE.readings.values() if r.where == where]
    found = {}
    for key in draw(st.lists(st.sampled_from(keys), unique=True, max_size=3)):
        record = KNOWLEDGE.readings[key]
        found[key] = draw(st.floats(-1e6 if record.least is None else record.least,
                                    1e6 if record.most is None else record.most)) + 0.0
    return found


@settings(max_examples=60, deadline=None)
@given(cases())
def test_any_case_written_reads_back_equal_or_is_refused_as_a_contradiction(case):
    if contradictions.find(case):
        with pytest.raises(InputError):
            read(to_text(case))
        return
    assert read(to_text(case)) == case


@settings(max_examples=60, deadline=None)
@given(cases())
def test_the_writer_keeps_every_value_even_where_they_clash(case):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(contradictions, "CHECKS", ())
        assert read(to_text(case)) == case


@settings(deadline=None)
@given(st.floats(-200, 550), st.sampled_from([("degF", 1.8, 32.0), ("°F", 1.8, 32.0), ("K", 1.0, 273.15)]))
def test_a_case_is_the_same_in_any_unit(celsius, scale):
    unit, factor, offset = scale
    typed = f"{celsius * factor + offset!r} {unit}"
    case = read(f"point: {{kind: rolling_bearing, running_temperature: '{typed}'}}")
    assert case.point.running_temperature == pytest.approx(celsius, abs=1e-8)


@settings(deadline=None)
@given(st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=10),
                    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
                        st.sampled_from([f.name for f in fields(Case)] + ["kind", "bearing", "bore", "x"]), inner,
                        max_size=4), max_leaves=12))
def test_any_json_is_a_case_or_a_list_of_faults(data):
    try:
        case = from_data(data, "body", KNOWLEDGE)
    except InputError as error:
        assert all("\n" not in str(fault) for fault in error.faults)
    else:
        assert case.point.kind in KINDS


def test_saving_replaces_the_file_whole_and_leaves_nothing_beside_it(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text("old")
    path.chmod(0o640)
    case = read(DRYER_FAN)
    save(path, case)
    assert read_case(path, KNOWLEDGE) == case
    assert [p.name for p in tmp_path.iterdir()] == ["case.yaml"]
    assert path.stat().st_mode & 0o777 == 0o640


def test_saving_that_fails_keeps_the_old_file_and_leaves_nothing_beside_it(tmp_path, monkeypatch):
    path = tmp_path / "case.yaml"
    path.write_text("old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(InputError, match=r"case\.yaml: can't be written \(No space left on device\)"):
        save(path, read(DRYER_FAN))
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["case.yaml"]


def test_saving_through_a_link_keeps_the_link(tmp_path):
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    link.symlink_to(real)
    save(link, read(DRYER_FAN))
    assert link.is_symlink()
    assert read_case(real, KNOWLEDGE) == read(DRYER_FAN)


def test_importing_the_package_loads_neither_pint_nor_numpy_nor_rapidfuzz():
    code = "import sys, diag.case; print(sorted({'pint', 'numpy', 'rapidfuzz'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
