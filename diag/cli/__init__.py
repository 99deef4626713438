"""The command line. Nothing heavy is imported before a command needs it."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

__all__ = ["main"]

DONE, FAULT, BAD_INPUT = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit status: 0 done, 2 bad input, 1 fault of the program.

    Every fault becomes one line on standard error here and nowhere else.
    """
    from diag.cli.app import run
    from diag.cli.output import ReaderGoneError
    from diag.errors import DiagError

    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that knows no ² still gets its page
    try:
        return run(arguments)
    except DiagError as fault:
        return _say(str(fault), BAD_INPUT)
    except ReaderGoneError:
        return DONE  # all was done; nobody wanted to read the rest
    except KeyboardInterrupt:
        return 130
    except Exception as fault:
        if os.environ.get("DIAG_TRACEBACK"):
            raise
        return _say(_internal(fault), FAULT)


def _say(line: str, status: int) -> int:
    print(f"diag: {' '.join(line.split())}", file=sys.stderr)
    return status


def _internal(fault: Exception) -> str:
    """One line for a fault that no input should be able to cause."""
    return (
        f"internal fault, {type(fault).__name__}: {fault} "
        "(a fault of this program, not of your case; DIAG_TRACEBACK=1 shows where)"
    )
