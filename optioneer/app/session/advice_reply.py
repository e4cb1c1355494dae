"""The advice on the open case, asked for alike by every page that needs it.

So no page stops what another has begun, and what one has found is there for the next.
"""

from functools import partial

from optioneer.app.engine import cached
from optioneer.app.session import waiting
from optioneer.model.case import Case

FULL = 2
"""So many answers: the preview, and the one on all futures of the case."""


def advice_asked(case: Case, *, enough: int | None = None) -> waiting.Reply:
    """The advice on the case as it is: a preview, the full answer, the full answer with proof.

    Parameters
    ----------
    case
        The case.
    enough
        So many of these are all that the page needs.
    """
    return waiting.reply_to(
        ("advice", cached.content(case)),
        partial(cached.preview, case),
        partial(cached.advice, case),
        partial(cached.proven, case),
        enough=enough,
        calm=True,
        place="advice",
        about=case,
    )


def under_way(case: Case, reply: waiting.Reply) -> str:
    """What is still being worked on."""
    if len(reply.answers) < FULL:
        return f"Weighing every package on {case.growth.futures:,} futures"
    return "Proving how near this is to the best that anyone could do"
