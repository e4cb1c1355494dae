"""A hand-made case and advice for the faces: every verdict, every kind of reason. All invented.

The figures of the answers are made up by hand, not computed; only the sums that a page shows
(prices) are consistent with the facts.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Machine, Package
from optioneer.study.advice.answers import (
    Advice,
    Caution,
    FrontierPoint,
    Information,
    Learning,
    OptionAnswer,
    PackageAnswer,
    Pays,
    Precision,
    Proof,
    SearchAnswer,
    Turned,
)
from optioneer.study.answer import Verdict
from optioneer.study.worth.outcome import Outcome


def triangular(low: float, likely: float, high: float) -> Triangular:
    return Triangular(low=low, likely=likely, high=high)


def option(identity: str, name: str, price: float, **facts: Any) -> Option:
    """An option, factory-only unless a `multiplier` is given."""
    fitting = "retrofittable" if "multiplier" in facts else "factory-only"
    return Option.model_validate(
        {"option": identity, "name": name, "price": price, "fitting": fitting, **facts}
    )


def stream(identity: str, name: str, chance: float, *ways: Way, **facts: Any) -> Stream:
    given: Mapping[str, Any] = {
        "years": triangular(1, 2, 5),
        "margin": triangular(20_000, 35_000, 70_000),
        **facts,
    }
    return Stream(id=identity, name=name, chance=chance, way=ways, **given)


def options() -> tuple[Option, ...]:
    return (
        option("pockets-24", "24 tool pockets", 6000, slot="magazine", standard=True),
        option("pockets-60", "60 tool pockets", 14500, slot="magazine"),
        option("sub-spindle", "Sub-spindle", 38000),
        option("chip-conveyor", "Chip conveyor", 5200, standard=True, delete_credit=4000.0),
        option("work-light", "Work light", 300, standard=True),
        option(
            "auto-door", "Automatic door", 4800.5, multiplier=triangular(1.5, 2, 3), downtime_days=2
        ),
        option(
            "robot-cell",
            "Robot cell",
            62000,
            multiplier=triangular(1.1, 1.2, 1.4),
            requires=("auto-door", "robot-interface"),
            eased_by="robot-interface",
            eased=triangular(1, 1, 1.1),
        ),
        option("robot-interface", "Robot interface", 3500),
        option(
            "work-probe", "Work probe", 6200, multiplier=triangular(1.2, 1.4, 1.9), downtime_days=1
        ),
        option("coolant-70", "70 bar coolant", 15800, multiplier=triangular(1.3, 1.6, 2)),
        option("oil-skimmer", "Oil skimmer", 900, multiplier=triangular(1, 1, 1), call_out=None),
        option("big-bore", "Big bore spindle", 21000, excludes=("sub-spindle",)),
        option("tool-setter", "Tool setter", 4100, multiplier=triangular(1.3, 1.5, 1.8)),
    )


def growth() -> Growth:
    robot = Way(options=("robot-cell",))
    return Growth(
        horizon_years=10,
        discount_rate=0.09,
        driver=(Driver(id="automation", name="Automation"),),
        stream=(
            stream("shafts", "second-side shaft work", 0.8, Way(options=("sub-spindle",))),
            stream(
                "families",
                "families of small parts",
                1.0,
                Way(options=("pockets-60",)),
                Way(options=("pockets-24",), share=0.6),
            ),
            stream("night", "lights-out series", 0.45, robot, drivers={"automation": 0.6}),
            stream("titanium", "titanium brackets", 0.12, Way(options=("coolant-70",))),
            stream("tight", "tight bores", 0.35, Way(options=("work-probe", "tool-setter"))),
            stream("bars", "bar work over 80 mm", 0.05, Way(options=("big-bore",))),
        ),
    )


def case(**changes: Any) -> Case:
    made = Case(
        name="demo-shop",
        machine=Machine(
            name="Demo mill-turn",
            kind="mill-turn",
            base_price=312000,
            currency="USD",
            margin_per_day=1400,
        ),
        dates=Dates(order=date(2027, 2, 1), first_chips=date(2027, 9, 6)),
        call_outs={"default": 1800.0},
        bundles=(Bundle(id="loading", options=("auto-door", "robot-interface"), discount=800),),
        packages=(Package(id="quote-b", name="Second quote", options=("sub-spindle",)),),
        catalogue=Catalogue(options=options()),
        growth=growth(),
    )
    return made.model_copy(update=changes)


ADVISED = (
    "auto-door",
    "chip-conveyor",
    "pockets-60",
    "robot-interface",
    "sub-spindle",
    "work-light",
)
ADVISED_PRICE = 312000 + 4800.5 + 14500 + 3500 + 38000 - 800


MARGINS, FALLBACKS = 520_000.0, 90_000.0
"""All margins, and what of them is kept without a machine."""


def outcome(npc: float) -> Outcome:
    mean = MARGINS - npc
    return Outcome(
        mean=mean,
        p10=mean - 64_000,
        p50=mean + 2_500,
        p90=mean + 61_000,
        worst_tenth=mean - 90_250,
        not_buying=FALLBACKS,
        worse_than_not_buying=0.21,
    )


def package(identity: str, fitted: tuple[str, ...], price: float, npc: float) -> PackageAnswer:
    return PackageAnswer(
        id=identity,
        options=fitted,
        price=price,
        npc=npc,
        npc_se=912.4,
        outcome=outcome(npc),
        hindsight=npc - 3_120,
        rule=npc + 4_410,
        learned=npc,
    )


def verdict(
    identity: str, said: Verdict, otherwise: float | None, error: float | None = 400.0, **later: Any
) -> OptionAnswer:
    facts: Mapping[str, Any] = {
        "chance_fitted_later": 0.0,
        "median_year_fitted": None,
        "present_cost_fitted_later": 0.0,
        **later,
    }
    return OptionAnswer(
        option=identity,
        verdict=said,
        otherwise=otherwise,
        otherwise_se=None if otherwise is None else error,
        close_call=otherwise is not None and error is not None and abs(otherwise) <= 2 * error,
        **facts,
    )


def later(chance: float, year: float, cost: float) -> dict[str, float]:
    return {
        "chance_fitted_later": chance,
        "median_year_fitted": year,
        "present_cost_fitted_later": cost,
    }


def verdicts() -> tuple[OptionAnswer, ...]:
    return (
        verdict("auto-door", "order now", 2410.0, regret_share=0.31, mean_regret=1_950.0),
        verdict("big-bore", "leave off", 30_200.0),
        verdict("chip-conveyor", "order now", 950.0, 800.0),
        verdict("coolant-70", "leave off", 9800.0, **later(0.004, 6.0, 95.0)),
        verdict("oil-skimmer", "leave off", 900.0, 0.0),
        verdict("pockets-24", "leave off", 8200.0),
        verdict("pockets-60", "order now", 8200.0),
        verdict("robot-cell", "leave for retrofit", 11_300.0, **later(0.41, 3.25, 24_000.0)),
        verdict("robot-interface", "order now", 14_000.0),
        verdict("sub-spindle", "order now", 41_237.4, 912.0),
        verdict("tool-setter", "leave for retrofit", 1900.0, **later(0.61, 3.0, 1750.0)),
        verdict("work-light", "order now", None),
        verdict(
            "work-probe",
            "leave for retrofit",
            -300.0,
            420.0,
            **later(0.31, 3.0, 2800.0),
            regret_share=0.52,
            mean_regret=610.0,
        ),
    )


def frontier(points: int = 4) -> tuple[FrontierPoint, ...]:
    standard = ("chip-conveyor", "pockets-24", "work-light")
    steps = (
        FrontierPoint(price=308_000, npc=420_000, options=("pockets-24", "work-light")),
        FrontierPoint(price=312_000, npc=401_500, options=standard),
        FrontierPoint(price=350_000, npc=371_200, options=(*standard, "sub-spindle")),
        FrontierPoint(price=ADVISED_PRICE, npc=358_400.2, options=ADVISED),
    )
    return steps[4 - points :]


def proven(answer: Advice) -> Advice:
    """`answer` with the proof of its gap."""
    found = Proof(
        futures=256,
        bound=357_980.2,
        bound_se=290.0,
        gap=420.0,
        gap_se=65.0,
        decided=152_000.0,
        gap_share=420.0 / 152_000.0,
    )
    return answer.model_copy(update={"proof": found})


def precise(answer: Advice) -> Advice:
    """`answer` on as many futures as were asked for by precision."""
    how = Precision(
        asked=0.001, reached=0.00087, close_calls=1, tries=(4096, 8192, 16384), enough=True
    )
    return answer.model_copy(update={"precision": how, "futures": 16384})


def searched(answer: Advice) -> Advice:
    """`answer` after a search that the clock ended."""
    search = SearchAnswer(
        slots=48,
        packages=2.28e16,
        looked_at=312,
        kept=71,
        stopped="time",
        batches=8,
        batch_futures=16,
        gap=2_410.4,
        gap_se=198.2,
        gap_at_most=2_785.9,
        npc_at_least=answer.advised.npc - 2_410.4,
    )
    return answer.model_copy(update={"search": search})


def advice(**changes: Any) -> Advice:
    standard = ("chip-conveyor", "pockets-24", "work-light")
    made = Advice(
        case="demo-shop",
        currency="USD",
        futures=4096,
        seed=7,
        advised=package("advised", ADVISED, ADVISED_PRICE, 358_400.2),
        packages=(
            package("quote-b", (*standard, "sub-spindle"), 350_000, 371_200),
            package("base", standard, 312_000, 401_500),
            package(
                "all", tuple(sorted((*ADVISED, "robot-cell", "work-probe"))), 440_200.5, 395_000
            ),
        ),
        options=verdicts(),
        pays=Pays(gain=71_600.0, gain_se=905.0, worse_share=0.21, at_margins=0.826),
        frontier=frontier(),
        information=Information(
            perfect_information=14_800,
            perfect_information_se=120.0,
            likeliest_future_plan_costs=6_240.0,
            likeliest_future_plan=("chip-conveyor", "pockets-60", "sub-spindle", "work-light"),
            learning=(
                Learning(kind="stream", id="night", worth=5_210.0, worth_se=96.0),
                Learning(kind="driver", id="automation", worth=2_330.4, worth_se=81.2),
                Learning(kind="stream", id="titanium", worth=12.0, worth_se=30.0),
            ),
        ),
    )
    return made.model_copy(update=changes)


def advice_with_break_evens() -> Advice:
    """The same advice, asked what would turn it."""
    turns: dict[str, dict[str, float | None]] = {
        "auto-door": {"break_even_chance": 0.283, "break_even_multiplier": 1.4142},
        "work-probe": {"break_even_chance": 0.36, "break_even_multiplier": None},
        "sub-spindle": {"break_even_chance": 0.12},
    }
    answers = (o.model_copy(update=turns.get(o.option, {})) for o in verdicts())
    return advice(options=tuple(answers), break_evens=True)


def cautious_advice(gap: float = 0.0) -> Advice:
    """The same advice, the worst tenth weighing three tenths."""
    caution = Caution(
        weight=0.3,
        rated=134_524.8,
        bound=134_524.8 + gap,
        gap=gap,
        on_average=package("on-average", ADVISED[1:], ADVISED_PRICE - 4800.5, 358_100.0).model_copy(
            update={"outcome": outcome(358_100.0).model_copy(update={"worst_tenth": 58_750.0})}
        ),
        costs_on_average=300.2,
        costs_on_average_se=112.0,
        saves_in_worst_tenth=12_599.8,
        turned=(Turned(option="auto-door", on_average="leave for retrofit", cautious="order now"),),
    )
    return advice(caution=caution)
