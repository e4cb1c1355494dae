"""Made-up answers about the hand-made shop under other figures."""

from optioneer.study.answer import Verdict
from optioneer.study.whatif.answers import OptionTurns, Point, Shift, Turn, Turning, WhatIf
from optioneer.study.worth.changes import Change
from tests.shop import ADVISED, ADVISED_PRICE, package, verdicts


def what_if() -> WhatIf:
    """The night work certain, the cell dearer: one verdict turns."""
    shifts = tuple(
        Shift(
            option=answer.option,
            before=answer.verdict,
            after="order now" if answer.option == "robot-cell" else answer.verdict,
            otherwise_before=answer.otherwise,
            otherwise_after=MOVED.get(answer.option, answer.otherwise),
            otherwise_se_after=None if answer.otherwise is None else 400.0,
            close_call_after=False,
        )
        for answer in verdicts()
    )
    after = tuple(sorted((*ADVISED, "robot-cell")))
    return WhatIf(
        case="demo-shop",
        currency="USD",
        futures=4096,
        seed=7,
        budget=None,
        changes=(
            Change(what="chance", name="night", before=0.45, after=1.0),
            Change(what="price", name="robot-cell", before=62_000, after=65_000.5),
            Change(what="discount-rate", name="", before=0.09, after=0.075),
        ),
        before=package("advised", ADVISED, ADVISED_PRICE, 358_400.2),
        after=package("advised", after, ADVISED_PRICE + 65_000.5, 371_050.0),
        keeping_costs=9_120.4,
        keeping_costs_se=310.0,
        options=shifts,
    )


MOVED = {"robot-cell": 9_120.4, "robot-interface": 21_400.0, "auto-door": 4_010.0}


def turning() -> Turning:
    """The night work from never to certain: the cell turns twice, the door once."""
    ends = (0.0, 0.5, 1.0)
    seen: dict[str, tuple[Verdict, ...]] = {
        "robot-cell": ("leave off", "leave for retrofit", "order now"),
        "auto-door": ("leave off", "order now", "order now"),
    }
    places = {("robot-cell", 1): 0.8125, ("auto-door", 0): 0.283}
    return Turning(
        case="demo-shop",
        currency="USD",
        futures=4096,
        seed=7,
        budget=None,
        what="chance",
        name="night",
        here=0.45,
        points=tuple(
            Point(at=at, price=ADVISED_PRICE, npc=340_000 + 40_000 * at, options=ADVISED)
            for at in ends
        ),
        options=tuple(
            OptionTurns(
                option=answer.option,
                verdicts=(said := seen.get(answer.option, (answer.verdict,) * 3)),
                otherwise=(answer.otherwise,) * 3,
                turns=tuple(
                    Turn(
                        low=ends[i],
                        high=ends[i + 1],
                        at=places.get((answer.option, i)),
                        before=said[i],
                        after=said[i + 1],
                    )
                    for i in range(2)
                    if said[i] != said[i + 1]
                ),
            )
            for answer in verdicts()
        ),
    )
