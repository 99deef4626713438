"""Designations: published codes as printed, every letter there and back, and what rests on memory."""

from __future__ import annotations

from itertools import product

import pytest

from diag import knowledgebase
from diag.findings import Requirement
from diag.remedy.codes import DinCode, IsoCode, din_code, find_din, find_iso, iso_code, read_code, states

K = knowledgebase.load()
DIN, ISO = K.standard("din51502"), K.standard("iso6743_9")

# Code, printed lowest, printed highest [°C]: two bearing makers' catalogues; None where no range is printed.
PUBLISHED_DIN = [
    ("K2N-30", -30, 140), ("K3N-30", -30, 140), ("KE3K-50", -50, 120), ("KP2N-40", -40, 150), ("KP2P-40", -40, 160),
    ("KE2P-40", -40, 160), ("KPHC2R-30", -35, 180), ("KFK2U-40", -40, 260), ("KP2N-20", -20, 140),
    ("KPF2K-30", -30, 120), ("KP3N-30", -30, 150), ("KPE2K-30", -30, 120), ("K2K-30", -30, 120), ("K3K-30", -30, 120),
    ("KP2G-20", -20, 110), ("KP2N-30", -30, 140), ("K2G-20", -20, 110), ("KP1/2N-40", -40, 140),
    ("KP2G-40", -40, 120), ("K2G-50", -50, 110), ("KP1G-30", -30, 110), ("KPF2K-20", -20, 120),
    ("KPF2K-10", -10, 120), ("K2N-40", -40, 150), ("KFK2U-30", -30, 240), ("KPHC 2N-40", None, None),
    ("KPHC 1-2N-40", None, None), ("KP1K-20", None, None), ("KP2K-20", None, None),
]
# Code → type, EP, solid, oil letters, grades, upper [°C], lower [°C].
PARSED_DIN = {
    "K2N-30": ("K", False, False, "", ("2",), 140, -30), "KE3K-50": ("K", False, False, "E", ("3",), 120, -50),
    "KP2P-40": ("K", True, False, "", ("2",), 160, -40), "KPHC2R-30": ("K", True, False, "HC", ("2",), 180, -30),
    "KFK2U-40": ("K", False, False, "FK", ("2",), 221, -40),
    "KPF2K-10": ("K", True, True, "", ("2",), 120, -10), "KPE2K-30": ("K", True, False, "E", ("2",), 120, -30),
    "KP1/2N-40": ("K", True, False, "", ("1", "2"), 140, -40), "KP2G-20": ("K", True, False, "", ("2",), 100, -20),
    "GP0G-20": ("G", True, False, "", ("0",), 100, -20), "OGPF0R-20": ("OG", True, True, "", ("0",), 180, -20),
    "KP2K-25": ("K", True, False, "", ("2",), 120, -25), "KPFHC2R-40": ("K", True, True, "HC", ("2",), 180, -40),
}
# Code → lower [°C], upper [°C], EP, grade; from a trade article, a national summary and supplier lists.
PARSED_ISO = {
    "L-XCDEB 3": (-30, 140, "E", True, "3"), "L-XBEGB 00": (-20, 160, "G", True, "00"),
    "L-XBCEB 2": (-20, 120, "E", True, "2"), "L-XBCEA 3": (-20, 120, "E", False, "3"),
    "L-XBCHB 2": (-20, 120, "H", True, "2"), "L-XBCIB 2": (-20, 120, "I", True, "2"),
    "L-XCEEB 2": (-30, 160, "E", True, "2"), "L-XCBEB 00": (-30, 90, "E", True, "00"),
    "L-XBFHB 0": (-20, 180, "H", True, "0"), "L-XAEEA": (0, 160, "E", False, None),
    "ISO-L-X-CCEB2": (-30, 120, "E", True, "2"), "ISO 6743-9: L-XCDIB 1": (-30, 140, "I", True, "1"),
}


def asked(text: str, property: str) -> Requirement | None:
    return next((r for r in read_code(text) if r.property == property), None)


@pytest.mark.parametrize("text", PARSED_DIN)
def test_din_code_is_taken_apart(text: str) -> None:
    code = find_din(text)
    assert code is not None
    upper = DIN["upper"][code.upper]["at_least"]
    assert (code.type, code.ep, code.solid, code.oil, code.nlgi, upper, code.lower) == PARSED_DIN[text]


@pytest.mark.parametrize(("text", "lowest", "highest"), PUBLISHED_DIN)
def test_printed_range_reaches_at_least_the_published_code(text: str, lowest: int | None, highest: int | None) -> None:
    code = find_din(text)
    assert code is not None and str(code) == text.replace(" ", "").replace("1-2", "1/2")
    if lowest is not None and highest is not None and code.lower is not None:
        assert lowest <= code.lower
        assert highest >= DIN["upper"][code.upper]["at_least"]


@pytest.mark.parametrize("text", PARSED_ISO)
def test_iso_code_is_taken_apart(text: str) -> None:
    code = find_iso(text)
    lower, upper, water, ep, nlgi = PARSED_ISO[text]
    assert code is not None
    assert (code.water_and_rust, code.load == "B", code.nlgi) == (water, ep, nlgi)
    assert (ISO["lower"][code.lower]["at_most"], ISO["upper"][code.upper]["at_least"]) == (lower, upper)


@pytest.mark.parametrize("text", ["KP2K-20", "KP 2 K -20", "K P 2 K−20", "kp2k-20", "KP2K minus 20",
                                  "DIN 51825 - KP2K-20", "Fett nach DIN 51502: KP 2 K-20, Kartusche"])
def test_joined_and_spaced_forms_read_alike(text: str) -> None:
    assert find_din(text) == DinCode("K", True, False, "", ("2",), "K", -20)


