"""A hand-made comparison of two quotes for the faces. All invented; nothing is computed."""

from datetime import date

from optioneer.model.case import Case
from optioneer.study.advice.answers import PackageAnswer
from optioneer.study.compare.answers import Compared, Comparison, Quote, Served
from tests import shop

STANDARD = ("chip-conveyor", "pockets-24", "work-light")


def cases() -> tuple[Case, Case]:
    """The shop's own quote in dollars, and another dealer's in euros."""
    first = shop.case()
    machine = first.machine.model_copy(update={"name": "Other mill-turn", "currency": "EUR"})
    return first, first.model_copy(update={"name": "other-shop", "machine": machine})


def compared(label: str, package: PackageAnswer, case: str, **facts: object) -> Compared:
    """A package as compared; what is not told is like the first one's."""
    over = package.npc - 358_400.2
    values = {
        "label": label,
        "case": case,
        "also": (),
        "quoted_price": package.price,
        "over_best": over,
        "over_best_se": 512.0 if over else 0.0,
        "close_call": False,
        "chance_best": 0.25,
        "mean_regret": 9_000 + over,
        "regret_share": 0.75,
        "serves": tuple(served(place, label) for place in range(len(STREAMS))),
        "quantiles": (package.outcome.p10, package.outcome.p50, package.outcome.p90),
        "counts": (1000, 2048, 1048),
    }
    return Compared.model_validate({**dict(package), **values, **facts})


STREAMS = tuple(stream.id for stream in shop.growth().stream)


def served(place: int, label: str) -> Served:
    """Earned in full, in part, by a retrofit, or not at all, in turn."""
    if label == "C" and STREAMS[place] == "bars":
        return Served(stream="bars", earned=0.0, reachable=0.0, way=False)
    earned, reachable = [(1.0, 1.0), (0.6, 0.6), (0.0, 1.0)][(place + ord(label)) % 3]
    return Served(stream=STREAMS[place], earned=earned, reachable=reachable, way=True)


def quote(case: Case, **facts: object) -> Quote:
    """A quote that knows all the work."""
    values = {
        "case": case.name,
        "machine": case.machine.name,
        "currency": case.machine.currency,
        "rate": 1.0,
        "order": case.dates.order,
        "first_chips": case.dates.first_chips_date,
        "days_later": 0,
        "site": False,
        "without_way": (),
        "untold": (),
        "left_out": (),
    }
    return Quote.model_validate({**values, **facts})


def comparison(**changes: object) -> Comparison:
    """Two packages of the first quote, one of the other."""
    first, other = cases()
    advised = shop.advice().advised
    second = shop.package("quote-b", (*STANDARD, "sub-spindle"), 350_000, 359_100)
    third = shop.package("base", STANDARD, 336_960, 401_500)
    made = Comparison(
        currency="USD",
        rate_date=date(2026, 11, 20),
        growth=first.name,
        futures=4096,
        seed=7,
        quotes=(
            quote(first, site=True),
            quote(other, rate=1.08, days_later=21, without_way=("bars",), order=date(2027, 3, 1)),
        ),
        streams=STREAMS,
        packages=(
            compared("A", advised, first.name, chance_best=0.5, regret_share=0.5),
            compared("B", second, first.name, close_call=True, also=("base",)),
            compared("C", third, other.name, quoted_price=312_000.0),
        ),
        levels=(0.1, 0.5, 0.9),
        edges=(250_000.0, 350_000.0, 450_000.0, 550_000.0),
    )
    return made.model_copy(update=changes)
