"""A folder of case files with one fault each, named after it; the first line says the message."""

from pathlib import Path

import pytest

from diag.case import read_text
from diag.errors import InputError
from diag.knowledgebase import load

FILES = sorted((Path(__file__).parent / "broken_cases").glob("*.yaml"))


def expected(path: Path) -> str:
    """Place and message, after the name of the file."""
    return path.name + path.read_text("utf-8").splitlines()[0].removeprefix("# expect: ")


def test_the_folder_holds_its_files():
    assert len(FILES) >= 70


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_broken_case_says_what_is_wrong_where_and_what_would_be_right(path):
    with pytest.raises(InputError) as caught:
        read_text(path.read_bytes(), path.name, load())
    assert str(caught.value) == expected(path)
    assert len(caught.value.faults) == 1
