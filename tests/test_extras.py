"""The optional libraries are asked for by the lists of pyproject.toml."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from diag import extras
from diag.errors import InputError

PROJECT = Path(__file__).resolve().parent.parent / "pyproject.toml"
OTHER_NAMES = {"scikit-learn": "sklearn"}
ELSEWHERE = {"weasyprint"}  # `diag.report.pdf` asks for it, with another way out


@pytest.mark.parametrize("extra", sorted(extras._LIBRARIES))
def test_an_extra_asks_for_what_pyproject_brings(extra: str) -> None:
    wanted = tomllib.loads(PROJECT.read_text("utf-8"))["project"]["optional-dependencies"][extra]
    names = (re.split(r"[\[<>=]", requirement)[0] for requirement in wanted)
    assert set(extras._LIBRARIES[extra]) == {OTHER_NAMES.get(name, name) for name in names} - ELSEWHERE


def test_all_that_is_missing_is_named_with_the_way_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(extras, "find_spec", lambda name: None if name in ("jinja2", "uvicorn") else object())
    with pytest.raises(InputError, match=r"^the page needs jinja2 and uvicorn: pip install 'diag\[web\]'$"):
        extras.needs("the page", "web")
    extras.needs("reading logs", "tables")
