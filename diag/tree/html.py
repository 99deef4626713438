"""The cards as one HTML page for paper, A4 or Letter, black on white; no script, nothing fetched."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from diag.report.figures import System
from diag.report.worded import worded
from diag.tree.cards import Card, Row, deck, foot, limits, title
from diag.tree.model import Advice, Tree

__all__ = ["page"]

# Sizes in points, so that a card reads the same on A4 and Letter; the width fits the narrower, A4.
_STYLE = """
@page { margin: 11mm }
* { box-sizing: border-box }
body { font: 8.5pt/1.28 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff;
       max-width: 188mm; margin: 0 auto }
h1 { font-size: 15pt; margin: 0 0 2mm }
h2 { font-size: 10pt; margin: 0; line-height: 1.2 }
ul { margin: 1mm 0 0; padding-left: 4.5mm }
.stop, .work { columns: 2; column-gap: 8mm }
.stop { border: 2.5pt solid #000; padding: 1.5mm 3mm; margin: 0 0 2mm; font-weight: bold }
.stop h2, .work h2 { column-span: all }
.stop h2 { font-size: 13pt; text-transform: uppercase }
.work { font-size: 8pt; margin: 0 0 3mm }
.cards { columns: 2; column-gap: 5mm }
.card { border: 1pt solid #000; margin: 0 0 3mm; break-inside: avoid }
.card header { display: flex; gap: 2.5mm; border-bottom: 1pt solid #000; padding: 1mm 2mm }
.card p { margin: 0.5mm 0 0; font-size: 8pt }
.number { font-size: 18pt; font-weight: bold; line-height: 1.05; min-width: 9mm; text-align: center }
.stage { font-weight: bold; text-transform: uppercase; font-size: 7pt; letter-spacing: 0.03em }
table { width: 100%; border-collapse: collapse }
td, th { padding: 0.7mm 2mm; vertical-align: top; text-align: left }
tr + tr td { border-top: 0.5pt solid #777 }
tr { break-inside: avoid }
.card td:last-child { width: 42%; border-left: 0.5pt solid #777 }
.or { font-style: italic }
.halt { font-weight: bold; border: 1.5pt solid #000; padding: 0.3mm 1mm; margin-top: 0.7mm }
.advice { border: 1pt solid #000; margin-top: 1mm }
.advice th { font-size: 8pt; border-bottom: 1pt solid #000 }
.advice td + td, .advice th + th { border-left: 0.5pt solid #777 }
.advice .letter { font-size: 11pt; font-weight: bold; width: 6% }
.advice td:nth-child(2) { width: 16% }
.advice td:nth-child(3) { width: 28% }
.advice td:nth-child(4) { width: 18% }
footer { font-size: 7.5pt; margin-top: 2mm }
"""


def page(tree: Tree, system: System = "metric") -> str:
    """One complete document."""
    tree = worded(tree, system)
    found, name = deck(tree), escape(title(tree))
    cards = "".join(_card(card) for card in found.cards)
    advice = "".join(_advice(letter, advice) for letter, advice in found.advice.items())
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Field cards: {name}</title>'
            f"<style>{_STYLE}</style></head>\n<body><h1>{name}</h1>\n"
            f'<section class="stop"><h2>Stop at once</h2>{_list(limits(tree, system))}</section>\n'
            f'<section class="work"><h2>Before any work</h2>{_list(tree.before_work)}</section>\n'
            f'<main class="cards">{cards}</main>\n<h2>What to do</h2>\n'
            '<table class="advice"><thead><tr><th></th><th>Likely</th><th>Check</th><th>First remedy</th><th>Mind</th>'
            f"</tr></thead><tbody>{advice}</tbody></table>\n<footer>{escape(foot(tree))}</footer></body></html>\n")


def _list(items: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(item)}</li>' for item in items)}</ul>"


def _card(card: Card) -> str:
    how = f"<p>{escape(card.how)}</p>" if card.how else ""
    careful = "".join(f"<p><b>Careful:</b> {escape(c)}</p>" for c in card.cautions)
    return (f'<section class="card"><header><div class="number">{card.number}</div><div>'
            f'<div class="stage">{escape(card.stage)}</div><h2>{escape(card.text)}</h2>{how}{careful}</div></header>'
            f"<table>{''.join(_row(row) for row in card.rows)}</table></section>\n")


def _row(row: Row) -> str:
    seen = ' <span class="or">or</span> '.join(escape(a) for a in row.answers)
    halt = f'<div class="halt">STOP NOW: {escape(row.urgent)}</div>' if row.urgent else ""
    to = f"<b>→ card {row.card}</b>" if row.card else f"<b>{row.letter}</b> {escape(row.name)}"
    return f"<tr><td>{seen}{halt}</td><td>{to}</td></tr>"


def _advice(letter: str, advice: Advice) -> str:
    cells = "".join(f"<td>{escape(words)}</td>" for words in (advice.check, advice.remedy, advice.caution))
    return f'<tr><td class="letter">{letter}</td><td><b>{escape(advice.name)}</b></td>{cells}</tr>'
