"""Imports go one way, lazy ones included: an inner module never imports an outer one, and there are no circles."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OUTER = {"cli", "web"}  # nothing inside may import a face
FACES = {"cli", "web", "report", "caselog", "batch", "trend", "shelf", "tree"}
INNER = {"errors", "yamltext", "units", "numbertext", "wordtext", "tribology", "case", "knowledgebase", "compute",
         "circumstances", "answers", "urgency", "limits", "words", "inference", "remedy", "findings", "review",
         "simulation",
         "standardinput", "units_text"}


def imports() -> dict[str, set[str]]:
    """Module → the modules of the package it imports, wherever in the file."""
    names = {path: ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
             for path in (ROOT / "diag").rglob("*.py")}
    known = set(names.values())
    return {name: {target for node in ast.walk(ast.parse(path.read_text("utf-8")))
                   for target in targets(node) if target in known and target != name}
            for path, name in names.items()}


def targets(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom) and node.module and not node.level:
        return [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return []


def room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def test_nothing_inside_imports_a_face() -> None:
    wrong = [(module, target) for module, found in imports().items() for target in found
             if room(module) in INNER and room(target) in FACES]
    assert wrong == []


def test_only_faces_import_the_command_line_or_the_page() -> None:
    wrong = [(module, target) for module, found in imports().items() for target in found
             if room(target) in OUTER and room(module) != room(target)]
    assert wrong == [("diag.cli.serve_commands", target) for _, target in wrong]


def test_modules_import_in_no_circle() -> None:
    graph = {module: {t for t in found if not module.startswith(t + ".")} for module, found in imports().items()}
    assert list(TopologicalSorter(graph).static_order())
