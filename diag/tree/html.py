"""The cards as one HTML page for paper, A4 or Letter, black on white; no script, nothing fetched."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from diag.tree.cards import Card, Row, as_it_stands, cards, first_steps, title
from diag.tree.model import Advice, Tree

__all__ = ["page"]

# Sizes in points, so that a card reads the same on A4 and Letter; the margins fit the smaller of both.
_STYLE = """
@page { margin: 12mm 12mm 14mm }
* { box-sizing: border-box }
body { font: 9.5pt/1.3 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff;
       max-width: 186mm; margin: 0 auto; padding: 4mm 0 }
h1 { font-size: 15pt; margin: 0 0 2mm }
h2 { font-size: 11pt; margin: 0 }
p { margin: 0.6mm 0 }
.stop { border: 2.5pt solid #000; padding: 2mm 3mm; margin: 0 0 3mm }
.stop ul, .work ul { margin: 1mm 0 0; padding-left: 5mm; columns: 2; column-gap: 8mm }
.stop h2 { font-size: 13pt; text-transform: uppercase }
.work { margin: 0 0 4mm }
.card { border: 1pt solid #000; margin: 0 0 4mm; break-inside: avoid }
.card header { display: flex; gap: 3mm; border-bottom: 1pt solid #000; padding: 1.5mm 2.5mm }
.number { font-size: 18pt; font-weight: bold; line-height: 1.1; min-width: 8mm }
.stage { font-weight: bold; text-transform: uppercase; font-size: 8pt; letter-spacing: 0.03em }
table { width: 100%; border-collapse: collapse; table-layout: fixed }
th { text-align: left; font-size: 8pt; border-bottom: 0.75pt solid #000 }
th, td { padding: 1mm 2mm; vertical-align: top; border-right: 0.5pt solid #777; overflow-wrap: anywhere }
th:last-child, td:last-child { border-right: 0 }
tr + tr td { border-top: 0.5pt solid #777 }
tr { break-inside: avoid }
.see { width: 24% } .cause { width: 17% } .check { width: 22% } .do { width: 22% }
.see span { display: block }
.see span + span::before { content: "or " ; font-style: italic }
.go { font-weight: bold }
.halt { font-weight: bold; border: 1.5pt solid #000; padding: 0.3mm 1mm; margin-top: 1mm }
footer { font-size: 8pt; margin-top: 3mm }
"""


def page(tree: Tree) -> str:
    """One complete document."""
    found = cards(tree)
    body = "".join(_card(card) for card in found) or f"<p>{escape(first_steps(as_it_stands(tree.root)))}</p>"
    name = escape(title(tree)[:1].upper() + title(tree)[1:])
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Field cards: {name}</title>'
            f"<style>{_STYLE}</style></head>\n<body><h1>{name}</h1>\n{_stop(tree)}{_work(tree)}{body}{_foot(tree)}"
            "</body></html>\n")


def _stop(tree: Tree) -> str:
    limits = [f"{s.reading}: over {s.limit:g} {s.unit}" for s in tree.stop_if]
    return f'<section class="stop"><h2>Stop at once</h2>{_list([*tree.stop_signs, *limits])}</section>\n'


def _work(tree: Tree) -> str:
    return f'<section class="work"><h2>Before any work</h2>{_list(tree.before_work)}</section>\n'


def _list(items: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(item)}</li>' for item in items)}</ul>"


def _card(card: Card) -> str:
    look = card.look
    careful = "".join(f"<p><b>Careful:</b> {escape(c)}</p>" for c in look.cautions)
    how = f"<p>{escape(look.how)}</p>" if look.how else ""
    rows = "".join(_row(row) for row in card.rows)
    unsure = f'<tr><td class="see"><i>can’t tell</i></td>{_advice(look.unsure)}</tr>'
    return (f'<section class="card"><header><div class="number">{card.number}</div>'
            f'<div><div class="stage">{escape(card.stage)}</div><h2>{escape(look.text)}</h2>{how}{careful}</div>'
            "</header>"
            '<table><thead><tr><th class="see">You find</th><th class="cause">Likely</th><th class="check">Check</th>'
            f'<th class="do">Do first</th><th>Mind</th></tr></thead><tbody>{rows}{unsure}</tbody></table></section>\n')


def _row(row: Row) -> str:
    seen = "".join(f"<span>{escape(a)}</span>" for a in row.answers)
    halt = f'<div class="halt">STOP NOW: {escape(row.urgent)}</div>' if row.urgent else ""
    rest = _advice(row.advice) if row.advice else f'<td colspan="4" class="go">→ card {row.card}</td>'
    return f'<tr><td class="see">{seen}{halt}</td>{rest}</tr>'


def _advice(advice: Advice) -> str:
    cause = f"<b>{escape(advice.name)}</b>"
    return "".join(f"<td>{words}</td>" for words in (
        cause, escape(advice.check), escape(advice.remedy), escape(advice.caution)))


def _foot(tree: Tree) -> str:
    return (f"<footer>Cut off after {tree.depth} questions, rare answers earlier; quantities, place and history of the "
            "point are taken as not known: diag ask goes further. Chances behind the cards are judgement. Knowledge "
            f"{escape(tree.knowledge[:12])}.</footer>")
