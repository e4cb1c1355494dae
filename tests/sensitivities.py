"""Made-up answers to what moves the advice, on the hand-made case of `tests.shop`."""

from optioneer.study.unknowns.ranges import WHY
from optioneer.study.whatif.answers import (
    AllTogether,
    Ends,
    Explained,
    OneAtATime,
    OptionSpread,
    OtherwiseEnds,
    Spread,
    Stand,
    Varied,
)
from optioneer.study.worth.figures import What
from tests import shop


def ends(
    what: What,
    name: str,
    values: tuple[float, float, float],
    npc: tuple[float, float],
    *,
    otherwise: tuple[OtherwiseEnds, ...] = (),
    turned: tuple[tuple[str, ...], tuple[str, ...]] = ((), ()),
) -> Ends:
    here = shop.advice().advised.npc
    return Ends(
        what=what,
        name=name,
        low=values[0],
        here=values[1],
        high=values[2],
        why=WHY[what],
        npc_low=npc[0],
        npc_low_se=abs(npc[0] - here) / 25,
        npc_high=npc[1],
        npc_high_se=abs(npc[1] - here) / 25,
        moves=max(*npc, here) - min(*npc, here),
        otherwise=otherwise,
        turned_low=turned[0],
        turned_high=turned[1],
    )


def one_at_a_time() -> OneAtATime:
    """The night work moves most and turns two verdicts, one at each end."""
    moved = (
        OtherwiseEnds(
            option="auto-door", at_low=-310.4, at_low_se=121.6, at_high=5_120.0, at_high_se=380.0
        ),
        OtherwiseEnds(
            option="robot-cell", at_low=19e3, at_low_se=860.0, at_high=-2_480.0, at_high_se=702.0
        ),
    )
    return OneAtATime(
        case="demo-shop",
        currency="USD",
        futures=1024,
        glanced=128,
        seed=7,
        advised=shop.ADVISED,
        npc=shop.advice().advised.npc,
        site_kept=True,
        options=tuple(
            Stand(option=each.option, verdict=each.verdict, otherwise=each.otherwise)
            for each in shop.advice().options
        ),
        figures=(
            ends(
                "chance",
                "night",
                (0.35, 0.45, 0.55),
                (341_000.0, 377_300.0),
                otherwise=moved,
                turned=(("auto-door",), ("robot-cell",)),
            ),
            ends("discount-rate", "", (0.07, 0.09, 0.11), (366_400.0, 351_020.0)),
            ends("nudge", "automation", (-1.0, 0.0, 1.0), (355_000.0, 361_000.0)),
            ends("multiplier", "tool-setter", (1.2, 1.5, 1.8), (358_100.0, 358_400.2)),
        ),
    )


def explained(what: What, name: str, first: float, total: float) -> Explained:
    return Explained(
        what=what,
        name=name,
        first=first,
        first_low=first - 0.04,
        first_high=first + 0.04,
        total=total,
        total_low=total * 0.95,
        total_high=total * 1.05,
    )


def all_together() -> AllTogether:
    """The night work explains most; the cell turns in a fifth of the ranges."""
    shares = (explained("chance", "night", 0.71, 0.74), explained("discount-rate", "", 0.24, 0.27))
    facts = {"p10": 337_200.0, "p90": 379_900.0, "mean": 358_900.0, "deviation": 16_100.0}
    cell = {"p10": -3_100.0, "p90": 24_600.0, "mean": 11_050.0, "deviation": 10_400.0}
    verdicts = {each.option: each for each in shop.advice().options}
    return AllTogether(
        case="demo-shop",
        currency="USD",
        futures=1024,
        seed=7,
        points=1024,
        valuations=318,
        pairs=False,
        checked=3,
        checked_futures=4096,
        advised=shop.ADVISED,
        site_kept=False,
        varied=tuple(
            Varied(**{name: getattr(each, name) for name in Varied.model_fields})
            for each in one_at_a_time().figures
        ),
        npc=Spread(**facts, error=212.5, figures=shares),
        options=(
            OptionSpread(
                **cell,
                error=340.0,
                figures=(explained("chance", "night", 0.9, 0.93),),
                option="robot-cell",
                verdict="leave for retrofit",
                otherwise=float(verdicts["robot-cell"].otherwise or 0.0),
                turned=0.21,
            ),
            OptionSpread(
                **dict.fromkeys(("p10", "p90", "mean"), 9_800.0),
                deviation=0.0,
                error=0.0,
                figures=(),
                option="coolant-70",
                verdict="leave off",
                otherwise=9_800.0,
                turned=0.0,
            ),
        ),
    )
