"""Write the README's shown output and score anew from real output: `python -m tests.readme_blocks`."""

from __future__ import annotations

from pathlib import Path

from diag.knowledgebase import load
from tests.published_score import table
from tests.test_readme import run

README = Path(__file__).resolve().parent.parent / "README.md"
# Passages of the demo page: from a line that begins so, up to (not with) one that begins so.
PASSAGES = (("Dryer fan", "Look again"), ("Look again", "   From the point"), ("WHAT TO LOOK AT", "Then:"),
            ("THE GREASE THIS", "  - base oil viscosity at running"), ("WHAT TO DO", "Steps:"),
            ("  1. ", "  2. "), ("Never:", "WHAT IT IS"), ("REGREASING", "ASSUMED"))


def shown_output(printed: str) -> str:
    """The passages of the page, with `[...]` where lines are left out."""
    lines, found, at = printed.splitlines(), [], 0
    for first, last in PASSAGES:
        start = next(n for n in range(at, len(lines)) if lines[n].startswith(first))
        end = next(n for n in range(start + 1, len(lines)) if lines[n].startswith(last))
        found.append(("" if start == at or not found else "[...]\n") + "\n".join(lines[start:end]).rstrip())
        at = end
    return "\n".join(found) + "\n[...]\n" + "\n".join(lines[-3:])


def with_block(text: str, start: str, end: str, block: str) -> str:
    before, rest = text.split(f"<!-- {start} -->")
    return f"{before}<!-- {start} -->\n{block}\n<!-- {end} -->{rest.split(f'<!-- {end} -->')[1]}"


if __name__ == "__main__":
    text = README.read_text("utf-8")
    text = with_block(text, "shown output", "end of shown output", f"```text\n{shown_output(run('demo'))}\n```")
    README.write_text(with_block(text, "published score", "end of published score", table(load())), "utf-8")
