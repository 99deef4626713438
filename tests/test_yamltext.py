"""The strict reader: text with positions in, one clear fault out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.errors import InputError
from diag.yamltext import DEEPEST, LARGEST, from_data, read, read_file, to_data


def fault(text, reader=read):
    with pytest.raises(InputError) as caught:
        reader(text, "case.yaml")
    assert len(caught.value.faults) == 1
    return str(caught.value)


def test_scalars_stay_text():
    tree = read("a: yes\nb: 000\nc: 1:30\nd: 2e3\ne: 2024-01-01\nf: 0x1F\ng: .inf\n", "x")
    assert to_data(tree) == {"a": "yes", "b": "000", "c": "1:30", "d": "2e3", "e": "2024-01-01", "f": "0x1F",
                             "g": ".inf"}


@pytest.mark.parametrize("text", ["a:", "a: ~", "a: null", "a: Null", "a: NULL"])
def test_plain_nulls_are_none(text):
    assert read(text, "x").value["a"].value is None


@pytest.mark.parametrize("text", ["a: '~'", 'a: "null"'])
def test_quoted_nulls_are_text(text):
    node = read(text, "x").value["a"]
    assert node.quoted
    assert node.value in ("~", "null")


def test_positions_are_one_based_lines_and_columns():
    tree = read("point:\n  kind: pin\n  list:\n  - a\n  -   b\n", "x")
    point = tree.value["point"]
    assert (point.value["kind"].line, point.value["kind"].column) == (2, 9)
    assert point.keys == {"kind": 2, "list": 3}
    assert [(n.line, n.column) for n in point.value["list"].value] == [(4, 5), (5, 7)]


def test_a_byte_order_mark_is_no_fault():
    assert to_data(read(b"\xef\xbb\xbfa: b", "x")) == {"a": "b"}


def test_a_duplicate_key_names_both_lines():
    assert fault("a: 1\nb: 2\na: 3\n") == "case.yaml:3: the key a stands twice, first in line 1; keep one"


def test_the_same_key_in_two_sections_is_no_duplicate():
    assert to_data(read("a: {x: 1}\nb: {x: 2}\n", "x")) == {"a": {"x": "1"}, "b": {"x": "2"}}


def test_an_alias_bomb_is_refused_at_its_first_anchor():
    bomb = "a: &a [x, x]\n" + "".join(f"{c}: &{c} [*{p}, *{p}]\n" for p, c in zip("abcdef", "bcdefg", strict=True))
    assert fault(bomb) == "case.yaml:1: the anchor &a is not allowed; write the value out"


def test_nesting_up_to_the_limit_is_read_and_one_more_is_refused():
    def nested(levels):
        return "{a: " * levels + "b" + "}" * levels

    assert read(nested(DEEPEST), "x").value
    assert fault(nested(DEEPEST + 1)) == f"case.yaml:1: is nested deeper than {DEEPEST} levels"


@pytest.mark.parametrize("start", ["[", "{a: ", "- "])
def test_very_deep_nesting_costs_no_recursion(start):
    assert "is nested deeper than 20 levels" in fault(start * 100_000)


def test_over_one_mebibyte_is_refused_and_just_under_is_read():
    head = "said: "
    assert read(head + "x" * (LARGEST - len(head)), "x").value
    assert fault(head + "x" * (LARGEST - len(head) + 1)) == "case.yaml: is over 1 MiB; a case is a page of text"


def test_size_counts_bytes_not_characters():
    assert "over 1 MiB" in fault("said: " + "ü" * (LARGEST // 2))


def test_bytes_that_are_not_utf8_are_refused_with_their_line():
    assert fault(b"a: b\nc: \xff\n") == "case.yaml:2: is not UTF-8 text; save the file as UTF-8"


@pytest.mark.parametrize("character", ["\x00", "\x07", "\x1b", "\x7f"])
def test_control_characters_are_refused_with_their_line(character):
    assert fault(f"a: b\nc: d{character}\n") == (
        f"case.yaml:2: holds the control character U+{ord(character):04X}; remove it")


def test_files_that_are_no_file_say_so(tmp_path):
    def words(path):
        with pytest.raises(InputError) as caught:
            read_file(path)
        return str(caught.value)

    assert words(tmp_path) == f"{tmp_path}: is a folder; give a file"
    assert words(tmp_path / "gone.yaml") == f"{tmp_path / 'gone.yaml'}: no such file"
    assert words(f"{tmp_path}/a/b\0c").endswith("can't be read (not a file name)")
    plain = tmp_path / "plain"
    plain.write_text("a: b")
    assert words(plain / "below.yaml") == f"{plain / 'below.yaml'}: can't be read (Not a directory)"


def test_an_endless_file_is_refused():
    with pytest.raises(InputError, match="is over 1 MiB"):
        read_file("/dev/zero")


def test_json_data_keeps_numbers_and_turns_truth_values_into_words():
    tree = from_data({"a": True, "b": False, "c": 1.5, "d": None, "e": ["x", 2]}, "body")
    assert to_data(tree) == {"a": "yes", "b": "no", "c": 1.5, "d": None, "e": ["x", 2]}


@pytest.mark.parametrize(("data", "words"), [
    ([], "body: must be an object of keys such as point and grease"),
    ({"a": float("nan")}, "body: a number is too large or not a number"),
    ({"a": 10**400}, "body: a number is too large or not a number"),
    ({"a": "b\x00"}, "body: holds the control character U+0000; remove it"),
    ({"a": "\ud800"}, "body: holds the control character U+D800; remove it"),
    ({"a": {1: "b"}}, "body: the key 1 must be text"),
    ({"a": b"x"}, "body: bytes is no JSON value"),
])
def test_json_data_that_is_no_case_is_refused(data, words):
    with pytest.raises(InputError) as caught:
        from_data(data, "body")
    assert str(caught.value) == words


def test_deep_json_data_is_refused():
    data: dict = {}
    for _ in range(500):
        data = {"a": data}
    with pytest.raises(InputError, match="nested deeper than 20 levels"):
        from_data(data, "body")


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_one_line(text):
    try:
        tree = read(text, "x")
    except InputError as error:
        assert str(error).startswith("x:")
        assert "\n" not in str(error)
    else:
        assert isinstance(tree.value, dict)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data):
    try:
        assert isinstance(read(data, "x").value, dict)
    except InputError as error:
        assert len(error.faults) == 1
