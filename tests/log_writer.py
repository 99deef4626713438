"""A writer of its own process for the tests of the case log: adds cases and says each id once it is saved.

`python -m tests.log_writer PLACE COUNT` works to the end; a parent may kill it at any moment.
"""

from __future__ import annotations

import sys

from diag.caselog.store import Store
from diag.errors import InputError
from tests.log_cases import add


def write(place: str, count: int) -> int:
    try:
        store = Store.open(place)
        for _ in range(count):
            print(add(store, notes=("one", "two"), work=("three",)), flush=True)
    except InputError as fault:
        print(fault, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(write(sys.argv[1], int(sys.argv[2])))