@pytest.mark.parametrize("text", ["", "NLGI 2", "lithium grease 400 g", "K2", "ISO VG 220", "OKP2", "L-XZZZZ2"])
def test_text_without_a_code_asks_nothing(text: str) -> None:
    assert read_code(text) == ()


@pytest.mark.parametrize("letter", DIN["upper"])
@pytest.mark.parametrize("oil", ["", *(o for o in DIN["oils"] if o not in ("PH", "X"))])
def test_every_din_letter_goes_there_and_back(letter: str, oil: str) -> None:
    text = f"KPF{oil}2{letter}-30"
    written = din_code(read_code(text))
    # U (above 220 °C) and the letters that share a step by water class come back as themselves.
    assert written == text


@pytest.mark.parametrize("type_", DIN["types"])
@pytest.mark.parametrize("oil", ["", *DIN["oils"]])
@pytest.mark.parametrize("additives", ["", "P", "F", "PF"])
def test_every_din_designation_reads_as_written(type_: str, oil: str, additives: str) -> None:
    code = DinCode(type_, "P" in additives, "F" in additives, oil, ("00",), "N", -40)
    assert find_din(str(code)) == code


@pytest.mark.parametrize(("lower", "upper"), list(product(ISO["lower"], ISO["upper"])))
def test_every_iso_symbol_goes_there_and_back(lower: str, upper: str) -> None:
    for water, load, nlgi in product(ISO["water_and_rust"], ISO["load"], ("000", "2")):
        text = str(IsoCode(lower, upper, water, load, nlgi))
        assert iso_code(read_code(text)) == text


@pytest.mark.parametrize("letter", ["M", "S"])
def test_upper_letters_from_memory_are_notes(letter: str) -> None:
    found = asked(f"K2{letter}-20", "highest_temperature")
    assert found is not None and found.strength == "note" and "from memory" in found.because[0]


@pytest.mark.parametrize("letter", ["G", "H", "K", "M"])
def test_water_classes_from_memory_are_notes(letter: str) -> None:
    found = asked(f"K2{letter}-20", "water_washout")
    assert found is not None and found.strength == "note" and "90 °C" in found.because[0]


def test_verified_letters_are_musts() -> None:
    found = asked("KP2K-20", "highest_temperature")
    assert found is not None and (found.value, found.strength) == (120.0, "must")


def test_missing_oil_letter_proves_nothing() -> None:
    assert asked("KP2P-40", "base_oil_type") is None
    assert "base_oil_type" not in states("KP2P-40")


def test_off_step_lower_temperature_is_read_and_named() -> None:
    found = asked("KP2K-25", "lowest_temperature")
    assert found is not None and found.value == -25.0 and "no step of the standard" in found.because[0]


def test_code_states_what_it_claims_and_what_it_leaves_out() -> None:
    assert states("KP2K-20") == {"nlgi": "2", "highest_temperature": 120.0, "lowest_temperature": -20.0,
                                 "ep": "yes", "solid_lubricant": "none"}
    assert states("L-XBCEA 3")["ep"] == "no"
    assert states("L-XBCIB 2")["rust_protection"] == "salt_water"


def test_of_two_codes_that_disagree_the_narrower_range_counts() -> None:
    found = states("L-XBFHB 2, KP2U-30")  # published side by side: 180 against above 220 °C
    assert (found["lowest_temperature"], found["highest_temperature"]) == (-20.0, 180.0)


def test_needs_write_the_code_on_the_safe_side() -> None:
    def need(property: str, relation: str, value: object) -> Requirement:
        return Requirement(property=property, relation=relation, value=value, unit="", strength="must",  # type: ignore[arg-type]
                           because=("test",), source="test")

    needs = [need("nlgi", "in", ("1", "2")), need("highest_temperature", "min", 105.0),
             need("lowest_temperature", "max", -12.0), need("ep", "is", "yes")]
    assert din_code(needs) == "KP2K-20"
    assert iso_code(needs) == "ISO-L-X-BCAB2"
    assert iso_code([*needs, need("water_washout", "max", 5.0), need("rust_protection", "is", "yes")]) \
        == "ISO-L-X-BCHB2"
    assert din_code(needs[:1]) is None and iso_code(needs[:2]) is None
    assert din_code(needs[:2]) == "K2K"
    assert din_code([*needs[:2], need("lowest_temperature", "max", -75.0)]) is None


def test_transcription_of_gc_lb_limits_from_memory() -> None:
    found = {(r.property, r.value): r for r in read_code("NLGI GC-LB")}
    assert {("dropping_point", 220.0), ("dropping_point", 150.0), ("water_washout", 15.0)} <= set(found)
    assert {r.strength for r in found.values()} == {"note"}


def test_transcription_of_hpm_tags() -> None:
    core, tagged = read_code("NLGI HPM"), read_code("NLGI HPM+WR+CR+HL")
    assert {r.strength for r in core} == {"note"}
    assert ("rust_protection", ("salt_water",), "must") in {(r.property, r.value, r.strength) for r in tagged}
    assert ("water_washout", 5.0) in {(r.property, r.value) for r in tagged}
    assert "ep" not in {r.property for r in core}


def test_iso_12924_adds_its_tests_to_the_iso_code() -> None:
    found = {r.property: r.strength for r in read_code("ISO 12924 L-XBCEB 2")}
    assert found["low_temperature_torque"] == "note" and found["highest_temperature"] == "must"


@pytest.mark.parametrize(("text", "lowest", "highest"), [("MIL-PRF-81322G", -54.0, 177.0),
                                                         ("MIL-PRF-23827", -73.0, 121.0)])
def test_published_military_ranges(text: str, lowest: float, highest: float) -> None:
    found = states(text)
    assert (found["lowest_temperature"], found["highest_temperature"]) == (lowest, highest)
