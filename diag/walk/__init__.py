"""The guided walk behind `diag ask`: which question comes next, what an answer changes. No input or output.

A walk is a case and the trail of what was asked. `next_step` gives the next step; `answer`, `pass_over` and
`back` give the next walk. A terminal, a page or a test drives them alike.
"""

from diag.walk.answering import answer, back, pass_over
from diag.walk.belief import Consequence, chances, consequences
from diag.walk.state import Choice, Given, Step, Walk
from diag.walk.steps import next_step, urgency_now
from diag.walk.telling import SAID, confirming, kept, struck, told, unconfirmed

__all__ = ["SAID", "Choice", "Consequence", "Given", "Step", "Walk", "answer", "back", "chances", "confirming",
           "consequences", "kept", "next_step", "pass_over", "struck", "told", "unconfirmed", "urgency_now"]
