"""Files written while cases go through: whole at the end, or not at all."""

from __future__ import annotations

import contextlib
import secrets
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from diag.errors import Fault, InputError

__all__ = ["not_an_input", "written"]


@contextlib.contextmanager
def written(name: str) -> Iterator[IO[str]]:
    """A text file that takes its name once the block has ended well. Errors: InputError when it can't be written."""
    path = Path(name)
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with beside.open("x", encoding="utf-8", newline="") as stream:
            yield stream
        beside.replace(path)
    except OSError as error:
        raise InputError(Fault(f"can't be written ({error.strerror})", name)) from None
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)


def not_an_input(outputs: dict[str, str], inputs: list[str]) -> None:
    """Errors: InputError when a file to write (by option) is one to read, or is to be written twice."""
    taken = {Path(name).resolve(): name for name in inputs if name != "-"}
    for option, name in outputs.items():
        path = Path(name).resolve()
        if not path.parent.is_dir():
            raise InputError(Fault(f"there is no folder {Path(name).parent}; make it first", option))
        if path in taken:
            raise InputError(Fault(f"{name} is {taken[path]} already; give another file", option))
        taken[path] = f"the file of {option}"
